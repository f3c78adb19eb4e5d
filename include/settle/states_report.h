// `settle states` in its forms.
#pragma once

#include <string>

#include "settle/report.h"
#include "settle/states.h"

namespace settle {

/// Stable states, flow table, power-up, synchronising sequence, steps that do not settle. Long lists are cut
/// unless `all`.
std::string states_text(const StatesStudy& study, const Circuit& circuit, const TextStyle& style, bool all = false);

/// Document states/1.
std::string states_json(const StatesStudy& study, const Circuit& circuit);

/// The state graph in the DOT language: stable states and the steps between them in which one input
/// changes, or all steps.
std::string states_dot(const StatesStudy& study, const Circuit& circuit, bool all = false);

}  // namespace settle
