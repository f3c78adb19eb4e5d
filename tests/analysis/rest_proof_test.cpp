// Whether inputs alone decide where a circuit comes up, against searches from every state.
#include "settle/state_space.h"
#include "settle/step_analysis.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;

// No lasting cycle from any of the 2^gates states.
bool always_rests(const Circuit& c, VectorIndex inputs) {
  StepAnalyzer analyzer(c);
  std::vector<Value> values(c.net_count(), Value::zero);
  values[c.const_one()] = Value::one;
  for (NetId net = 0; net < c.input_count(); ++net) values[net] = to_value((inputs >> (c.input_count() - 1 - net) & 1u) != 0);
  for (std::uint32_t state = 0; state < 1u << c.gate_count(); ++state) {
    for (GateId gate = 0; gate < c.gate_count(); ++gate) values[c.output_of(gate)] = to_value((state >> gate & 1u) != 0);
    const StepOutcome outcome = analyzer.any_delay({values, {}}, {});
    REQUIRE(outcome.complete);
    for (const StepPart& part : outcome.parts) {
      if (part.may_cycle) return false;
    }
  }
  return true;
}

TEST_CASE("one stable state may be missed for ever") {
  // With b at 1 only n at 0 is stable, but from n at 1 the two gates chase each other.
  const Circuit sticky = circuit("cell t\n in b\n out n\n xor x: n m -> n\n and y: b n -> m\nend\n");
  const StateSpace space = explore(sticky);
  CHECK(space.may_not_rest == std::vector<VectorIndex>{1});
  CHECK_FALSE(space.inputs_decide(0));
  CHECK_FALSE(space.inputs_decide(1));
  const StateSpace latch = explore(circuit("cell t\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n"));
  CHECK(latch.may_not_rest.empty());
  CHECK_FALSE(latch.inputs_decide(0));
  CHECK(latch.inputs_decide(1));
}

TEST_CASE("inputs decide where random circuits come up just when no state leads into a cycle") {
  testing::RandomCircuitOptions options;
  options.least_gates = 3;
  options.most_gates = 7;
  options.most_inputs = 2;
  options.loop_percent = 60;
  std::size_t single = 0, missed = 0;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    const Circuit c = circuit(testing::random_circuit(seed, options));
    CAPTURE(seed);
    const StateSpace space = explore(c);
    if (!space.complete || c.loop_count() == 0) continue;
    for (const VectorIndex vector : space.vectors) {
      const auto [first, last] = space.states_with(vector);
      if (last - first != 1) continue;
      ++single;
      missed += space.inputs_decide(vector) ? 0 : 1;
      CHECK(space.inputs_decide(vector) == always_rests(c, vector));
    }
  }
  CHECK(single > 100);
  CHECK(missed > 5);
}

}  // namespace
}  // namespace settle
