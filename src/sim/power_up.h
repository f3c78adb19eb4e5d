// The states in which a circuit can start.
#pragma once

#include <span>
#include <vector>

#include "settle/circuit.h"
#include "sim/bound_stimulus.h"

namespace settle {

/// One value per gate.
using GateValues = std::vector<Value>;

/// Chosen values held, everything else computed from them and the inputs, from unknown (the least
/// fixed point); what they leave open stays x.
GateValues chosen_start(const Circuit& circuit, std::span<const Value> inputs,
                        std::span<const BoundAssignment> chosen);

/// Every gate output at random, then excited gates fire one at a time in random order until none
/// is left, as unequal real gates do; gives up after 64 firings a gate and 4096 (an oscillator).
/// The same seed gives the same state on every machine.
GateValues random_start(const Circuit& circuit, std::span<const Value> inputs, std::uint64_t seed);

}  // namespace settle
