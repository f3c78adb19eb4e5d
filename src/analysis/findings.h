// Findings about a cell, a file each; and sets of steps as a few patterns.
#pragma once

#include <string>
#include <vector>

#include "analysis/cell_study.h"

namespace settle {

void add_pulse_finding(CellStudy& study);
/// Steps that do not settle: undecided, oscillating, delay-dependent, with cures and margins.
void add_step_findings(CellStudy& study, const ExplainOptions& options);
/// Sets inputs and message of a set-up, hold and recovery rule.
void word_timing_rule(ExplainFinding& finding, const std::string& clock);
/// Steps that are not proved when wires have delays, too.
void add_wire_findings(CellStudy& study);
/// Inputs with which a wire may be without a level.
void add_level_finding(CellStudy& study);

/// A step as input values before and after.
struct VectorPair {
  VectorIndex from = 0, to = 0;
  auto operator<=>(const VectorPair&) const = default;
};

/// Steps of two inputs that settle when both arrive at once, but not with any skew; ascending.
std::vector<VectorPair> skewed_trouble(const CellStudy& study, const ExplainOptions& options);

/// For each input the pairs (before, after) that it may take: bit 2 * before + after. A product of sets.
using StepPattern = std::vector<std::uint8_t>;

/// Covers exactly the pairs in `wanted` (and maybe some of `free`) with patterns, few and large.
/// `wanted` is sorted; both are of `inputs` bits.
std::vector<StepPattern> cover_with_patterns(unsigned inputs, const std::vector<VectorPair>& wanted,
                                             const std::vector<VectorPair>& free);

/// "s and r fall together", "d rises while c falls with en at 1".
std::string pattern_text(const CellStudy& study, const StepPattern& pattern);
/// The inputs that change in all steps of the pattern.
std::vector<std::string> changing_inputs(const CellStudy& study, const StepPattern& pattern);
bool contains(const StepPattern& pattern, VectorPair pair);
/// "1 further kind of changes".
std::string further_kinds(std::size_t number);

}  // namespace settle
