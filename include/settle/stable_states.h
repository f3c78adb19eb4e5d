// All stable states of a circuit for given inputs.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

struct StableSearch {
  std::uint64_t limit = 1'000'000;   ///< states to list at most
};

struct StableList {
  bool complete = true;                     ///< false: the limit was reached
  std::vector<std::vector<Value>> states;   ///< one value per gate, sorted
};

/// Stable states for these input values (one per input bit, all 0 or 1), in ascending order.
/// Depth-first search over loop gates with propagation; exact. Gates on three-state wires count
/// with the value they drive. A state with an x or z on a gate input is not listed.
StableList find_stable_states(const Circuit& circuit, std::span<const Value> inputs,
                              const StableSearch& search = {});

}  // namespace settle
