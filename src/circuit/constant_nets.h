// Nets whose values the wiring fixes.
#pragma once

#include <vector>

#include "settle/circuit.h"

namespace settle {

/// By net: the value that it has once the circuit has had time to answer, whatever the inputs are and
/// whatever the gates came up with; x where the constants and pull gates alone decide none.
std::vector<Value> constant_nets(const Circuit& circuit);

}  // namespace settle
