// Unit delays: the kernel against the whole-array twin, and the rules of an instant.
#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/agree_kernel.h"
#include "support/reference_kernel.h"

namespace settle {
namespace {

using testing::circuit;
using testing::Random;
using testing::random_circuit;
using testing::RandomCircuitOptions;
using testing::compare_with_reference;
using testing::copy;
using testing::differing;
using testing::ReferenceUnit;
using testing::sorted;

RandomCircuitOptions options_for(std::uint64_t seed) {
  RandomCircuitOptions options;
  options.three_state = seed % 3 == 0;
  options.pulls = seed % 2 == 0;
  return options;
}

TEST_CASE("unit delays agree with a whole-array update on 1000 random circuits") {
  for (std::uint64_t seed = 0; seed < 1000; ++seed) {
    compare_with_reference(circuit(random_circuit(seed, options_for(seed))), seed, 60);
  }
}

TEST_CASE("nets with many readers, which are judged at each visit, give the same") {
  for (std::uint64_t seed = 0; seed < 150; ++seed) {
    auto options = options_for(seed);
    // Every other one with lines so long that their pins go to sleep.
    const bool has_long_lines = seed % 2 == 0;
    options.least_gates = has_long_lines ? 200 : 40;
    options.most_gates = has_long_lines ? 300 : 120;
    options.hot_percent = 50;
    const Circuit c = circuit(random_circuit(seed, options));
    REQUIRE(c.fan_out(0).size() > (has_long_lines ? 64 : 16));
    compare_with_reference(c, seed, has_long_lines ? 120 : 60);
  }
}

TEST_CASE("a circuit too large for the near caches gives the same") {
  RandomCircuitOptions options;
  options.least_gates = options.most_gates = 40'000;
  options.hot_percent = 1;
  compare_with_reference(circuit(random_circuit(1, options)), 1, 25);
}

TEST_CASE("gates made unknown in random circuits: who is pending after it") {
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    RandomCircuitOptions options;
    options.most_gates = seed % 4 == 0 ? 300 : 80;
    options.hot_percent = seed % 2 == 0 ? 40 : 0;
    const Circuit c = circuit(random_circuit(seed, options));
    Random random(seed);
    Kernel k(c);
    for (NetId i = 0; i < c.input_count(); ++i) k.set_input(i, to_value(random.chance(50)));
    k.run_instant(0);
    for (int round = 0; round < 10; ++round) {
      if (const auto next = k.next_time()) k.run_instant(*next);
      if (round < 5) continue;
      const Value value = to_value(random.chance(50));
      const bool flips = k.value(0) != value;
      k.set_input(0, value);
      k.run_instant(k.now());
      if (flips) {
        // Also a gate made unknown before, whatever held it then, is judged by what its inputs are now.
        const std::vector<GateId> pending = k.pending_gates();
        const std::vector<Value> now = copy(k.values());
        for (const GateId g : c.fan_out(0)) {
          const bool differs = to_value(testing::function_of(c, g, now)) != now[c.output_of(g)];
          REQUIRE(std::binary_search(pending.begin(), pending.end(), g) == differs);
        }
      }
      const std::vector<Value> before = copy(k.values());
      const std::vector<GateId> were_pending = k.pending_gates();
      std::vector<GateId> chosen;
      for (GateId g = 0; g < c.gate_count(); ++g) {
        if (random.chance(25)) chosen.push_back(g);
      }
      std::vector<Value> after = before;
      for (const GateId g : chosen) after[c.output_of(g)] = Value::x;
      std::vector<GateId> want;
      for (GateId g = 0; g < c.gate_count(); ++g) {
        const auto pins = c.fan_in(g);
        if (std::any_of(pins.begin(), pins.end(), [&](NetId net) { return before[net] != after[net]; })) {
          if (to_value(testing::function_of(c, g, after)) != after[c.output_of(g)]) want.push_back(g);
        } else if (std::binary_search(were_pending.begin(), were_pending.end(), g) &&
                   !std::binary_search(chosen.begin(), chosen.end(), g)) {
          want.push_back(g);
        }
      }
      random.shuffle(chosen);
      k.make_unknown(chosen);
      INFO("seed " << seed << " round " << round);
      REQUIRE(copy(k.values()) == after);
      REQUIRE(sorted(k.changed()) == differing(c, before, after));
      REQUIRE(k.pending_gates() == want);
    }
  }
}

TEST_CASE("pending gates are the excited gates") {
  for (std::uint64_t seed = 0; seed < 100; ++seed) {
    const Circuit c = circuit(random_circuit(seed, options_for(seed)));
    Kernel kernel(c);
    for (NetId i = 0; i < c.input_count(); ++i) kernel.set_input(i, Value::zero);
    for (int step = 0; step < 20; ++step) {
      kernel.run_instant(step == 0 ? 0 : *kernel.next_time());
      std::vector<GateId> excited;
      ReferenceUnit reference(c);
      for (GateId g = 0; g < c.gate_count(); ++g) {
        // Known up to half-known drives, which only a kernel can see.
        if (c.shared_wire(g) == no_id && static_cast<Value>(testing::function_of(
                                             c, g, copy(kernel.values()))) != kernel.value(c.output_of(g))) {
          excited.push_back(g);
        }
      }
      auto pending = kernel.pending_gates();
      std::erase_if(pending, [&](GateId g) { return c.shared_wire(g) != no_id; });
      REQUIRE(pending == excited);
      if (kernel.is_stable()) break;
    }
  }
}

TEST_CASE("the order of statements does not matter") {
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    auto options = options_for(seed);
    options.most_delay = seed % 4 == 1 ? 6 : 0;
    const std::string text = random_circuit(seed, options);
    const Circuit a = circuit(text), b = circuit(testing::shuffled(text, seed));
    std::map<std::string, NetId> by_name;
    for (NetId net = 0; net < b.first_undriven(); ++net) by_name[b.net_name(net)] = net;
    Kernel one(a), two(b);
    Random random(seed);
    INFO("seed " << seed);
    for (int step = 0; step < 40; ++step) {
      Time t = step == 0 ? 0 : one.next_time().value_or(one.now() + 3);
      if (step == 0 || random.chance(20)) {
        const NetId input = random.below(a.input_count());
        const auto value = static_cast<Value>(random.below(3));
        one.set_input(input, value);
        two.set_input(by_name.at(a.net_name(input)), value);
      }
      one.run_instant(t);
      two.run_instant(t);
      REQUIRE(one.next_time() == two.next_time());
      for (NetId net = 0; net < a.first_resolved(); ++net) {
        if (a.is_gate_output(net) && a.shared_wire(a.gate_of(net)) != no_id) continue;
        REQUIRE(one.value(net) == two.value(by_name.at(a.net_name(net))));
      }
      for (NetId net = a.first_resolved(); net < a.first_undriven(); ++net) {
        REQUIRE(one.value(net) == two.value(by_name.at(a.net_name(net))));
      }
    }
  }
}

TEST_CASE("a copy goes its own way") {
  const Circuit c = circuit("cell c\n in a\n out q\n not g: a -> m\n not h: m -> q\nend\n");
  Kernel first(c);
  first.set_input(0, Value::zero);
  first.run_instant(0);
  Kernel second = first;
  CHECK(Kernel::same_state(first, second));
  CHECK(first.state_hash() == second.state_hash());
  second.set_input(0, Value::one);
  CHECK_FALSE(Kernel::same_state(first, second));  // an input is waiting
  second.run_instant(0);
  for (Kernel* k : {&first, &second}) {
    while (const auto next = k->next_time()) k->run_instant(*next);
  }
  CHECK(first.value(c.outputs()[0]) == Value::zero);
  CHECK(second.value(c.outputs()[0]) == Value::one);
  CHECK(first.now() == 2);
  first = second;
  CHECK(Kernel::same_state(first, second));
  CHECK(first.value(c.outputs()[0]) == Value::one);
}

TEST_CASE("a pin that reads a net twice counts twice") {
  const Circuit c = circuit("cell c\n in a b\n out q r\n xor g: a a b -> q\n nor h: a a -> r\nend\n");
  Kernel k(c);
  k.set_input(0, Value::one);
  k.set_input(1, Value::one);
  k.run_instant(0);
  k.run_instant(1);
  CHECK(k.value(c.outputs()[0]) == Value::one);
  CHECK(k.value(c.outputs()[1]) == Value::zero);
  const auto evaluations = k.evaluations();
  k.set_input(0, Value::zero);
  k.run_instant(5);
  CHECK(k.evaluations() == evaluations + 4);  // a visit for each pin
  k.run_instant(6);
  CHECK(k.value(c.outputs()[0]) == Value::one);
  CHECK(k.value(c.outputs()[1]) == Value::one);
}

TEST_CASE("a second call for the same instant judges pending changes anew") {
  const Circuit c = circuit("cell c\n in a b\n out q r\n buf g: a -> q\n buf h: b -> r\nend\n");
  Kernel k(c);
  k.set_input(0, Value::zero);
  k.set_input(1, Value::zero);
  k.run_instant(0);
  k.run_instant(1);
  REQUIRE(k.is_stable());
  k.set_input(0, Value::one);
  k.set_input(1, Value::one);
  k.run_instant(10);
  CHECK(k.pending_gates() == std::vector<GateId>{0, 1});
  k.set_input(0, Value::zero);
  k.run_instant(10);
  CHECK(k.pending_gates() == std::vector<GateId>{1});
  k.set_input(1, Value::x);
  k.run_instant(10);
  CHECK(k.pending_gates() == std::vector<GateId>{1});
  k.run_instant(11);
  CHECK(k.value(c.outputs()[0]) == Value::zero);
  CHECK(k.value(c.outputs()[1]) == Value::x);
  CHECK(k.is_stable());
}

TEST_CASE("the last set of an input counts, and setting what it has changes nothing") {
  const Circuit c = circuit("cell c\n in a\n out q\n buf g: a -> q\nend\n");
  Kernel k(c);
  k.set_input(0, Value::one);
  k.set_input(0, Value::zero);
  k.run_instant(0);
  CHECK(k.value(0) == Value::zero);
  CHECK(sorted(k.changed()) == std::vector<NetId>{0});
  k.run_instant(1);
  k.set_input(0, Value::one);
  k.set_input(0, Value::zero);
  k.run_instant(4);
  CHECK(k.changed().empty());
  CHECK(k.is_stable());
}

TEST_CASE("power-up values are taken and every gate is evaluated") {
  const Circuit c = circuit("cell c\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  Kernel k(c);
  const std::vector<Value> inputs = {Value::zero, Value::zero}, gates = {Value::one, Value::one};
  k.power_up(inputs, gates);
  CHECK(k.is_waiting());
  CHECK(k.next_time() == std::optional<Time>(0));
  k.run_instant(0);
  CHECK_FALSE(k.is_waiting());
  CHECK(k.changed().empty());
  CHECK(k.pending_gates() == std::vector<GateId>{0, 1});
  k.run_instant(1);
  CHECK(k.value(c.outputs()[0]) == Value::zero);
  CHECK(k.value(c.outputs()[1]) == Value::zero);
}

TEST_CASE("gates made unknown forget their pending changes and their readers follow") {
  const Circuit c = circuit(
      "cell c\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\n buf f: q -> late\n buf other: s -> "
      "o\nend\n");
  Kernel k(c);
  k.power_up(std::vector<Value>{Value::zero, Value::zero},
             std::vector<Value>{Value::zero, Value::zero, Value::zero, Value::one});
  k.run_instant(0);
  CHECK(k.pending_gates() == std::vector<GateId>{0, 1, 3});  // released from 00, and `other`
  k.make_unknown(std::vector<GateId>{0, 1, 0});
  CHECK(sorted(k.changed()) == std::vector<NetId>{2, 3});
  // a and b read x and stay x; f follows one unit later; other keeps its pending change.
  CHECK(k.pending_gates() == std::vector<GateId>{2, 3});
  k.run_instant(1);
  CHECK(k.value(4) == Value::x);
  CHECK(k.value(5) == Value::zero);
  CHECK(k.is_stable());
  k.set_input(0, Value::one);  // a definite input clears the unknown values
  k.run_instant(3);
  while (const auto next = k.next_time()) k.run_instant(*next);
  CHECK(k.value(2) == Value::one);
  CHECK(k.value(3) == Value::zero);
}

TEST_CASE("half-known drives meet on a wire as the standard says") {
  // Control unknown, data 0: L. With a pull-down it is 0 for certain, with a pull-up unknown.
  const Circuit c = circuit(
      "cell c\n in d e\n out w v\n bufif1 a: d e -> w\n pulldown p: -> w\n"
      " bufif1 b: d e -> v\n pullup u: -> v\nend\n");
  Kernel k(c);
  k.set_input(0, Value::zero);
  k.set_input(1, Value::x);
  k.run_instant(0);
  while (const auto next = k.next_time()) k.run_instant(*next);
  CHECK(k.value(c.outputs()[0]) == Value::zero);
  CHECK(k.value(c.outputs()[1]) == Value::x);
  k.set_input(1, Value::zero);
  k.run_instant(10);
  k.run_instant(11);
  CHECK(k.value(c.outputs()[0]) == Value::zero);
  CHECK(k.value(c.outputs()[1]) == Value::one);
}

TEST_CASE("changes of a wire's drivers at one instant give one change of the wire") {
  // Both drivers swap at once: the wire never shows contention or a gap.
  const Circuit c = circuit("cell c\n in e\n out w\n bufif1 a: 1 e -> w\n bufif0 b: 1 e -> w\nend\n");
  Kernel k(c);
  k.set_input(0, Value::zero);
  k.run_instant(0);
  k.run_instant(1);
  const NetId wire = c.outputs()[0];
  REQUIRE(k.value(wire) == Value::one);
  k.set_input(0, Value::one);
  k.run_instant(5);
  k.run_instant(6);
  CHECK(k.value(wire) == Value::one);
  CHECK(k.changed().empty());
  CHECK(sorted(k.changed_drivers()) == std::vector<GateId>{0, 1});
}

TEST_CASE("equal states have equal hashes, however they came about") {
  for (std::uint64_t seed = 0; seed < 100; ++seed) {
    const Circuit c = circuit(random_circuit(seed, options_for(seed)));
    Random random(seed);
    Kernel a(c);
    for (NetId i = 0; i < c.input_count(); ++i) a.set_input(i, to_value(random.chance(50)));
    a.run_instant(0);
    for (int step = 0; step < 30 && !a.is_stable(); ++step) a.run_instant(*a.next_time());
    if (!a.is_stable()) continue;
    const std::uint64_t hash = a.state_hash();
    // There and back at the same instant leaves no trace; a change does.
    const Value old = a.value(0);
    Kernel b = a;
    b.set_input(0, inverted(old));
    b.run_instant(b.now() + 5);
    CHECK(b.state_hash() != hash);
    b.set_input(0, old);
    b.run_instant(b.now());
    CHECK(b.state_hash() == hash);
    CHECK(Kernel::same_state(a, b));
  }
}

TEST_CASE("nothing is scheduled past the end of time") {
  const Circuit c = circuit("cell c\n out q\n not g: q -> q\nend\n");
  Kernel k(c);
  k.power_up({}, std::vector<Value>{Value::zero});
  k.run_instant(0);
  Kernel late = k;
  late.run_instant(1);
  CHECK(late.value(c.outputs()[0]) == Value::one);
  // An idle circuit can be sent there in one go.
  const Circuit d = circuit("cell d\n in a\n out q\n buf g: a -> q\nend\n");
  Kernel idle(d);
  idle.run_instant(0);
  REQUIRE(idle.is_stable());
  idle.set_input(0, Value::one);
  idle.run_instant(end_of_time);
  CHECK(idle.value(0) == Value::one);
  CHECK_FALSE(idle.next_time());
}

}  // namespace
}  // namespace settle
