// Remarks below a characteristic table.
#pragma once

#include "settle/table.h"

namespace settle {

/// Steps that do not settle: several inputs at once, and single inputs where the gate delays decide.
/// A step is left out when a part of its changes already does as badly.
void add_step_notes(Table& table, const StateSpace& space);

/// Where inner nets are stored between the edges of an input: what the outputs become after both
/// edges, when the outputs alone decide that. Few inputs and outputs only.
void add_pulse_notes(Table& table, const Circuit& circuit, const StateSpace& space);

}  // namespace settle
