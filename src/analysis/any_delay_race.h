// The gates of a critical race, found from what each state can still end in.
#pragma once

#include <cstdint>
#include <vector>

namespace settle {

/// What a state can still end in, one bit each: stable states (number modulo 63) and, in the top
/// bit, lasting cycles. Sharing bits above 63 stable states only blurs the choice of the race shown.
using Fates = std::uint64_t;
inline constexpr Fates cycle_fate = Fates{1} << 63;
inline Fates stable_fate(std::size_t outcome) { return Fates{1} << (outcome % 63); }
inline bool is_open(Fates fates) { return (fates & (fates - 1)) != 0; }

/// A state's excited gate decides when its firing alone takes some fate away. The race shown is the
/// set of deciding gates in the state nearest to the start (in single firings) that has two of
/// them; where no state has two, all gates excited in the nearest one that has one.
///
/// Space: `start()`, `fates(state)`, `visit_once(state)` (true the first time), `excited(state)` as
/// a list of gates, `fire(state, gate)`.
template <class Space, class State>
std::vector<std::uint32_t> find_race(Space& space, const State& start) {
  if (!is_open(space.fates(start))) return {};
  std::vector<State> queue{start};
  space.visit_once(start);
  std::vector<std::uint32_t> second_best;
  std::vector<std::uint32_t> deciding;
  for (std::size_t next = 0; next < queue.size(); ++next) {
    const State state = queue[next];
    const Fates here = space.fates(state);
    if (!is_open(here)) continue;
    const std::vector<std::uint32_t> excited = space.excited(state);
    deciding.clear();
    for (const std::uint32_t gate : excited) {
      const State to = space.fire(state, gate);
      if (space.fates(to) != here) deciding.push_back(gate);
      if (space.visit_once(to)) queue.push_back(to);
    }
    if (deciding.size() >= 2) return deciding;
    if (deciding.size() == 1 && second_best.empty()) second_best = excited;
  }
  return second_best;
}

}  // namespace settle
