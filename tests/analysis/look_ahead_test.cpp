// Look-ahead search and what it works on, against trying every assignment.
#include "analysis/look_ahead.h"

#include <algorithm>
#include <set>
#include <vector>

#include "support/catch.h"
#include "support/random.h"

namespace settle::testing {
namespace {

using Assignment = std::vector<std::uint8_t>;  // by literal

bool satisfies(const ClauseSet& clauses, std::uint32_t bits) {
  for (std::uint32_t i = 0; i < clauses.size(); ++i) {
    const auto clause = clauses.clause(i);
    if (std::none_of(clause.begin(), clause.end(),
                     [bits](Literal l) { return (((bits >> variable_of(l)) ^ l) & 1u) != 0; }))
      return false;
  }
  return true;
}

// Bit v: variable v; the constant is 1.
std::set<std::uint32_t> tried_out(const ClauseSet& clauses) {
  std::set<std::uint32_t> result;
  for (std::uint32_t bits = 1; bits < (1u << clauses.variable_count()); bits += 2) {
    if (satisfies(clauses, bits)) result.insert(bits);
  }
  return result;
}

std::uint32_t bits_of(const Assignment& values) {
  std::uint32_t bits = 0;
  for (std::uint32_t v = 0; v < values.size() / 2; ++v) {
    CHECK(values[literal_of(v)] + values[literal_of(v, false)] == 1);
    bits |= std::uint32_t{values[literal_of(v)]} << v;
  }
  return bits;
}

// Clauses of 1 to 7 literals, parities of 3 and 4 among them.
ClauseSet random_clauses(Random& random, std::uint32_t variables) {
  ClauseSet clauses;
  while (clauses.variable_count() <= variables) clauses.add_variable();
  const auto literal = [&] { return literal_of(random.between(1, variables), random.chance(50)); };
  std::vector<Literal> literals;
  for (std::uint32_t i = random.between(0, variables); i > 0; --i) {
    literals.clear();
    for (std::uint32_t k = random.chance(5) ? 1 : random.between(2, 7); k > 0; --k)
      literals.push_back(literal());
    clauses.add(literals);
  }
  for (std::uint32_t i = random.between(0, variables / 2); i > 0; --i) {
    literals.clear();
    for (std::uint32_t k = random.between(2, 3); k > 0; --k) literals.push_back(literal());
    clauses.add_parity(literal(), literals);
  }
  for (std::uint32_t i = random.between(0, variables / 2); i > 0; --i) {
    literals.clear();
    for (std::uint32_t k = random.between(1, 4); k > 0; --k) literals.push_back(literal());
    clauses.add_all(literal(), literals);
  }
  return clauses;
}

}  // namespace

TEST_CASE("Looking ahead finds what trying every assignment finds") {
  Random random(31);
  std::size_t found = 0, without = 0;
  for (int i = 0; i < 1500; ++i) {
    const ClauseSet clauses = random_clauses(random, random.between(1, 14));
    const auto expected = tried_out(clauses);
    // Sometimes it gives up again and again, and goes on.
    const std::uint64_t budget = random.chance(50) ? 1'000'000 : 1;
    LookAheadSearch search(clauses);
    std::set<std::uint32_t> seen;
    for (auto outcome = search.next(budget); outcome != LookAheadSearch::Outcome::exhausted;
         outcome = search.next(budget)) {
      if (outcome == LookAheadSearch::Outcome::found) {
        const bool is_new = seen.insert(bits_of(search.values())).second;
        CHECK(is_new);
      }
    }
    REQUIRE(seen == expected);
    CHECK(search.next(budget) == LookAheadSearch::Outcome::exhausted);
    found += seen.size();
    without += seen.empty() ? 1 : 0;
  }
  CHECK(found > 10'000);
  CHECK(without > 100);
}

TEST_CASE("What was searched when it gave up and the rest make up all assignments") {
  Random random(32);
  std::size_t left_over = 0;
  for (int i = 0; i < 500; ++i) {
    const ClauseSet clauses = random_clauses(random, random.between(4, 14));
    LookAheadSearch search(clauses);
    std::set<std::uint32_t> seen;
    auto outcome = LookAheadSearch::Outcome::found;
    while ((outcome = search.next(random.below(60))) == LookAheadSearch::Outcome::found) {
      seen.insert(bits_of(search.values()));
    }
    ClauseSet rest = clauses;
    for (const auto& clause : search.searched()) rest.add(clause);
    const auto others = tried_out(rest);
    if (outcome == LookAheadSearch::Outcome::exhausted) CHECK(others.empty());
    left_over += others.size();
    for (const std::uint32_t bits : others) {
      const bool is_new = seen.insert(bits).second;
      CHECK(is_new);
    }
    REQUIRE(seen == tried_out(clauses));
  }
  CHECK(left_over > 1000);
}

}  // namespace settle::testing
