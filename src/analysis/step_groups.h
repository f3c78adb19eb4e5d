// Steps that do not settle, put together by what races in them and how they can end, in words.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "analysis/findings.h"

namespace settle {

constexpr std::size_t most_step_patterns = 4;  ///< told in one sentence

/// Changes of the inputs with the same race and the same outcomes.
struct StepGroup {
  std::set<GateId> racing;
  std::string ends;  ///< "q may end at 0 or at 1"; may be empty
  std::vector<VectorPair> pairs;
  std::vector<std::uint32_t> steps;   ///< indices into the transitions
  std::vector<StepPattern> patterns;  ///< that cover `pairs`; of a group far behind none
};

/// Groups in the order of their first changes. `wanted`: changes with the steps that are in trouble; `free`:
/// changes that patterns may cover as well.
std::vector<StepGroup> group_steps(
    const CellStudy& study, const std::vector<std::pair<VectorPair, std::vector<std::uint32_t>>>& wanted,
    const std::vector<VectorPair>& free);

/// "when a rises, or when b falls with c at 1".
std::string cases_text(const CellStudy& study, const std::vector<StepPattern>& patterns);

/// What the observed nets can be afterwards: "q may end at 0 or at 1"; empty: they all have one value.
std::string endings_text(const CellStudy& study, const std::vector<std::uint32_t>& steps);

/// "when a rises, what if q was 0: g and h race, and q may end at 0 or at 1; when b rises, ...". `what` may
/// be empty.
std::string groups_text(const CellStudy& study, const std::vector<StepGroup>& groups, std::string_view what,
                        bool with_ends);

/// "Slowing down one gate at a time, 'a' is the first to spoil it, once it takes 3 times as long ...". Fills
/// `gates`.
std::string margin_text(const CellStudy& study, const Margin& margin, std::vector<std::string>& gates);

}  // namespace settle
