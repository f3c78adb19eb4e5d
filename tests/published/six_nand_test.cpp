// The six-NAND D flip-flop (the logic of the bipolar 7474) under unit delay: clock to output, set-up,
// hold and pulse width. Source: derived from the equations
//   n1 = NAND(n4,n2)  n2 = NAND(n1,C)  n3 = NAND(n2,C,n4)  n4 = NAND(n3,D)  Q = NAND(n2,Q')  Q' = NAND(n3,Q)
#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/value_text.h"

namespace settle {
namespace {

constexpr Time edge = 100;  // of the rising clock
constexpr NetId d = 0, clk = 1;
constexpr GateId q_gate = 4, n_gate = 5;

const Circuit& flip_flop() {
  static const Circuit c = testing::circuit(
      "cell ff\n in d c\n out q n\n nand g1: n4 n2 -> n1\n nand g2: n1 c -> n2\n nand g3: n2 c n4 -> n3\n"
      " nand g4: n3 d -> n4\n nand g5: n2 n -> q\n nand g6: n3 q -> n\nend\n");
  return c;
}

struct Outcome {
  char q = '?', n = '?';        // at rest; '~' when Q and Q' swing for ever
  Time q_time = 0, n_time = 0;  // of the last change, from the edge
  Time period = 0;
};

// From rest with C = 0, Q = q and D = d: input changes at times relative to the edge, then to the end.
Outcome outcome(char q, char data, const std::map<int, std::vector<std::pair<NetId, Value>>>& events) {
  const Circuit& c = flip_flop();
  Kernel k(c);
  const std::string start = std::string(data == '0' ? "0111" : "1110") + q + (q == '0' ? '1' : '0');
  k.power_up(testing::bits(std::string(1, data) + "0"), testing::bits(start));
  k.run_instant(0);
  REQUIRE(k.is_stable());
  Outcome result;
  const auto run = [&](Time t) {
    k.run_instant(t);
    for (const NetId net : k.changed()) {
      if (net == c.output_of(q_gate)) result.q_time = t - edge;
      if (net == c.output_of(n_gate)) result.n_time = t - edge;
    }
  };
  for (const auto& [time, changes] : events) {
    const Time t = edge + static_cast<Time>(static_cast<std::int64_t>(time));
    while (k.next_time() && *k.next_time() < t) run(*k.next_time());
    for (const auto& [net, value] : changes) k.set_input(net, value);
    run(t);
  }
  const Continuation ahead = look_ahead(k, 10'000);
  if (ahead.kind == Continuation::Kind::repeats) {
    // The gates before them may swing as well.
    CHECK(std::binary_search(ahead.moving.begin(), ahead.moving.end(), q_gate));
    CHECK(std::binary_search(ahead.moving.begin(), ahead.moving.end(), n_gate));
    result.q = result.n = '~';
    result.period = ahead.period;
    return result;
  }
  REQUIRE(ahead.kind == Continuation::Kind::settles);
  while (k.next_time()) run(*k.next_time());
  result.q = to_char(k.value(c.output_of(q_gate)));
  result.n = to_char(k.value(c.output_of(n_gate)));
  CHECK(result.q != result.n);
  return result;
}

// D goes from the complement of `value` to `value` at a time relative to the edge.
Outcome set_up(char value, int time) {
  std::map<int, std::vector<std::pair<NetId, Value>>> events;
  events[time].push_back({d, *value_from_char(value)});
  events[0].push_back({clk, Value::one});
  const char other = value == '0' ? '1' : '0';
  return outcome(other, other, events);
}

// D is `value` well before the edge and leaves it at a time relative to the edge.
Outcome hold(char value, int time) {
  const char other = value == '0' ? '1' : '0';
  std::map<int, std::vector<std::pair<NetId, Value>>> events;
  events[time].push_back({d, *value_from_char(other)});
  events[0].push_back({clk, Value::one});
  return outcome(other, value, events);
}

Outcome pulse(char value, int width) {
  return outcome(value == '0' ? '1' : '0', value, {{0, {{clk, Value::one}}}, {width, {{clk, Value::zero}}}});
}

TEST_CASE("clock to output: 2 to the output that rises, 3 to the one that falls") {
  const Outcome one = set_up('1', -20), zero = set_up('0', -20);
  CHECK(one.q == '1');
  CHECK(one.q_time == 2);
  CHECK(one.n_time == 3);
  CHECK(zero.q == '0');
  CHECK(zero.n_time == 2);
  CHECK(zero.q_time == 3);
}

TEST_CASE("set-up: 1 for a one, 2 for a zero; one less swings, later misses the edge") {
  for (int before = 1; before <= 6; ++before) CHECK(set_up('1', -before).q == '1');
  CHECK(set_up('1', 0).q == '~');
  CHECK(set_up('1', 0).period == 2);
  for (int after = 1; after <= 6; ++after) CHECK(set_up('1', after).q == '0');

  for (int before = 2; before <= 6; ++before) CHECK(set_up('0', -before).q == '0');
  CHECK(set_up('0', -1).q == '~');
  CHECK(set_up('0', -1).period == 2);
  for (int after = 0; after <= 6; ++after) CHECK(set_up('0', after).q == '1');
}

TEST_CASE("hold: 0 for a one, 1 for a zero; one less swings") {
  for (int after = 0; after <= 6; ++after) CHECK(hold('1', after).q == '1');
  CHECK(hold('1', -1).q == '~');
  for (int after = 1; after <= 6; ++after) CHECK(hold('0', after).q == '0');
  CHECK(hold('0', 0).q == '~');
}

TEST_CASE("clock pulse: 2 is enough, 1 leaves Q and Q' swinging") {
  for (const char value : {'0', '1'}) {
    CHECK(pulse(value, 1).q == '~');
    for (int width = 2; width <= 6; ++width) CHECK(pulse(value, width).q == value);
  }
}

TEST_CASE("stable states of the flip-flop, all 64 tried for each input") {
  const std::map<std::string, std::vector<std::string>> table = {
      {"00", {"011101", "011110"}},
      {"10", {"111001", "111010"}},
      {"01", {"010101", "101110"}},
      {"11", {"010101", "101010"}},
  };
  for (const auto& [inputs, want] : table) {
    std::vector<std::string> stable;
    for (unsigned pattern = 0; pattern < 64; ++pattern) {
      std::string gates;
      for (int i = 5; i >= 0; --i) gates += (pattern >> i & 1) != 0 ? '1' : '0';
      Kernel k(flip_flop());
      k.power_up(testing::bits(inputs), testing::bits(gates));
      k.run_instant(0);
      if (k.is_stable()) stable.push_back(gates);
    }
    CAPTURE(inputs);
    CHECK(stable == want);
  }
}

}  // namespace
}  // namespace settle
