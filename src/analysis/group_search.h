// All satisfying assignments of one group of clauses, by the method that suits it.
#pragma once

#include <functional>

#include "analysis/stable_groups.h"
#include "settle/stable_states.h"

namespace settle {

/// Called with 0 or 1 by literal; false ends the search.
using AssignmentVisitor = std::function<bool(const std::vector<std::uint8_t>& values)>;

/// True: the visitor saw all assignments, each once. False: it ended the search, or `stop` did.
bool visit_assignments(const GroupClauses& group, StableMethod method, const std::atomic<bool>* stop,
                       const AssignmentVisitor& visitor);

}  // namespace settle
