// Flat names, and nets found by them.
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;

Circuit tower() {
  return circuit(
      "cell bit\n in d e\n out q\n nor g[1:0]: d e -> n[1:0]\n and h: n[1] n[0] -> q\nend\n"
      "cell word\n in d[0:1] e\n out q[0:1]\n bit b[0:1]: d e -> q\n bufif1 t: d[0] e -> w\n bufif1 u: d[1] "
      "e -> w\n"
      " buf v: w -> _\nend\n"
      "cell top\n in d[3:0] e\n out q[3:0]\n word low: d[1:0] e -> q[1:0]\n word high: d[3:2] e -> "
      "q[3:2]\nend\n");
}

TEST_CASE("every net with a name of its own is found by it") {
  const auto c = tower();
  std::size_t found = 0;
  for (NetId net = 0; net < c.const_zero(); ++net) {
    if (c.is_gate_output(net) && c.visible_net(c.gate_of(net)) != net) continue;  // private
    if (c.names().nets[net].name == no_symbol) continue;                          // an open output
    INFO(c.net_name(net));
    CHECK(c.find_net(c.net_name(net)) == net);
    ++found;
  }
  CHECK(found == 5 + 4 * 3 + 2);
}

TEST_CASE("names of nets at all depths") {
  const auto c = tower();
  REQUIRE(c.find_net("low.b[1].n[0]"));
  CHECK(c.gate_name(c.gate_of(*c.find_net("low.b[1].n[0]"))) == "low.b[1].g[0]");
  REQUIRE(c.find_net("high.w"));
  CHECK(c.is_resolved(*c.find_net("high.w")));
  CHECK(c.find_net("d[3]") == NetId{0});
  CHECK(c.find_net("q[3]") == c.outputs()[0]);
}

TEST_CASE("what is no net is not found") {
  const auto c = tower();
  for (const char* name : {"",
                           ".",
                           "q",
                           "q[4]",
                           "q[3",
                           "q[]",
                           "q[x]",
                           "q[-1]",
                           "q[3].n",
                           "low",
                           "low.",
                           ".low.w",
                           "low..w",
                           "low.b",
                           "low.b[2].n[0]",
                           "low.b[1].n",
                           "low.b[1].q",
                           "low.t.out",
                           "0",
                           "1",
                           "_",
                           "nowhere",
                           "low.b[1].g[0]",
                           "q[4294967295]",
                           "q[99999999999]",
                           "low.w[0]",
                           "w"}) {
    INFO(name);
    CHECK_FALSE(c.find_net(name));
  }
}

TEST_CASE("find_bus gives the bits, msb as declared first") {
  const auto c = tower();
  CHECK(c.find_bus("d") == std::vector<NetId>{0, 1, 2, 3});
  CHECK(c.find_bus("q") == c.outputs());
  CHECK(c.find_bus("e") == std::vector<NetId>{4});
  CHECK(c.find_bus("d[2]") == std::vector<NetId>{1});
  const auto inner = c.find_bus("high.b[0].n");
  REQUIRE(inner.size() == 2);
  CHECK(c.net_name(inner[0]) == "high.b[0].n[1]");
  CHECK(c.net_name(inner[1]) == "high.b[0].n[0]");
  CHECK(c.find_bus("low.q").empty());  // has the names of the top
  CHECK(c.find_bus("nowhere").empty());
  CHECK(c.find_bus("").empty());
}

TEST_CASE("the same cell name and net name elsewhere do not confuse the search") {
  const auto c = circuit(
      "cell a\n in x\n out y\n buf n: x -> n\n buf m: n -> y\nend\n"
      "cell b\n in x\n out y\n a n: x -> n\n a m: n -> y\nend\n");
  CHECK(c.net_name(*c.find_net("n")) == "n");
  CHECK(c.net_name(*c.find_net("n.n")) == "n.n");
  CHECK(c.net_name(*c.find_net("m.n")) == "m.n");
  CHECK_FALSE(c.find_net("n.y"));
}

TEST_CASE("a copy of a circuit finds names too, after the first one is gone") {
  auto first = std::make_unique<Circuit>(tower());
  REQUIRE(first->find_net("high.w"));
  const Circuit copy = *first;
  first.reset();
  CHECK(copy.net_name(*copy.find_net("high.w")) == "high.w");
}

}  // namespace
}  // namespace settle
