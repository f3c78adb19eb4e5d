#include "sim/meetings.h"

#include <algorithm>

namespace settle {

std::optional<LaneCounts> Meetings::meet(std::uint32_t lane, const Whereabouts& place, std::uint64_t hash,
                                         std::span<const Value> nets, LaneCounts counts) {
  const auto [first, last] = stands_.equal_range(hash);
  for (auto at = first; at != last; ++at) {
    const Stand& stand = at->second;
    if (stand.lane >= ended_.size() || !ended_[stand.lane] || !ended_[stand.lane]->complete) continue;
    if (stand.place != place || !std::equal(nets.begin(), nets.end(), stand.nets.begin(), stand.nets.end()))
      continue;
    const LaneCounts& whole = ended_[stand.lane]->counts;
    return LaneCounts{whole.evaluations - stand.counts.evaluations,
                      whole.net_changes - stand.counts.net_changes};
  }
  bytes_ += nets.size() + sizeof(Stand) + 64;
  if (bytes_ <= most_bytes) stands_.emplace(hash, Stand{place, {nets.begin(), nets.end()}, lane, counts});
  return {};
}

void Meetings::end(std::uint32_t lane, LaneCounts counts, bool complete) {
  ended_.resize(std::max<std::size_t>(ended_.size(), std::size_t{lane} + 1));
  ended_[lane] = Lane{counts, complete};
}

}  // namespace settle
