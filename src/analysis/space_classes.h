// Which stable states are alike.
#pragma once

#include "settle/state_space.h"

namespace settle {

/// Fills StableState::alike, states_held and bits_stored of a space whose states and steps are there.
void find_classes(const Circuit& circuit, StateSpace& space);

}  // namespace settle
