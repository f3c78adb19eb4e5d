// Theorem (J. A. Brzozowski and C.-J. Seger, ICALP 1986 and IEEE Trans. Computers C-36 (11), 1987): the
// result of ternary simulation of a network from a stable state is the least upper bound of the
// outcome of the binary multiple-winner race analysis of the same network with a delay in every wire
// as well; algorithm A alone gives the least upper bound of all reachable states. The outcome is the
// stable states, the states on non-transient cycles, and what follows from those.
#include <string>
#include <vector>

#include "settle/step_analysis.h"
#include "support/circuit_text.h"
#include "support/naive_any_delay.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"

namespace settle::testing {
namespace {

bool is_stable(const Circuit& circuit, const std::vector<Value>& values) {
  StepAnalyzer analyzer(circuit);
  return analyzer.ternary({values, {}}, false).active.empty();
}

}  // namespace

TEST_CASE("Ternary simulation is the least upper bound of race analysis with wire delays") {
  std::uint64_t compared = 0, unknown_after_b = 0;
  RandomCircuitOptions options;
  for (std::uint64_t seed = 1; compared < 2000; ++seed) {
    REQUIRE(seed < 100'000);
    Random random(seed * 104'729);
    options.least_gates = 2;
    options.most_gates = 4;
    options.least_inputs = 1;
    options.most_inputs = 2;
    options.most_fan_in = 2;
    options.loop_percent = random.between(30, 80);
    options.xor_gates = random.chance(20);
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    const StepCase s = random_step(c, random, true);
    if (s.changes.empty() || !is_stable(c, s.values)) continue;
    NaiveAnyDelay twin(c, s.values, s.changes, false, true);
    if (twin.variables() > 10) continue;
    const NaiveOutcome want = twin.run();
    REQUIRE_FALSE(want.lub_of_reachable.empty());
    CAPTURE(seed, text);
    StepAnalyzer analyzer(c);
    const std::vector<Value> a = analyzer.ternary_values(s.step(), true);
    const std::vector<Value> b = analyzer.ternary_values(s.step(), false);
    for (GateId g = 0; g < c.gate_count(); ++g) {
      REQUIRE(a[c.output_of(g)] == want.lub_of_reachable[g]);
      REQUIRE(b[c.output_of(g)] == want.lub_of_outcome[g]);
      if (b[c.output_of(g)] == Value::x) ++unknown_after_b;
    }
    ++compared;
  }
  CHECK(unknown_after_b > 100);  // the sample is not all plain sailing
}

}  // namespace settle::testing
