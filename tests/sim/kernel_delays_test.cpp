// Explicit delays: the kernel against the map of pending changes, and each sentence of the rule.
#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/agree_kernel.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/reference_kernel.h"

namespace settle {
namespace {

using testing::circuit;
using testing::compare_with_pending_map;
using testing::Random;
using testing::random_circuit;

void compare_on_random_circuits(std::uint64_t circuits, bool transport, std::uint32_t slots) {
  for (std::uint64_t seed = 0; seed < circuits; ++seed) {
    testing::RandomCircuitOptions options;
    options.three_state = seed % 3 == 0;
    options.pulls = seed % 2 == 0;
    options.most_delay = seed % 5 == 0 ? 300 : 9;
    if (seed % 7 == 0) {  // nets with many readers
      options.least_gates = seed % 2 == 0 ? 200 : 40;
      options.most_gates = std::max(options.most_gates, options.least_gates + 50);
      options.hot_percent = 50;
    }
    const Circuit c = circuit(random_circuit(seed, options));
    INFO("seed " << seed << " transport " << transport << " slots " << slots);
    compare_with_pending_map(c, {.transport = transport, .wheel_slots = slots}, seed + 77, options.most_delay * 3, 80);
  }
}

TEST_CASE("inertial delays agree with a map of pending changes on 300 random circuits") {
  compare_on_random_circuits(300, false, 0);
}
TEST_CASE("transport delays agree with a map of pending changes on 300 random circuits") {
  compare_on_random_circuits(300, true, 0);
}
TEST_CASE("a wheel with few slots gives the same, by wrap-around and heap") {
  for (const std::uint32_t slots : {1u, 2u, 4u, 16u}) {
    compare_on_random_circuits(60, false, slots);
    compare_on_random_circuits(60, true, slots);
  }
}

TEST_CASE("a delay of one everywhere is the same as unit delays") {
  for (std::uint64_t seed = 0; seed < 100; ++seed) {
    testing::RandomCircuitOptions options;
    options.three_state = seed % 2 == 0;
    options.pulls = true;
    options.most_delay = 1;
    const Circuit c = circuit(random_circuit(seed, options));
    Kernel wheel(c), list(c, {.delays = DelayChoice::unit});
    Random random(seed);
    for (int step = 0; step < 60; ++step) {
      const Time t = step == 0 ? 0 : wheel.next_time().value_or(wheel.now() + 2);
      if (random.chance(20)) {
        const NetId input = random.below(c.input_count());
        const auto value = static_cast<Value>(random.below(4));
        wheel.set_input(input, value);
        list.set_input(input, value);
      }
      wheel.run_instant(t);
      list.run_instant(t);
      REQUIRE(std::equal(wheel.values().begin(), wheel.values().end(), list.values().begin()));
      REQUIRE(wheel.next_time() == list.next_time());
      REQUIRE(wheel.pending_gates() == list.pending_gates());
    }
  }
}

// Runs one gate with changes of input a (and b) at given times; the changes of net q.
using Changes = std::vector<std::pair<Time, char>>;
struct Event {
  Time time;
  const char* net;
  char value;
};
Changes changes_of_q(const std::string& gate, const std::vector<Event>& events, KernelOptions options = {}) {
  const Circuit c = circuit("cell c\n in a b\n out q\n" + gate + "\nend\n");
  Kernel k(c, options);
  const NetId q = c.outputs()[0];
  // At rest with both inputs 0 first; then the clock of the test starts.
  k.set_input(0, Value::zero);
  k.set_input(1, Value::zero);
  k.run_instant(0);
  while (const auto next = k.next_time()) k.run_instant(*next);
  const Time start = 1000;
  Changes changes;
  std::size_t at = 0;
  for (;;) {
    Time t = k.next_time().value_or(end_of_time);
    if (at < events.size()) t = std::min(t, start + events[at].time);
    if (t == end_of_time) return changes;
    for (; at < events.size() && start + events[at].time == t; ++at) {
      k.set_input(std::string(events[at].net) == "a" ? 0 : 1, *value_from_char(events[at].value));
    }
    k.run_instant(t);
    for (const NetId net : k.changed()) {
      if (net == q) changes.emplace_back(t - start, to_char(k.value(q)));
    }
  }
}

TEST_CASE("rise, fall and the shorter of the two for unknown") {
  const std::string gate = " buf g: a -> q {rise=5 fall=3}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {20, "a", '0'}}) == Changes{{5, '1'}, {23, '0'}});
  CHECK(changes_of_q(gate, {{0, "a", 'x'}, {20, "a", '1'}}) == Changes{{3, 'x'}, {25, '1'}});
  const std::string slow_fall = " buf g: a -> q {rise=2 fall=7}\n buf spare: b -> r";
  CHECK(changes_of_q(slow_fall, {{0, "a", 'x'}}) == Changes{{2, 'x'}});
}

TEST_CASE("to z goes the shorter of the two delays") {
  const std::string gate = " bufif0 g: a b -> q {rise=6 fall=4}";
  CHECK(changes_of_q(gate, {{0, "b", '1'}, {20, "b", '0'}}) == Changes{{4, 'z'}, {24, '0'}});
}

TEST_CASE("a value already pending stays at its time") {
  const std::string gate = " or g: a b -> q {delay=5}";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {3, "b", '1'}}) == Changes{{5, '1'}});
}

TEST_CASE("another value replaces the pending one") {
  const std::string gate = " buf g: a -> q {delay=5}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {2, "a", 'x'}}) == Changes{{7, 'x'}});
  CHECK(changes_of_q(gate, {{0, "a", 'x'}, {4, "a", '1'}}) == Changes{{9, '1'}});
}

TEST_CASE("the present value cancels: a pulse shorter than the delay is swallowed") {
  const std::string gate = " buf g: a -> q {delay=5}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {4, "a", '0'}}).empty());
  // After the cancelling the delay counts from the new change.
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {2, "a", '0'}, {3, "a", '1'}}) == Changes{{8, '1'}});
}

TEST_CASE("a pulse exactly as long as the delay gets through") {
  // The change due at 5 is applied before the input's change at 5 is evaluated.
  const std::string gate = " buf g: a -> q {delay=5}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {5, "a", '0'}}) == Changes{{5, '1'}, {10, '0'}});
  // With unequal delays the width at the output is not that at the input.
  const std::string unequal = " buf g: a -> q {rise=5 fall=2}\n buf spare: b -> r";
  CHECK(changes_of_q(unequal, {{0, "a", '1'}, {5, "a", '0'}}) == Changes{{5, '1'}, {7, '0'}});
  CHECK(changes_of_q(unequal, {{0, "a", '1'}, {4, "a", '0'}}).empty());
}

TEST_CASE("a change in the same instant as a gate's own change is evaluated with it") {
  // b takes over from a exactly when the output rises: no gap, and no change lost.
  const std::string gate = " or g: a b -> q {delay=4}";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {4, "a", '0'}, {4, "b", '1'}}) == Changes{{4, '1'}});
}

TEST_CASE("transport keeps pulses of any length") {
  const KernelOptions transport{.transport = true};
  const std::string gate = " buf g: a -> q {delay=5}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {1, "a", '0'}, {3, "a", '1'}}, transport) ==
        Changes{{5, '1'}, {6, '0'}, {8, '1'}});
}

TEST_CASE("transport drops a change that a later evaluation overtakes") {
  const KernelOptions transport{.transport = true};
  const std::string gate = " buf g: a -> q {rise=8 fall=3}\n buf spare: b -> r";
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {2, "a", '0'}}, transport).empty());  // 5 overtakes 8
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {5, "a", '0'}}, transport).empty());  // 8 meets 8
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {6, "a", '0'}}, transport) == Changes{{8, '1'}, {9, '0'}});
  CHECK(changes_of_q(gate, {{0, "a", '1'}, {2, "a", 'x'}}, transport) == Changes{{5, 'x'}});
}

TEST_CASE("the choice of delays picks from min, typical, max or one") {
  const std::string text = " buf g: a -> q {delay=2..3..7}\n buf spare: b -> r";
  const auto rise_with = [&](DelayChoice choice) {
    return changes_of_q(text, {{0, "a", '1'}}, {.delays = choice}).at(0).first;
  };
  CHECK(rise_with(DelayChoice::min) == 2);
  CHECK(rise_with(DelayChoice::typ) == 3);
  CHECK(rise_with(DelayChoice::max) == 7);
  CHECK(rise_with(DelayChoice::unit) == 1);
}

TEST_CASE("time near its end saturates, and every run ends") {
  const Circuit c = circuit("cell c\n in a\n out q\n nand g: a q -> q {delay=10}\nend\n");
  Kernel k(c);
  k.power_up(std::vector<Value>{Value::zero}, std::vector<Value>{Value::one});
  k.run_instant(0);
  REQUIRE(k.is_stable());
  k.set_input(0, Value::one);
  k.run_instant(end_of_time - 25);
  int instants = 0;
  while (const auto next = k.next_time()) {
    k.run_instant(*next);
    REQUIRE(++instants < 10);
  }
  CHECK(instants == 3);  // at -15, -5 and, cut short, at the end
  CHECK(k.now() == end_of_time);
  CHECK(k.value(c.outputs()[0]) == Value::zero);
}

TEST_CASE("gates made unknown drop all their pending changes") {
  for (const bool transport : {false, true}) {
    const Circuit c =
        circuit("cell c\n in a\n out q r\n buf g: a -> q {delay=9}\n buf h: q -> r {delay=2}\nend\n");
    Kernel k(c, {.transport = transport});
    k.power_up(std::vector<Value>{Value::zero}, std::vector<Value>{Value::zero, Value::zero});
    k.run_instant(0);
    k.set_input(0, Value::one);
    k.run_instant(1);
    k.set_input(0, Value::zero);
    k.run_instant(3);
    k.set_input(0, Value::one);
    k.run_instant(4);
    REQUIRE(k.pending_gates() == std::vector<GateId>{0});
    k.make_unknown(std::vector<GateId>{0});
    CHECK(k.value(c.outputs()[0]) == Value::x);
    CHECK(k.pending_gates() == std::vector<GateId>{1});
    k.run_instant(6);
    CHECK(k.value(c.outputs()[1]) == Value::x);
    CHECK(k.is_stable());
  }
}

TEST_CASE("the hash of a state with pending changes does not depend on the time") {
  const Circuit c =
      circuit("cell c\n in a\n out q\n nand g: a q -> q {delay=7}\n buf h: q -> r {delay=30}\nend\n");
  Kernel k(c);
  k.power_up(std::vector<Value>{Value::one}, std::vector<Value>{Value::one, Value::x});
  std::vector<std::uint64_t> hashes;
  std::vector<Kernel> states;
  for (int i = 0; i < 8; ++i) {
    k.run_instant(i == 0 ? 0 : *k.next_time());
    hashes.push_back(k.state_hash());
    states.push_back(k);
  }
  CHECK(hashes[2] != hashes[1]);
  for (std::size_t i = 2; i + 2 < hashes.size(); ++i) {
    CHECK(hashes[i] == hashes[i + 2]);
    CHECK(Kernel::same_state(states[i], states[i + 2]));
    CHECK_FALSE(Kernel::same_state(states[i], states[i + 1]));
  }
}

}  // namespace
}  // namespace settle
