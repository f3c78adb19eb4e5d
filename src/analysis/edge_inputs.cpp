// Which inputs act by their edges.
//
// Idea: two steps conflict when they end with the same inputs, start with the same watched values,
// and lead elsewhere. If different inputs changed, telling one of these two changes apart resolves
// the conflict. So the edge inputs are a vertex cover of the conflicts between inputs; "nothing
// changed" conflicts too but cannot be chosen. Of smallest covers the one with most conflicts wins,
// then the first.
// Cost: linear in the steps, times the changes that meet at one vector; 2^n sets for n free inputs.
#include <algorithm>
#include <array>
#include <bit>

#include "analysis/stored_nets.h"

namespace settle {
namespace {

constexpr std::uint32_t most_inputs = 16;
constexpr std::uint32_t nothing = most_inputs;  // stands for "no input changed"

class Conflicts {
 public:
  void add(std::uint32_t a, std::uint32_t b) {
    with_[a] |= 1u << b;
    with_[b] |= 1u << a;
  }

  std::uint32_t smallest_cover(std::uint32_t inputs) const {
    std::uint32_t forced = 0, involved = 0;
    for (std::uint32_t i = 0; i < inputs; ++i) {
      if ((with_[i] >> nothing & 1u) != 0) forced |= 1u << i;
      if (with_[i] != 0) involved |= 1u << i;
    }
    std::uint32_t best = involved;
    int best_weight = -1;
    for (std::uint32_t set = 0; set < 1u << inputs; ++set) {
      if ((forced & ~set) != 0 || (set & ~involved) != 0 || std::popcount(set) > std::popcount(best))
        continue;
      bool covers = true;
      int weight = 0;
      for (std::uint32_t i = 0; i < inputs && covers; ++i) {
        if ((set >> i & 1u) != 0)
          weight += std::popcount(with_[i]);
        else
          covers = (with_[i] & ~set & ~(1u << nothing)) == 0;
      }
      if (!covers || (std::popcount(set) == std::popcount(best) && weight <= best_weight)) continue;
      best = set;
      best_weight = weight;
    }
    return best;
  }

 private:
  std::array<std::uint32_t, most_inputs + 1> with_{};
};

struct Seen {
  std::uint32_t before, changed, after;
  bool loose;
  auto operator<=>(const Seen&) const = default;
};

}  // namespace

std::vector<std::uint32_t> edge_inputs(const StepSamples& steps, const WatchedNets& nets,
                                       std::span<const std::uint32_t> watched) {
  Conflicts conflicts;
  const auto signature = nets.signatures(watched);
  const auto result = nets.results(watched);
  std::vector<Seen> seen;
  for (std::uint32_t v = 0; v + 1 < steps.first.size(); ++v) {
    seen.clear();
    std::uint32_t loose = 0, settled = 0;  // by changed input
    for (std::uint32_t i = steps.first[v]; i < steps.first[v + 1]; ++i) {
      const StepSample& sample = steps.samples[i];
      const std::uint32_t changed = sample.changed < 0 ? nothing : static_cast<std::uint32_t>(sample.changed);
      bool unsettled = false;
      if (sample.loose != no_state) {
        for (const std::uint32_t w : watched) {
          unsettled |= nets.after(w, sample) >= TableEntry::Kind::indeterminate;
        }
      }
      (unsettled ? loose : settled) |= 1u << changed;
      seen.push_back({signature[sample.from], changed, result[i], unsettled});
    }
    std::sort(seen.begin(), seen.end());
    seen.erase(std::unique(seen.begin(), seen.end()), seen.end());
    for (std::size_t i = 0; i < seen.size(); ++i) {
      for (std::size_t k = i + 1; k < seen.size() && seen[k].before == seen[i].before; ++k) {
        if (seen[i].changed != seen[k].changed && seen[i].after != seen[k].after) {
          conflicts.add(seen[i].changed, seen[k].changed);
        }
      }
    }
    for (std::uint32_t a = 0; a <= nothing; ++a) {
      for (std::uint32_t b = 0; b <= nothing && (loose >> a & 1u) != 0; ++b) {
        if (a != b && (settled >> b & 1u) != 0) conflicts.add(a, b);
      }
    }
  }
  const std::uint32_t cover = conflicts.smallest_cover(steps.free_count);
  std::vector<std::uint32_t> edges;
  for (std::uint32_t i = 0; i < steps.free_count; ++i) {
    if ((cover >> i & 1u) != 0) edges.push_back(i);
  }
  return edges;
}

}  // namespace settle
