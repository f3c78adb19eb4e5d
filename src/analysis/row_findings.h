// What to know of storage cells in a row.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/cell_groups.h"
#include "analysis/cell_study.h"
#include "analysis/part_split.h"
#include "settle/explain.h"

namespace settle {

/// A circuit taken apart: its parts, which study each has, and the storage cells among them.
struct StudiedParts {
  const Circuit& circuit;
  const ExplainOptions& options;
  const std::vector<CircuitPart>& parts;
  const std::vector<std::uint32_t>& study_of;  ///< by part, or no_id
  const std::vector<CellStudy>& studies;
  const std::vector<CellInstance>& instances;       ///< grouped
  const std::vector<std::uint32_t>& instance_part;  ///< by instance
};

/// Adds findings of kind `neighbours`: flip-flops that race each other at their clock, latches that are open
/// at the same time.
void add_row_findings(const StudiedParts& studied, Explanation& result);

/// Takes out of a set-up and hold rule the data that come from cells on the same clock: no user can see to those, and
/// the rule for cells in a row says what it takes. True when nothing is left of it.
bool leave_out_own_clock(ExplainFinding& finding, const CellInstance& cell, const std::vector<CellInstance>& instances);

}  // namespace settle
