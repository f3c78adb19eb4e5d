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

/// That data must rest around the clock, where all of them come from cells on the same clock: no user can see
/// to that, and the rule for cells in a row says what it takes.
bool is_own_clock_rule(const ExplainFinding& finding, const CellInstance& cell,
                       const std::vector<CellInstance>& instances);

}  // namespace settle
