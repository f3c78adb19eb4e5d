// Proved repetitions against a search that keeps every state, and collisions of hashes.
#include "sim/look_ahead.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;
using testing::Random;
using testing::random_circuit;
using Kind = Continuation::Kind;

// The obvious twin: keeps a copy of each state and compares with all of them.
Continuation keep_all(Kernel kernel, Time limit) {
  if (kernel.is_waiting()) kernel.run_instant(kernel.now());
  std::vector<Kernel> seen;
  std::vector<std::vector<GateId>> moved;
  const Circuit& c = kernel.circuit();
  for (;;) {
    const auto next = kernel.next_time();
    if (!next) return {Kind::settles, kernel.now(), 0, 0, {}};
    for (std::size_t i = 0; i < seen.size(); ++i) {
      if (!Kernel::same_state(seen[i], kernel)) continue;
      std::vector<GateId> moving;
      for (std::size_t j = i; j < seen.size(); ++j)
        moving.insert(moving.end(), moved[j].begin(), moved[j].end());
      std::sort(moving.begin(), moving.end());
      moving.erase(std::unique(moving.begin(), moving.end()), moving.end());
      return {Kind::repeats, kernel.now(), kernel.now() - seen[i].now(), 0, moving};
    }
    if (*next > limit) return {Kind::undecided, kernel.now(), 0, 0, {}};
    seen.push_back(kernel);
    std::vector<Value> before(kernel.values().begin(), kernel.values().end());
    kernel.run_instant(*next);
    std::vector<GateId> changed(kernel.changed_drivers().begin(), kernel.changed_drivers().end());
    for (GateId g = 0; g < c.gate_count(); ++g) {
      if (before[c.output_of(g)] != kernel.value(c.output_of(g))) changed.push_back(g);
    }
    moved.push_back(changed);
  }
}

void check_same(const Continuation& got, const Continuation& want) {
  CHECK(got.kind == want.kind);
  CHECK(got.end == want.end);
  CHECK(got.period == want.period);
  CHECK(got.moving == want.moving);
}

TEST_CASE("look ahead agrees with a search that keeps every state") {
  int repeating = 0, settling = 0;
  for (std::uint64_t seed = 0; seed < 300; ++seed) {
    testing::RandomCircuitOptions options;
    options.three_state = seed % 3 == 0;
    options.pulls = seed % 2 == 0;
    options.loop_percent = 60;
    options.most_delay = seed % 4 == 0 ? 5 : 0;
    const Circuit c = circuit(random_circuit(seed, options));
    Random random(seed);
    std::vector<Value> inputs, gates;
    for (NetId i = 0; i < c.input_count(); ++i) inputs.push_back(to_value(random.chance(50)));
    for (GateId g = 0; g < c.gate_count(); ++g) gates.push_back(to_value(random.chance(50)));
    Kernel kernel(c, {.transport = seed % 8 == 0});
    kernel.power_up(inputs, gates);
    INFO("seed " << seed);
    const Continuation want = keep_all(kernel, 120);
    check_same(look_ahead(kernel, 120), want);
    // Colliding hashes cost time, never the truth.
    check_same(look_ahead_with(kernel, 120, 7), want);
    check_same(look_ahead_with(kernel, 120, 0), want);
    repeating += want.kind == Kind::repeats;
    settling += want.kind == Kind::settles;
    CHECK(kernel.now() == 0);  // the kernel itself did not move
    CHECK(kernel.is_waiting());
  }
  CHECK(repeating > 30);
  CHECK(settling > 30);
}

TEST_CASE("a NOR latch released from both inputs swings with period 2") {
  const Circuit c = circuit("cell l\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  Kernel k(c);
  k.set_input(0, Value::one);
  k.set_input(1, Value::one);
  k.run_instant(0);
  k.run_instant(1);
  REQUIRE(k.is_stable());
  check_same(look_ahead(k, 100), {Kind::settles, 1, 0, 0, {}});
  k.set_input(0, Value::zero);
  k.set_input(1, Value::zero);
  k.run_instant(50);
  check_same(look_ahead(k, 100), {Kind::repeats, 52, 2, 0, {0, 1}});
}

TEST_CASE("waiting inputs are applied first, at the present time") {
  const Circuit c = circuit("cell l\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  Kernel k(c);
  k.set_input(0, Value::one);
  k.set_input(1, Value::one);
  k.run_instant(0);
  k.run_instant(1);
  k.set_input(0, Value::zero);
  check_same(look_ahead(k, 100), {Kind::settles, 2, 0, 0, {}});  // s leaves first: reset, n rises
  k.set_input(1, Value::zero);
  check_same(look_ahead(k, 100), {Kind::repeats, 3, 2, 0, {0, 1}});
}

TEST_CASE("a ring of three gates with 1 ns each has period 6") {
  // Harris and Harris, Digital Design and Computer Architecture, section 3.3 (from memory).
  const Circuit c = circuit(
      "cell r\n out a\n not g: c -> a {delay=1}\n not h: a -> b {delay=1}\n not i: b -> c {delay=1}\nend\n");
  Kernel k(c);
  k.power_up({}, std::vector<Value>{Value::zero, Value::one, Value::one});
  const Continuation found = look_ahead(k, 1000);
  CHECK(found.kind == Kind::repeats);
  CHECK(found.period == 6);
  CHECK(found.moving == std::vector<GateId>{0, 1, 2});
}

TEST_CASE("only gates that move within the period are named") {
  const Circuit c = circuit(
      "cell r\n in e\n out q last\n nand g: e q -> q\n not first: e -> m\n not second: m -> last\nend\n");
  Kernel k(c);
  k.power_up(std::vector<Value>{Value::zero}, std::vector<Value>{Value::one, Value::one, Value::zero});
  k.run_instant(0);
  REQUIRE(k.is_stable());
  k.set_input(0, Value::one);
  // first and second change once each, on the way in.
  check_same(look_ahead(k, 100), {Kind::repeats, 4, 2, 0, {0}});
}

TEST_CASE("the limit leaves it undecided, and the last change may come exactly at it") {
  const Circuit c = circuit("cell c\n in a\n out q\n buf f: a -> m\n buf g: m -> n\n buf h: n -> q\nend\n");
  Kernel k(c);
  k.set_input(0, Value::one);
  check_same(look_ahead(k, 3), {Kind::settles, 3, 0, 0, {}});
  check_same(look_ahead(k, 2), {Kind::undecided, 2, 0, 0, {}});
}

TEST_CASE("a driver that moves unseen on a shared wire is named") {
  // Both drivers of w put out the same 1 in turn; the wire stands still.
  const Circuit c =
      circuit("cell c\n in e\n out w\n nand g: e q -> q\n bufif1 a: 1 q -> w\n bufif0 b: 1 q -> w\nend\n");
  Kernel k(c);
  k.power_up(std::vector<Value>{Value::zero}, std::vector<Value>{Value::one, Value::one, Value::z});
  k.run_instant(0);
  REQUIRE(k.is_stable());
  k.set_input(0, Value::one);
  check_same(look_ahead(k, 100), {Kind::repeats, 3, 2, 0, {0, 1, 2}});
}

}  // namespace
}  // namespace settle
