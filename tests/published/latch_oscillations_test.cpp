// Latches that swing under unit delay. Source: derived from the equations of the circuits, which
// are textbook matter (Mano and Ciletti, Digital Design; Wakerly, Digital Design: Principles and
// Practices; from memory).
#include <string>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/value_text.h"

namespace settle {
namespace {

using testing::circuit;

// Gate outputs at each time from 0, for the start values given.
std::vector<std::string> states(const Circuit& c, const std::string& inputs, const std::string& gates,
                                Time until) {
  Kernel k(c);
  k.power_up(testing::bits(inputs), testing::bits(gates));
  std::vector<std::string> result;
  for (Time t = 0; t <= until; ++t) {
    k.run_instant(t);
    std::string state;
    for (GateId g = 0; g < c.gate_count(); ++g) state += to_char(k.value(c.output_of(g)));
    result.push_back(state);
  }
  return result;
}

Continuation ahead(const Circuit& c, const std::string& inputs, const std::string& gates) {
  Kernel k(c);
  k.power_up(testing::bits(inputs), testing::bits(gates));
  return look_ahead(k, 1000);
}

TEST_CASE("NOR latch with both inputs 0, released from 00: 00, 11, 00, 11") {
  const Circuit c = circuit("cell l\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  CHECK(states(c, "00", "00", 4) == std::vector<std::string>{"00", "11", "00", "11", "00"});
  CHECK(ahead(c, "00", "00").kind == Continuation::Kind::repeats);
  CHECK(ahead(c, "00", "00").period == 2);
  CHECK(ahead(c, "11", "00").kind == Continuation::Kind::settles);  // both high is a stable state
}

TEST_CASE("NAND latch with both inputs 1, released from 11: 11, 00, 11") {
  const Circuit c = circuit("cell l\n in s r\n out q n\n nand a: s n -> q\n nand b: r q -> n\nend\n");
  CHECK(states(c, "11", "11", 3) == std::vector<std::string>{"11", "00", "11", "00"});
  CHECK(ahead(c, "11", "11").period == 2);
  CHECK(ahead(c, "00", "11").kind == Continuation::Kind::settles);
}

TEST_CASE("two inverters in a loop: two stable states, and period 2 from equal values") {
  const Circuit c = circuit("cell l\n out q n\n not a: n -> q\n not b: q -> n\nend\n");
  for (const char* stable : {"01", "10"}) CHECK(ahead(c, "", stable).kind == Continuation::Kind::settles);
  for (const char* equal : {"00", "11"}) CHECK(ahead(c, "", equal).period == 2);
}

TEST_CASE("gated JK latch of four NANDs with J = K = C = 1 races around with period 4") {
  const Circuit c = circuit(
      "cell jk\n in j k c\n out q n\n nand gs: j c n -> s\n nand gr: k c q -> r\n"
      " nand gq: s n -> q\n nand gn: r q -> n\nend\n");
  const Continuation found = ahead(c, "111", "1101");
  CHECK(found.kind == Continuation::Kind::repeats);
  CHECK(found.period == 4);
  CHECK(found.moving == std::vector<GateId>{0, 1, 2, 3});
  std::string q;  // Q = 0 1 1 1, again and again, from the first unit on
  for (const auto& state : states(c, "111", "1101", 12)) q += state[2];
  CHECK(q.substr(1) == "011101110111");
  // With the enable low the same start is stable.
  CHECK(ahead(c, "110", "1101").kind == Continuation::Kind::settles);
}

TEST_CASE("multiplexer latch loses its bit when the inverter is slow, the Earle latch does not") {
  // D = Q = 1, the clock falls at 0; AND and OR take one unit, the inverter as given. With an
  // inverter of two or three units Q falls for good, with one unit it swings.
  const auto q_after = [](bool earle, unsigned inverter) {
    const Circuit c = circuit("cell m\n in d c\n out q\n not i: c -> cn {delay=" + std::to_string(inverter) +
                              "}\n and a: d c -> x {delay=1}\n and b: q cn -> y {delay=1}\n" +
                              (earle ? " and e: d q -> w {delay=1}\n or o: x y w -> q {delay=1}\nend\n"
                                     : " or o: x y -> q {delay=1}\nend\n"));
    Kernel k(c);
    k.power_up(testing::bits("11"), {});
    k.run_instant(0);
    while (const auto next = k.next_time()) k.run_instant(*next);
    k.set_input(1, Value::zero);
    k.run_instant(100);
    std::string q(1, to_char(k.value(c.outputs()[0])));
    for (Time t = 101; t <= 108; ++t) {
      if (k.next_time() == std::optional<Time>(t)) k.run_instant(t);
      q += to_char(k.value(c.outputs()[0]));
    }
    return q;
  };
  CHECK(q_after(false, 1) == "110101010");
  CHECK(q_after(false, 2) == "110000000");
  CHECK(q_after(false, 3) == "110000000");
  for (const unsigned inverter : {1u, 2u, 3u}) CHECK(q_after(true, inverter) == "111111111");
}

}  // namespace
}  // namespace settle
