// The gates of a critical race, found from what each state can still end in.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

namespace settle {

/// What a state can still end in, one bit each: stable states (number modulo 63) and, in the top
/// bit, lasting cycles. Sharing bits above 63 stable states only blurs the choice of the race shown.
using Fates = std::uint64_t;
inline constexpr Fates cycle_fate = Fates{1} << 63;
inline Fates stable_fate(std::size_t outcome) { return Fates{1} << (outcome % 63); }
inline bool is_open(Fates fates) { return (fates & (fates - 1)) != 0; }

/// An excited gate decides when its firing alone takes some fate away. Another one takes part when it
/// decides too, or when the deciding gate's firing takes less or something else away after it. The
/// race shown is that of the state nearest to the start (in single firings) in which two gates or more
/// take part; where there is none, all gates excited in the nearest state that has a deciding one.
///
/// Space: `fates(state)`, `visit_once(state)` (true the first time), `excited(state)` as an ascending
/// list of gates, `fire(state, gate)`.
template <class Space, class State>
std::vector<std::uint32_t> find_race(Space& space, const State& start) {
  if (!is_open(space.fates(start))) return {};
  std::vector<State> queue{start};
  space.visit_once(start);
  std::vector<std::uint32_t> second_best;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    const State state = queue[next];
    const Fates here = space.fates(state);
    if (!is_open(here)) continue;
    const std::vector<std::uint32_t> excited = space.excited(state);
    std::vector<std::uint32_t> deciding;
    for (const std::uint32_t gate : excited) {
      const State to = space.fire(state, gate);
      if (space.fates(to) != here) deciding.push_back(gate);
      if (space.visit_once(to)) queue.push_back(to);
    }
    if (deciding.empty()) continue;
    const auto takes_part = [&](std::uint32_t gate) {
      const State after = space.fire(state, gate);
      if (space.fates(after) != here) return true;
      const std::vector<std::uint32_t> left = space.excited(after);
      for (const std::uint32_t d : deciding) {
        if (!std::binary_search(left.begin(), left.end(), d)) return true;
        if (space.fates(space.fire(after, d)) != space.fates(space.fire(state, d))) return true;
      }
      return false;
    };
    std::vector<std::uint32_t> race;
    for (const std::uint32_t gate : excited) {
      if (takes_part(gate)) race.push_back(gate);
    }
    if (race.size() >= 2) return race;
    if (second_best.empty()) second_best = excited;
  }
  return second_best;
}

}  // namespace settle
