#include "analysis/clause_search.h"

#include <set>
#include <string>

#include "analysis/clause_count.h"
#include "analysis/group_search.h"
#include "analysis/sat_solver.h"
#include "support/catch.h"
#include "support/random.h"

namespace settle::testing {
namespace {

ClauseSet random_clauses(Random& random) {
  ClauseSet set;
  const std::uint32_t variables = random.between(1, 12);
  while (set.variable_count() <= variables) set.add_variable();
  const std::uint32_t clauses = random.between(0, 3 * variables);
  for (std::uint32_t i = 0; i < clauses; ++i) {
    std::vector<Literal> clause;
    for (std::uint32_t k = random.between(random.chance(10) ? 1 : 2, 4); k > 0; --k) {
      clause.push_back(literal_of(random.between(1, variables), random.chance(50)));
    }
    set.add(clause);
  }
  return set;
}

// Assignments as texts, variable 1 first.
std::set<std::string> by_trying(const ClauseSet& set) {
  std::set<std::string> found;
  const std::uint32_t variables = set.variable_count() - 1;
  for (std::uint32_t bits = 0; bits < (1u << variables); ++bits) {
    bool good = !set.contradicts();
    for (std::uint32_t i = 0; good && i < set.size(); ++i) {
      good = false;
      for (const Literal literal : set.clause(i))
        good |= ((bits >> (variable_of(literal) - 1)) & 1u) == (1 - (literal & 1u));
    }
    std::string text;
    for (std::uint32_t v = 0; v < variables; ++v) text += ((bits >> v) & 1u) != 0 ? '1' : '0';
    if (good) found.insert(text);
  }
  return found;
}

std::string text_of(const std::vector<std::uint8_t>& values) {
  std::string text;
  for (std::size_t literal = 2; literal < values.size(); literal += 2)
    text += values[literal] == 1 ? '1' : '0';
  return text;
}

}  // namespace

TEST_CASE("All ways to satisfy random clauses agree with trying every assignment") {
  std::uint64_t total = 0, handed_over = 0;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    Random random(seed);
    const ClauseSet set = random_clauses(random);
    const auto want = by_trying(set);
    total += want.size();
    CAPTURE(seed);
    CHECK(count_assignments(set, 1'000'000) == BigCount(want.size()));

    GroupClauses group{set, {}};
    for (std::uint32_t v = 1; v < set.variable_count(); ++v) group.deciding.push_back(v);
    random.shuffle(group.deciding);
    for (const auto method : {StableMethod::search, StableMethod::sat, StableMethod::automatic}) {
      std::set<std::string> got;
      CHECK(visit_assignments(group, method, nullptr, [&](const auto& values) {
        return got.insert(text_of(values)).second;  // each once
      }));
      CHECK(got == want);
    }

    // The search gives up again and again; then the solver gets what is left.
    std::set<std::string> got;
    ClauseSearch search(set, group.deciding);
    const std::uint32_t patience = random.between(0, 20);
    auto outcome = ClauseSearch::Outcome::found;
    for (std::uint32_t i = 0; i <= patience && outcome != ClauseSearch::Outcome::exhausted; ++i) {
      outcome = search.next(random.between(0, 3));
      if (outcome == ClauseSearch::Outcome::found) CHECK(got.insert(text_of(search.values())).second);
    }
    if (outcome == ClauseSearch::Outcome::found) continue;  // what is left is defined after giving up
    handed_over += outcome == ClauseSearch::Outcome::gave_up && got.size() < want.size() ? 1 : 0;
    ClauseSet rest = set;
    for (const auto& clause : search.searched()) rest.add(clause);
    for (const auto& text : by_trying(rest)) CHECK(got.insert(text).second);
    CHECK(got == want);
  }
  CHECK(total > 1000);
  CHECK(handed_over > 20);
}

TEST_CASE("The solver answers under assumptions and names the guilty ones") {
  ClauseSet set;
  for (int i = 0; i < 3; ++i) set.add_variable();
  set.add({literal_of(1, false), literal_of(2)});
  SatSolver solver;
  solver.add(set);
  const std::vector<Literal> bad{literal_of(1), literal_of(2, false), literal_of(3)};
  CHECK(solver.solve(bad) == SatSolver::Answer::no);
  CHECK(solver.took_part(bad[0]));
  CHECK(solver.took_part(bad[1]));
  CHECK_FALSE(solver.took_part(bad[2]));
  const std::vector<Literal> good{literal_of(1), literal_true};
  CHECK(solver.solve(good) == SatSolver::Answer::yes);
  CHECK(solver.value(literal_of(2)));
  CHECK_FALSE(solver.value(literal_of(2, false)));
  CHECK(solver.value(literal_true));
  const std::vector<Literal> never{literal_false};
  CHECK(solver.solve(never) == SatSolver::Answer::no);
}

TEST_CASE("A count that takes too much work is given up") {
  Random random(5);
  ClauseSet set;
  for (int i = 0; i < 30; ++i) set.add_variable();
  for (int i = 0; i < 60; ++i) {
    set.add({literal_of(random.between(1, 30), random.chance(50)),
             literal_of(random.between(1, 30), random.chance(50)),
             literal_of(random.between(1, 30), random.chance(50))});
  }
  CHECK_FALSE(count_assignments(set, 50).has_value());
  CHECK(count_assignments(set, 100'000'000).has_value());
}

}  // namespace settle::testing
