// All stable states of a circuit for given inputs.
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// How the loops that hang together are searched. All give the same states.
enum class StableMethod : std::uint8_t {
  automatic,  ///< depth-first search; where that stalls, one that looks ahead, and last the SAT solver
  search,     ///< depth-first search with propagation only
  sat,        ///< the SAT solver only
};

struct StableSearch {
  std::uint64_t limit = 1'000'000;            ///< states to list at most
  StableMethod method = StableMethod::automatic;
  const std::atomic<bool>* stop = nullptr;    ///< set from outside to give up
};

struct StableList {
  bool complete = true;                     ///< false: the limit was reached or the search stopped
  std::vector<std::vector<Value>> states;   ///< one value per gate, sorted
};

/// Stable states for these input values (one per input bit, all 0 or 1), in ascending order.
/// Loops that have nothing to do with one another are searched one by one; exact. Gates on
/// three-state wires count with the value they drive. A state with an x or z on a gate input is not
/// listed.
StableList find_stable_states(const Circuit& circuit, std::span<const Value> inputs,
                              const StableSearch& search = {});

/// Called with one value per gate; the span is valid during the call only. False ends the listing.
using StableVisitor = std::function<bool(std::span<const Value> gates)>;

/// Calls `visitor` for the same states one by one, in no particular order, without keeping them.
/// True: that were all of them; false: there are more (limit, stop, or the visitor ended it).
bool visit_stable_states(const Circuit& circuit, std::span<const Value> inputs, const StableSearch& search,
                         const StableVisitor& visitor);

}  // namespace settle
