// A little circuit simulated with given gate delays, and walked in its any-delay relation.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/narrow_network.h"
#include "settle/time.h"

namespace settle {

/// Rise and fall delay of each gate of a network, at least 1.
struct GateTimes {
  std::vector<Time> rise, fall;
};

/// What a network does from its start state with these delays.
struct DelayRun {
  struct Instant {
    Time time;
    std::uint64_t fired;     ///< gates that change
  };
  bool decided = false;      ///< it rested or repeated a state within the instants looked at
  bool repeats = false;
  std::uint64_t end = 0;     ///< last state
  Time period = 0;
  std::size_t round = 0;     ///< repeats: first instant of the round
  std::vector<Instant> instants;
};

/// The rules of Kernel: one pending change a gate, dropped when the gate is no longer excited; all
/// changes due together are made together. Repeating states are compared with their pending times.
DelayRun run_with(const NarrowNetwork& network, const GateTimes& times);

/// Firings that lead from the start state to `goal`, one set an entry. Shortest; of single gates where
/// single gates get there. Empty when none was found among `most_states` states.
std::vector<std::uint64_t> find_firings(const NarrowNetwork& network, std::uint64_t goal, std::size_t most_states);

/// Delays that follow from the wish that these sets fire one after another. They need not make it so.
GateTimes times_for(const NarrowNetwork& network, const std::vector<std::uint64_t>& firings);

}  // namespace settle
