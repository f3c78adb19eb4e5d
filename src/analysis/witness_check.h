// Confirms a witness by simulating the whole circuit.
#pragma once

#include "settle/witness.h"

namespace settle {

/// Reads the circuit back from witness_netlist() and runs the kernel with those delays: does the step
/// end as the witness says?
bool confirm_ending(const Circuit& circuit, const StateSpace& space, const Transition& step, const Ending& ending);

}  // namespace settle
