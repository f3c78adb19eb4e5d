// The many-lane kernel: every lane against a kernel that runs alone.
#include <vector>

#include "settle/kernel.h"
#include "settle/lanes.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;
using testing::Random;
using testing::random_circuit;
using testing::RandomCircuitOptions;

// Own stimuli and own start states in all lanes, tick by tick. Some ticks change no input, so that
// quiet and busy times come; z is given as x.
void compare_lanes(const Circuit& c, std::uint64_t seed, Time until, std::uint32_t chance_of_change) {
  INFO("seed " << seed);
  Random random(seed + 77'000'000);
  LaneKernel lanes(c);
  std::vector<Kernel> alone(LaneKernel::lanes, Kernel(c));
  const bool starts_unknown = seed % 4 == 0;
  for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) {
    std::vector<Value> gates(c.gate_count(), Value::x);
    for (GateId g = 0; g < c.gate_count() && !starts_unknown; ++g) {
      gates[g] = static_cast<Value>(random.below(3));
      lanes.put_gate(g, lane, gates[g]);
    }
    alone[lane].power_up({}, gates);
  }
  for (Time t = 0; t < until; ++t) {
    for (NetId input = 0; input < c.input_count(); ++input) {
      if (t != 0 && !random.chance(chance_of_change)) continue;
      LaneWord word = t == 0 ? LaneWord{} : lanes.word(input);
      for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) {
        if (random.chance(50)) continue;
        const Value value = random.chance(90) ? to_value(random.chance(50)) : Value::x;
        word.put(lane, value);
        alone[lane].set_input(input, value);
      }
      lanes.set_input(input, word);
    }
    lanes.step();
    REQUIRE(lanes.now() == t);
    for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) {
      Kernel& kernel = alone[lane];
      if (kernel.is_waiting() || (kernel.next_time() && *kernel.next_time() <= t)) kernel.run_instant(t);
      CAPTURE(t, lane);
      for (NetId net = 0; net < c.net_count(); ++net) {
        if (lanes.value(net, lane) == kernel.value(net)) continue;
        FAIL("net " << c.net_name(net) << ": " << to_char(lanes.value(net, lane)) << ", alone "
                    << to_char(kernel.value(net)));
      }
      REQUIRE(((lanes.moving() >> lane & 1) != 0) == !kernel.is_stable());
    }
  }
}

TEST_CASE("each of 64 lanes does what a kernel does alone, on 400 random circuits") {
  for (std::uint64_t seed = 0; seed < 400; ++seed) {
    compare_lanes(circuit(random_circuit(seed)), seed, 24, seed % 3 == 0 ? 60 : 10);
  }
}

TEST_CASE("lanes agree in larger circuits where few inputs change at a time") {
  RandomCircuitOptions options;
  options.least_gates = options.most_gates = 300;
  options.most_inputs = 12;
  options.loop_percent = 5;
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    compare_lanes(circuit(random_circuit(seed, options)), seed, 40, 4);
  }
}

TEST_CASE("a quiet circuit costs nothing, a changed input its readers") {
  const Circuit c = circuit("cell c\n in a b\n out x y z\n and g1: a b -> x\n or g2: b x -> y\n not g3: b -> z\nend\n");
  LaneKernel lanes(c);
  lanes.set_input(0, LaneWord::of(Value::one));
  lanes.set_input(1, LaneWord::of(Value::zero));
  REQUIRE(lanes.settle(10));
  const std::uint64_t before = lanes.evaluations();
  lanes.step();
  CHECK(lanes.evaluations() == before);
  lanes.set_input(0, LaneWord::of_bits(0xff));
  lanes.step();
  CHECK(lanes.evaluations() == before + 1);
  CHECK(lanes.moving() == 0);
}

TEST_CASE("circuits with three-state gates or shared wires are told apart") {
  CHECK(LaneKernel::suits(circuit("cell c\n in a b\n out x\n nand g: a b -> x\nend\n")));
  CHECK(!LaneKernel::suits(circuit("cell c\n in a b\n out x\n bufif1 g: a b -> x\nend\n")));
  CHECK(!LaneKernel::suits(circuit("cell c\n in a\n out x y\n pullup g: -> x\n not h: a -> y\nend\n")));
}

}  // namespace
}  // namespace settle
