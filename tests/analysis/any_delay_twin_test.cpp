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

// Two or three small loops behind a shared row or fork of front gates: what splitting at fronts is for.
TEST_CASE("Loops behind shared fronts agree with the enumeration of all subsets") {
  std::uint64_t compared = 0, split = 0;
  for (std::uint64_t seed = 1; seed <= 700; ++seed) {
    Random random(seed * 6271);
    std::string text = "cell fronts\n in clk i0 i1 i2\n out q0\n";
    std::vector<std::string> fronts{"clk"};
    const std::uint32_t front_gates = random.between(1, 3);
    for (std::uint32_t f = 0; f < front_gates; ++f) {
      const std::string from = random.chance(75) ? fronts.back() : random.pick(fronts);
      const std::string to = "f" + std::to_string(f);
      text += std::string(random.chance(60) ? " not" : " buf") + " front_" + to + ": " + from + " -> " + to +
              "\n";
      fronts.push_back(to);
    }
    const std::uint32_t blocks = random.between(2, front_gates < 3 ? 3 : 2);
    for (std::uint32_t b = 0; b < blocks; ++b) {
      const std::string n = std::to_string(b);
      const auto gate = [&](const std::string& to, const std::string& loop) {
        static const std::vector<std::string> kinds{"nor", "nand", "and", "or", "xor"};
        text += " " + random.pick(kinds) + " g_" + to + ": " + loop + " " + random.pick(fronts);
        if (random.chance(30)) text += " i" + n;
        if (random.chance(20)) text += " " + random.pick(fronts);
        text += " -> " + to + "\n";
      };
      if (random.chance(20)) {
        gate("q" + n, "q" + n);
      } else {
        gate("q" + n, "p" + n);
        gate("p" + n, "q" + n);
      }
    }
    const Circuit c = circuit(text + "end\n");
    const StepCase step = random_step(c, random, random.chance(60));
    CAPTURE(seed, text);
    compare(c, step, false, compared);
    if (random.chance(30)) compare(c, step, true, compared);
    Reductions whole;
    whole.split_fronts = false;
    StepAnalyzer analyzer(c);
    if (analyzer.any_delay(step.step()).parts.size() >
        analyzer.any_delay(step.step(), {}, false, whole).parts.size()) {
      ++split;
    }
  }
  CHECK(compared >= 500);
  CHECK(split >= 20);
}

}  // namespace settle::testing
