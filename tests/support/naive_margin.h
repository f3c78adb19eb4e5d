// The slow twin of the margin search: every assignment of delays on a grid, through the kernel.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "analysis/space_steps.h"
#include "analysis/witness_check.h"
#include "settle/kernel.h"
#include "settle/state_space.h"
#include "support/catch.h"

namespace settle::testing {

/// Where a step ends with these delays; no_state: it never rests.
inline std::uint32_t ending_with(const Circuit& circuit, const StateSpace& space, const Transition& step,
                                 const std::vector<Ending::Delay>& delays) {
  const auto copy = replay_circuit(circuit, delays);
  INFO(witness_netlist(circuit, "replay", delays));
  REQUIRE(copy);
  Kernel kernel = start_step(*copy, {}, space, step);
  if (look_ahead(kernel, 1'000'000).kind != Continuation::Kind::settles) return no_state;
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
  return find_state(space, step.inputs, kernel.values().data() + circuit.input_count());
}

/// The least k for which some assignment with every gate within scale - k .. scale + k times its nominal
/// delay ends elsewhere than nominal delays; `scale` when there is none with k < scale. With `separate_edges`
/// rise and fall of each gate are chosen apart. Tries (2 k + 1) to the power of the gates.
inline Time grid_margin(const Circuit& circuit, const StateSpace& space, const Transition& step, Time scale,
                        bool separate_edges = false) {
  const std::size_t factors = circuit.gate_count() * (separate_edges ? 2u : 1u);
  const auto delays_of = [&](const std::vector<Time>& choice) {
    std::vector<Ending::Delay> delays;
    for (GateId g = 0; g < circuit.gate_count(); ++g) {
      const GateDelay& nominal = circuit.delay(g);
      delays.push_back({g, nominal.rise.typ * choice[separate_edges ? 2 * g : g],
                        nominal.fall.typ * choice[separate_edges ? 2 * g + 1 : g]});
    }
    return delays;
  };
  const std::uint32_t right = ending_with(circuit, space, step, delays_of(std::vector<Time>(factors, scale)));
  for (Time k = 1; k < scale; ++k) {
    std::vector<Time> choice(factors, scale - k);
    for (;;) {
      // What lies within a smaller range was tried before.
      const bool is_new =
          std::any_of(choice.begin(), choice.end(), [&](Time t) { return t == scale - k || t == scale + k; });
      if (is_new && ending_with(circuit, space, step, delays_of(choice)) != right) return k;
      std::size_t f = 0;
      while (f < factors && choice[f] == scale + k) choice[f++] = scale - k;
      if (f == factors) break;
      ++choice[f];
    }
  }
  return scale;
}

}  // namespace settle::testing
