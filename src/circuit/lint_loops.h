// Part of lint_circuit().
#pragma once

#include <vector>

#include "settle/lint.h"

namespace settle {

/// Findings of kind "unforced-loop". `known`: constant_nets() of the circuit.
void lint_loops(const Circuit& circuit, const std::vector<Value>& known, const LintOptions& options,
                Diagnostics& diagnostics);

}  // namespace settle
