// Confirms a witness by simulating the whole circuit.
#pragma once

#include <optional>

#include "settle/kernel.h"
#include "settle/witness.h"

namespace settle {

/// The circuit read back from witness_netlist() with these delays; nothing when it does not come back.
std::optional<Circuit> replay_circuit(const Circuit& circuit, const std::vector<Ending::Delay>& delays);

/// A kernel in the start state of a step, its inputs just changed, at time 0.
Kernel start_step(const Circuit& circuit, const KernelOptions& options, const StateSpace& space, const Transition& step);

/// Reads the circuit back from witness_netlist() and runs the kernel with those delays: does the step
/// end as the witness says?
bool confirm_ending(const Circuit& circuit, const StateSpace& space, const Transition& step, const Ending& ending);

}  // namespace settle
