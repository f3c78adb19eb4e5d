// Gates that are excited at the start and of which none reads another can fire in any combination: firing
// some leaves the others excited, and each combination is a state of its own. So k of them reach 2^k states.
// They are gathered greedily, in the order of their numbers; a gate that reads itself is one as well.
// A part with an unknown value is left to the search, which says so.
#include "analysis/any_delay_choices.h"

#include <algorithm>

namespace settle {

bool has_too_many_choices(const Subnetwork& network, const AnyDelayLimits& limits) {
  // What a state takes at least: a byte in the bitmaps of small parts, else a bit a gate, a slot and a number.
  const std::uint64_t bytes = network.size() <= 32 ? 1 : network.size() / 8 + 8;
  const std::uint64_t most = std::min(limits.states, limits.memory_bytes / bytes);
  const auto at_start = [&network](std::uint32_t k) { return static_cast<bool>(network.start[k]); };
  std::vector<bool> taken(network.size(), false), barred(network.size(), false);
  unsigned free = 0;
  for (std::uint32_t i = 0; i < network.size(); ++i) {
    const int value = evaluate(network, i, at_start);
    if (value == 2) return false;
    if ((value == 1) == at_start(i) || barred[i]) continue;
    const auto first = network.inputs.begin() + network.gates[i].first;
    const auto last = first + network.gates[i].count;
    if (std::any_of(first, last, [&](std::uint32_t k) { return k != i && taken[k]; })) continue;
    taken[i] = true;
    std::for_each(first, last, [&barred](std::uint32_t k) { barred[k] = true; });
    ++free;
  }
  return free >= 63 || (std::uint64_t{1} << free) > most;
}

}  // namespace settle
