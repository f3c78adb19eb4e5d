// Storage loops: strongly connected components of the gate graph.
#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "support/circuit_text.h"
#include "support/random.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;

std::string loops_of(const Circuit& c) {
  std::string text;
  for (std::uint32_t i = 0; i < c.loop_count(); ++i) {
    for (const GateId gate : c.loop(i))
      text += (text.empty() || text.back() == '\n' ? "" : " ") + c.gate_name(gate);
    text += '\n';
  }
  return text;
}

TEST_CASE("loops: a latch, a ring of one, gates in front and behind") {
  const auto c = circuit(
      "cell c\n in s r\n out q p z\n"
      "  not front: s -> s_n\n"
      "  nand a: s_n p -> q\n"
      "  nand b: r q -> p\n"
      "  not ring: z -> z\n"
      "  buf behind: q -> _\n"
      "end\n");
  CHECK(loops_of(c) == "a b\nring\n");
  CHECK(c.loop_of(0) == no_id);
  CHECK(c.loop_of(1) == 0);
  CHECK(c.loop_of(3) == 1);
  CHECK(c.reaches_loop(0));
  CHECK(c.reaches_loop(1));
  CHECK(c.reaches_loop(3));
  CHECK_FALSE(c.reaches_loop(4));
}

TEST_CASE("no loops: no arrays, every question has an answer") {
  const auto c = circuit("cell c\n in a\n out y\n buf g: a -> n\n buf h: n -> y\nend\n");
  CHECK(c.loop_count() == 0);
  CHECK(c.loop_of(1) == no_id);
  CHECK_FALSE(c.reaches_loop(0));
}

TEST_CASE("a loop may run through a resolved net") {
  const auto c = circuit(
      "cell c\n in d e\n out q\n"
      "  bufif1 write: d e -> bus\n"
      "  not invert: bus -> n\n"
      "  not again: n -> q\n"
      "  bufif0 hold: q e -> bus\n"
      "end\n");
  CHECK(loops_of(c) == "invert again hold\n");
  CHECK(c.reaches_loop(0));
  // The other driver of a wire alone makes no loop.
  const auto none = circuit(
      "cell c\n in d e\n out bus\n bufif1 a: d e -> bus\n bufif1 b: bus e -> n\n buf g: n -> _\n pullup p: "
      "-> bus\nend\n");
  CHECK(loops_of(none) == "");
  const auto self =
      circuit("cell c\n in d e\n out bus\n bufif1 a: d e -> bus\n bufif1 b: bus e -> bus\nend\n");
  CHECK(loops_of(self) == "b\n");
}

TEST_CASE("a chain of 300,000 gates, closed and open") {
  const auto chain = [](bool is_closed) {
    return circuit(
        "cell c\n in a\n out y\n nand first: a " + std::string(is_closed ? "n[0]" : "a") +
        " -> n[299999]\n not g[299998:0]: n[299999:1] -> n[299998:0]\n buf last: n[0] -> y\nend\n");
  };
  CHECK(chain(true).loop_count() == 1);
  CHECK(chain(true).loop(0).size() == 300'000);
  CHECK(chain(false).loop_count() == 0);
}

/// Gates that can reach each other, by plain search from every gate.
std::set<std::set<std::string>> slow_loops(const Circuit& c) {
  const auto gates = c.gate_count();
  std::vector<std::vector<bool>> reach(gates, std::vector<bool>(gates));
  for (GateId from = 0; from < gates; ++from) {
    std::vector<GateId> work{from};
    while (!work.empty()) {
      const auto gate = work.back();
      work.pop_back();
      for (const GateId next : c.fan_out(c.visible_net(gate))) {
        if (!reach[from][next]) work.push_back(next);
        reach[from][next] = true;
      }
    }
  }
  std::set<std::set<std::string>> loops;
  for (GateId a = 0; a < gates; ++a) {
    std::set<std::string> loop;
    for (GateId b = 0; b < gates; ++b) {
      if (reach[a][b] && reach[b][a]) loop.insert(c.gate_name(b));
    }
    if (!loop.empty()) loops.insert(loop);
    bool reaches = false;
    for (GateId b = 0; b < gates; ++b) reaches |= reach[b][b] && (a == b || reach[a][b]);
    CHECK(c.reaches_loop(a) == reaches);
  }
  return loops;
}

std::set<std::set<std::string>> fast_loops(const Circuit& c) {
  std::set<std::set<std::string>> loops;
  for (std::uint32_t i = 0; i < c.loop_count(); ++i) {
    std::set<std::string> loop;
    for (const GateId gate : c.loop(i)) loop.insert(c.gate_name(gate));
    loops.insert(loop);
  }
  return loops;
}

TEST_CASE("loops of random circuits agree with plain search, whatever the order of statements") {
  testing::RandomCircuitOptions options;
  options.three_state = options.pulls = true;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    options.loop_percent = 5 + static_cast<std::uint32_t>(seed % 4) * 10;
    const auto text = testing::random_circuit(seed, options);
    INFO(text);
    const auto c = circuit(text);
    const auto loops = fast_loops(c);
    CHECK(loops == slow_loops(c));

    std::vector<std::string> head, gates;
    std::string line;
    for (const char letter : text) {
      line += letter;
      if (letter != '\n') continue;
      (line.find("->") == std::string::npos ? head : gates).push_back(line);
      line.clear();
    }
    std::reverse(gates.begin(), gates.end());
    std::string turned;
    for (std::size_t i = 0; i + 1 < head.size(); ++i) turned += head[i];
    for (const auto& gate : gates) turned += gate;
    CHECK(fast_loops(circuit(turned + head.back())) == loops);
  }
}

}  // namespace
}  // namespace settle
