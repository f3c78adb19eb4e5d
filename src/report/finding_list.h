// Findings and failed expectations as text.
#pragma once

#include <string>
#include <vector>

#include "report/diagram_text.h"

namespace settle::report {

/// A, B, ... Z, AA, AB, ...
std::string letters(std::size_t index);

/// One mark for each listed finding and failure.
std::vector<Mark> marks_of(const RunResult& result);

/// "A  at 40  warning indeterminate: ..." with its outcomes, one paragraph a finding.
std::string finding_list(const RunResult& result, const TextStyle& style);

/// Failed expectations, numbered from 1, with the last changes that led there.
std::string failure_list(const RunResult& result, const Sources& sources, const TextStyle& style);

/// "5 expectations passed, 0 failed; 1 warning, 2 notes: pass", and why a run is incomplete.
std::string run_summary(const RunResult& result, const TextStyle& style);

}  // namespace settle::report
