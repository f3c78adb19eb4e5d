// Depth-first search lists millions of states a second where little hangs together and can be lost
// for ever where much does; a SAT solver with learning is the other way round. So the search begins
// and has a budget that grows with what it finds; when that is used up, the solver goes on from where
// the search stands: what was searched is shut out by clauses, then each assignment that the solver
// finds is shut out by its deciding variables (the others follow from them).
#include "analysis/group_search.h"

#include "analysis/clause_search.h"
#include "analysis/sat_solver.h"
#include "settle/progress.h"

namespace settle {
namespace {

constexpr std::uint64_t first_budget = 100'000;  // assignments, some milliseconds
constexpr std::uint64_t slice = 1'000'000;       // between two looks at `stop`

bool visit_by_sat(const GroupClauses& group, const std::vector<std::vector<Literal>>& shut_out,
                  const std::atomic<bool>* stop, const AssignmentVisitor& visitor) {
  SatSolver solver(SatSolver::Purpose::listing);
  solver.add(group.clauses);
  for (const auto& clause : shut_out) solver.add(clause);
  std::vector<std::uint8_t> values(2 * group.clauses.variable_count());
  std::vector<Literal> clause;
  for (;;) {
    const auto answer = solver.solve({}, 0, stop);
    if (answer == SatSolver::Answer::no) return true;
    if (answer == SatSolver::Answer::unknown) return false;
    for (Literal literal = 0; literal < values.size(); ++literal)
      values[literal] = solver.value(literal) ? 1 : 0;
    clause.clear();
    for (const std::uint32_t v : group.deciding) clause.push_back(literal_of(v, values[literal_of(v)] == 0));
    if (!visitor(values)) return false;
    solver.add(clause);
  }
}

}  // namespace

bool visit_assignments(const GroupClauses& group, StableMethod method, const std::atomic<bool>* stop,
                       const AssignmentVisitor& visitor) {
  if (method == StableMethod::sat) return visit_by_sat(group, {}, stop, visitor);
  ClauseSearch search(group.clauses, group.deciding);
  const std::uint64_t per_state = 64 + 8 * std::uint64_t{group.clauses.variable_count()};
  std::uint64_t allowed = first_budget;
  for (;;) {
    const bool patient = method == StableMethod::search;
    const std::uint64_t used = search.assignments();
    const auto outcome = search.next(patient ? slice : allowed > used ? allowed - used : 0);
    if (outcome == ClauseSearch::Outcome::exhausted) return true;
    if (outcome == ClauseSearch::Outcome::found) {
      if (is_set(stop) || !visitor(search.values())) return false;
      allowed += per_state;
    } else if (is_set(stop)) {
      return false;
    } else if (!patient) {
      return visit_by_sat(group, search.searched(), stop, visitor);
    }
  }
}

}  // namespace settle
