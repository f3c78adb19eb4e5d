// The flow table of a state space, and its synchronising sequence.
#pragma once

#include "settle/state_space.h"

namespace settle {

/// Fills StateSpace::flow. Rows: stable states that go the same ways in all columns are one row.
void make_flow_table(StateSpace& space);

/// Fills synchronising_sequence and synchronising_known. All steps must be judged.
void find_synchronising_sequence(StateSpace& space);

}  // namespace settle
