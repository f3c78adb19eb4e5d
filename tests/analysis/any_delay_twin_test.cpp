// The any-delay analysis against its obvious twin, with each reduction switched off in turn.
#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "analysis/any_delay_search.h"
#include "settle/step_analysis.h"
#include "support/circuit_text.h"
#include "support/naive_any_delay.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"

namespace settle::testing {
namespace {

std::vector<std::pair<std::string, Reductions>> all_switches() {
  const bool on = true, off = false;
  return {{"all", {}},
          {"none", {off, off, off, off, off, off}},
          {"all gates", {off, on, on, on, on, on}},
          {"followers kept", {on, off, on, on, on, on}},
          {"not split", {on, on, off, off, on, on}},
          {"not split at fronts", {on, on, on, off, on, on}},
          {"no ternary", {on, on, on, on, off, on}},
          {"no ternary, no followers cut", {on, off, on, on, off, off}},
          {"no reuse", {on, on, on, on, on, off}}};
}

void compare(const Circuit& circuit, const StepCase& c, bool skewed, std::uint64_t& compared) {
  NaiveAnyDelay twin(circuit, c.values, c.changes, skewed);
  if (twin.variables() > 12) return;
  const NaiveOutcome want = twin.run(1u << 11);
  if (want.lub_of_reachable.empty()) return;
  ++compared;
  StepAnalyzer analyzer(circuit);
  for (const auto& [name, reductions] : all_switches()) {
    INFO(name << (skewed ? " skewed" : ""));
    const StepOutcome got = analyzer.any_delay(c.step(), {}, skewed, reductions);
    REQUIRE(got.complete);
    REQUIRE(got.known);
    REQUIRE(got.has_outcome() == !want.outcomes.empty());
    REQUIRE(got.may_cycle() == want.may_cycle);
    REQUIRE(got.settles() == (want.outcomes.size() == 1 && !want.may_cycle));
    const std::vector<GateId> differing(want.differing.begin(), want.differing.end());
    REQUIRE(differing == got.differing);
    if (got.has_outcome()) {
      REQUIRE(got.outcome_count() == want.outcomes.size());
      // Each stable state of the twin, cut down to the gates of a part, is an outcome of that part.
      for (const StepPart& part : got.parts) {
        std::set<std::vector<Value>> cut;
        for (const auto& outcome : want.outcomes) {
          std::vector<Value> values;
          for (const GateId gate : part.gates) values.push_back(outcome[gate]);
          cut.insert(values);
        }
        REQUIRE(std::vector<std::vector<Value>>(cut.begin(), cut.end()) == part.outcomes);
      }
    }
    for (const StepPart& part : got.parts) {
      REQUIRE(std::is_sorted(part.gates.begin(), part.gates.end()));
      REQUIRE(std::is_sorted(part.racing.begin(), part.racing.end()));
      REQUIRE(std::includes(part.gates.begin(), part.gates.end(), part.racing.begin(), part.racing.end()));
      if (part.outcomes.size() == 1 && !part.may_cycle) REQUIRE(part.racing.empty());
    }
  }
}

}  // namespace

TEST_CASE("Any-delay analysis agrees with the enumeration of all subsets") {
  RandomCircuitOptions options;
  std::uint64_t compared = 0;
  for (std::uint64_t seed = 1; seed <= 1500; ++seed) {
    Random random(seed * 7919);
    options.least_gates = 2;
    options.most_gates = random.chance(50) ? 6 : 10;
    options.most_fan_in = random.chance(50) ? 2 : 3;
    options.loop_percent = random.between(10, 60);
    options.xor_gates = random.chance(40);
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    const StepCase step = random_step(c, random, random.chance(60));
    CAPTURE(seed, text);
    compare(c, step, false, compared);
    if (step.changes.size() > 1) compare(c, step, true, compared);
  }
  CHECK(compared >= 1000);
}

}  // namespace settle::testing
