// Demands on times, compared with what was measured.
#pragma once

#include <string>

#include "settle/requirement.h"
#include "settle/timing.h"

namespace settle {

/// Judges a demand with is_timing(). `cell`: for messages.
RequirementOutcome judge_times(const Requirement& demand, const Timing& timing, const std::string& cell);

}  // namespace settle
