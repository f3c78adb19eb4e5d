// Inputs of a cell that another cell keeps opposite.
#pragma once

#include <vector>

#include "analysis/cell_study.h"
#include "analysis/part_split.h"

namespace settle {

/// Fills `opposite_inputs` of each study: pairs of inputs that, wherever the cell stands, come from one other
/// cell and are opposite in all states of that. `study_of`: by part, or no_id.
void find_opposite_inputs(const std::vector<CircuitPart>& parts, const std::vector<std::uint32_t>& study_of,
                          std::vector<CellStudy>& studies);

/// A set and a reset that are never equal are one data line: makes a transparent latch of such a gated
/// set-reset latch. `facts`: those of the study, with its names.
void take_as_data(const CellStudy& study, ExplainedCell& facts);

}  // namespace settle
