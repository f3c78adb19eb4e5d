#include "parts/place_program.h"

#include <numeric>
#include <random>
#include <set>

#include "support/catch.h"

namespace settle {
namespace {

using enum GateKind;

/// The slow and obvious twin: packages one by one more, each choice of them, each way for each gate.
class EveryChoice {
 public:
  explicit EveryChoice(const PlaceProblem& problem) : p_(problem) {
    for (const auto& package : p_.packages) functions_.push_back(package.gate);
  }

  std::uint64_t fewest(std::uint64_t most) {
    std::vector<GateNeed> open;
    std::vector<PlaceClass> classes;
    for (const auto& demand : p_.demands) {
      for (std::uint64_t i = 0; i < demand.count; ++i) classes.push_back(demand.gate);
    }
    for (std::uint64_t count = 0; count <= most; ++count) {
      std::vector<std::uint32_t> free(p_.packages.size(), 0);
      if (try_packages(0, count, free, classes)) return count;
    }
    return most + 1;
  }

 private:
  bool try_packages(std::size_t package, std::uint64_t left, std::vector<std::uint32_t>& free,
                    const std::vector<PlaceClass>& classes) {
    if (package == p_.packages.size()) {
      seen_.clear();
      return left == 0 && build(classes, free);
    }
    for (std::uint64_t n = 0; n <= left; ++n) {
      free[package] = static_cast<std::uint32_t>(n) * p_.packages[package].gates;
      if (try_packages(package + 1, left - n, free, classes)) return true;
    }
    free[package] = 0;
    return false;
  }

  bool build(std::vector<PlaceClass> open, const std::vector<std::uint32_t>& free) {
    if (open.empty()) return true;
    if (open.size() > std::accumulate(free.begin(), free.end(), 0u)) return false;
    std::sort(open.begin(), open.end());
    if (!seen_.emplace(open, free).second) return false;
    const PlaceClass gate = open.back();
    open.pop_back();
    for (const GateNeed& need : {gate.need, gate.reduced}) {
      if (need != gate.need && p_.level == Substitute::none) continue;
      for (const Way& way : ways_of(need, functions_, p_.level)) {
        if (way.level != Substitute::full) {
          for (std::size_t p = 0; p < functions_.size(); ++p) {
            if (functions_[p] != way.gates.front().need || free[p] == 0) continue;
            auto less = free;
            less[p]--;
            if (build(open, less)) return true;
          }
          continue;
        }
        auto more = open;
        for (const WayGate& part : way.gates) more.push_back({part.need, part.need});
        if (build(std::move(more), free)) return true;
      }
    }
    return false;
  }

  const PlaceProblem& p_;
  std::vector<GateNeed> functions_;
  std::set<std::pair<std::vector<PlaceClass>, std::vector<std::uint32_t>>> seen_;
};

void check_against_twin(const PlaceProblem& problem, std::uint64_t most) {
  if (!impossible_needs(problem).empty()) return;
  const auto answer = solve_places(problem);
  REQUIRE(answer);
  CHECK(answer->is_fewest);
  if (answer->total <= most) {
    CHECK(EveryChoice(problem).fewest(most) == answer->total);
  } else {
    CHECK(EveryChoice(problem).fewest(most) > most);
  }
}

const GateNeed kinds[] = {{nor, 2}, {nand, 2}, {and_, 2}, {or_, 2}, {not_, 1},
                          {nor, 3}, {nand, 3}, {nand, 4}, {buf, 1}};
const PlaceProblem::Package packages[] = {{{nand, 2}, 4}, {{nor, 2}, 4},  {{not_, 1}, 6},
                                          {{and_, 2}, 4}, {{or_, 2}, 4},  {{nand, 3}, 3},
                                          {{nor, 3}, 3},  {{nand, 4}, 2}, {{and_, 3}, 3}};

PlaceProblem random_problem(std::mt19937& random, Substitute level, std::size_t kinds_of_package,
                            std::uint64_t gates) {
  PlaceProblem problem;
  problem.level = level;
  std::set<std::size_t> chosen;
  while (chosen.size() < kinds_of_package) chosen.insert(random() % std::size(packages));
  for (const auto p : chosen) problem.packages.push_back(packages[p]);
  while (gates > 0) {
    const std::uint64_t count = 1 + random() % gates;
    const GateNeed need = kinds[random() % std::size(kinds)];
    const bool joined = need.inputs == 2 && random() % 4 == 0;
    problem.demands.push_back(
        {{need, joined ? GateNeed{need.kind == and_ || need.kind == or_ ? buf : not_, 1} : need}, count});
    gates -= count;
  }
  return problem;
}

TEST_CASE("As few packages as trying every choice finds") {
  std::mt19937 random(7);
  SECTION("gates as they are") {
    for (int i = 0; i < 60; ++i)
      check_against_twin(random_problem(random, Substitute::none, 5, 1 + random() % 12), 5);
  }
  SECTION("one gate for another") {
    for (int i = 0; i < 60; ++i)
      check_against_twin(random_problem(random, Substitute::tied, 5, 1 + random() % 9), 4);
  }
  SECTION("several for one") {
    for (int i = 0; i < 30; ++i)
      check_against_twin(random_problem(random, Substitute::full, 2, 1 + random() % 4), 2);
  }
}

TEST_CASE("Spare gates save packages") {
  PlaceProblem problem;
  for (const auto& package : packages) problem.packages.push_back(package);
  problem.demands = {{{{nor, 2}, {nor, 2}}, 2}, {{{not_, 1}, {not_, 1}}, 1}, {{{and_, 2}, {and_, 2}}, 2}};
  CHECK(solve_places(problem).has_value());
  CHECK(solve_places(problem)->total == 3);
  problem.level = Substitute::tied;
  CHECK(solve_places(problem)->total == 2);
  // With De Morgan the four gates of one package do not suffice, nine would be needed.
  problem.level = Substitute::full;
  CHECK(solve_places(problem)->total == 2);
  problem.demands = {{{{nand, 2}, {nand, 2}}, 2}, {{{and_, 2}, {and_, 2}}, 1}};
  CHECK(solve_places(problem)->total == 1);
  problem.level = Substitute::tied;
  CHECK(solve_places(problem)->total == 2);
}

TEST_CASE("A register of a million gates is no more work than a small one") {
  PlaceProblem problem;
  for (const auto& package : packages) problem.packages.push_back(package);
  problem.level = Substitute::full;
  problem.demands = {{{{nor, 2}, {nor, 2}}, 600'001}, {{{and_, 2}, {and_, 2}}, 400'000}};
  const auto answer = solve_places(problem);
  REQUIRE(answer);
  CHECK(answer->total == 250'001);
  CHECK(answer->is_fewest);
}

TEST_CASE("Gates that no package has") {
  PlaceProblem problem;
  problem.packages = {{{nor, 2}, 4}};
  problem.demands = {{{{nor, 5}, {nor, 5}}, 1}};
  CHECK(impossible_needs(problem).size() == 1);
  problem.level = Substitute::tied;
  CHECK(impossible_needs(problem).size() == 1);
  problem.level = Substitute::full;
  CHECK(impossible_needs(problem).empty());
  REQUIRE(solve_places(problem));
  // Four ors of two and one nor at the end; each or is a nor and an inverter: 3 * 2 + 1 gates.
  CHECK(solve_places(problem)->total == 2);
}

TEST_CASE("Named chips take part in the sum") {
  PlaceProblem problem;
  problem.packages = {{{nor, 2}, 4}, {{and_, 2}, 4}};
  problem.demands = {{{{nor, 2}, {nor, 2}}, 3}};
  problem.named = {{{0, 1}, {0, 0}, 1}};
  auto answer = solve_places(problem);
  REQUIRE(answer);
  CHECK(answer->total == 1);
  CHECK(answer->named == std::vector<std::uint32_t>{0});
  problem.named = {{{1}, {0}, 1}};
  answer = solve_places(problem);
  REQUIRE(answer);
  CHECK(answer->total == 2);
  problem.packages[0].asked_for = 2;
  answer = solve_places(problem);
  REQUIRE(answer);
  CHECK(answer->total == 3);
}

}  // namespace
}  // namespace settle
