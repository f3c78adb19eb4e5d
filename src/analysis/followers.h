// Which of the gates behind the loops differ, once the loops are judged.
#pragma once

#include <vector>

#include "analysis/part_nodes.h"
#include "analysis/subnetwork.h"
#include "analysis/ternary.h"
#include "settle/step_analysis.h"

namespace settle {

/// Active gates outside all parts that differ as in StepPart::differing. `parts` and `nodes` go
/// together. `ternary` must hold the step after B, with the gates that reach no loop.
///
/// Exact where the parts in front of a gate have no lasting cycle and few enough outcomes to go
/// through, or are small; else a gate too many can be named (ternary evaluation).
std::vector<GateId> find_differing_followers(const Circuit& circuit, const Step& step,
                                             const TernarySimulator& ternary, SubnetworkBuilder& subnetworks,
                                             const std::vector<StepPart>& parts,
                                             const std::vector<PartNodes>& nodes);

}  // namespace settle
