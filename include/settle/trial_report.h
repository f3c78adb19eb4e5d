// What a trial shows: the state in a line, the last stretch of the waveform, findings.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/trial.h"

namespace settle {

/// "12  enter=1 leave=0 -> occupied=1 clear=0", the findings that are new below it.
std::string trial_state(const Trial& trial, const TextStyle& style);

/// The timing diagram of the outputs, and of the inputs above them, over the last `instants` times at which one of
/// all of these changed.
std::string trial_waveform(const Trial& trial, std::size_t instants, const TextStyle& style,
                           bool with_inputs = true);

/// "warning indeterminate: ...", a line each, those that the last statements brought.
std::string trial_findings(const Trial& trial, const TextStyle& style);

}  // namespace settle
