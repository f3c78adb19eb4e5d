// Short pulses at outputs of logic without a loop.
#pragma once

#include <vector>

#include "settle/explain.h"

namespace settle {

/// For each output that can leave its level for a moment while one input changes and it ends at the level
/// at which it began, one finding with the inputs for which that is so. Gates and wires may have any
/// delays. Nothing for circuits with a loop, and for those too large to try all steps.
std::vector<ExplainFinding> static_hazards(const Circuit& circuit, const ExplainOptions& options);

}  // namespace settle
