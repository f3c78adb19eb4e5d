// Parts that are too large to search, seen at their first state.
#pragma once

#include "analysis/subnetwork.h"
#include "settle/step_analysis.h"

namespace settle {

/// True: certainly more states can be reached from the start than the limits allow. Linear in the pins.
bool has_too_many_choices(const Subnetwork& network, const AnyDelayLimits& limits);

}  // namespace settle
