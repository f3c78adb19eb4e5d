// Depth-first search lists millions of states a second where little hangs together and can be lost
// for ever where much does. So it begins, with a budget that grows with what it finds; when that is used
// up, a search that looks ahead goes on, which is the best at clauses that hang together without much
// order, and last a SAT solver with learning, for large clauses with an order to be learnt. Each goes on
// from where the one before stands: what was searched is shut out by clauses. An assignment that the
// solver finds is shut out by its deciding variables (the others follow from them).
#include "analysis/group_search.h"

#include <algorithm>
#include <utility>

#include "analysis/clause_search.h"
#include "analysis/look_ahead.h"
#include "analysis/sat_solver.h"
#include "settle/progress.h"

namespace settle {
namespace {

constexpr std::uint64_t first_budget = 100'000;  // assignments, some milliseconds
constexpr std::uint64_t slice = 1'000'000;       // between two looks at `stop`
constexpr std::uint64_t look_ahead_budget = 20'000'000;  // about a second
constexpr std::uint32_t look_ahead_variables = 2'000;    // above it takes its time to look

using Clauses = std::vector<std::vector<Literal>>;

bool visit_by_sat(const GroupClauses& group, const Clauses& shut_out, const std::atomic<bool>* stop,
                  const AssignmentVisitor& visitor) {
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

enum class End : std::uint8_t { all_seen, ended, gave_up };

// `budget`: assignments of a variable; it grows with what is found. No budget: as long as it takes.
template <class Search>
End visit_by(Search& search, std::uint64_t budget, std::uint64_t per_state, const std::atomic<bool>* stop,
             const AssignmentVisitor& visitor) {
  for (std::uint64_t allowed = budget;;) {
    const std::uint64_t used = search.assignments();
    const std::uint64_t left = budget == 0 ? slice : allowed > used ? allowed - used : 0;
    const auto outcome = search.next(std::min(left, slice));
    if (outcome == Search::Outcome::exhausted) return End::all_seen;
    if (is_set(stop)) return End::ended;
    if (outcome == Search::Outcome::found) {
      if (!visitor(search.values())) return End::ended;
      allowed += per_state;
    } else if (budget != 0 && search.assignments() >= allowed) {
      return End::gave_up;
    }
  }
}

}  // namespace

bool visit_assignments(const GroupClauses& group, StableMethod method, const std::atomic<bool>* stop,
                       const AssignmentVisitor& visitor) {
  if (method == StableMethod::sat) return visit_by_sat(group, {}, stop, visitor);
  const std::uint64_t per_state = 64 + 8 * std::uint64_t{group.clauses.variable_count()};
  ClauseSearch search(group.clauses, group.deciding);
  const std::uint64_t budget = method == StableMethod::search ? 0 : first_budget;
  End end = visit_by(search, budget, per_state, stop, visitor);
  if (end != End::gave_up) return end == End::all_seen;
  Clauses shut_out = search.searched();
  if (group.clauses.variable_count() <= look_ahead_variables) {
    ClauseSet rest = group.clauses;
    for (const auto& clause : shut_out) rest.add(clause);
    LookAheadSearch look_ahead(rest);
    end = visit_by(look_ahead, look_ahead_budget, per_state, stop, visitor);
    if (end != End::gave_up) return end == End::all_seen;
    for (auto& clause : look_ahead.searched()) shut_out.push_back(std::move(clause));
  }
  return visit_by_sat(group, shut_out, stop, visitor);
}

}  // namespace settle
