// Adders and multipliers against ordinary integer arithmetic, and against each other.
//
// Carry-lookahead: c[i+1] = g[i] + p[i]*g[i-1] + ... + p[i]*...*p[0]*c[0] (common textbook form, from memory).
// c499 and c1355 compute the same function (Bryan, "The ISCAS '85 benchmark circuits and netlist format", 1988);
// c6288 is a 16 x 16 multiplier whose outputs go by net number (derived from the published netlist).
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "analysis/vector_program.h"
#include "settle/compare.h"
#include "support/circuit_text.h"
#include "support/format_text.h"
#include "support/random.h"

namespace settle {
namespace {

std::string bus_name(const char* name, unsigned bit) { return std::string(name) + "[" + std::to_string(bit) + "]"; }

std::string ripple_adder(unsigned bits) {
  const std::string top = std::to_string(bits - 1);
  std::string t = "cell full_adder\n in a b c\n out s k\n xor g: a b c -> s\n and h: a b -> p\n xor i: a b -> q\n and j: q c -> r\n or l: p r -> k\nend\n"
                  "cell adder\n in a[" + top + ":0] b[" + top + ":0] c0\n out s[" + top + ":0] carry\n";
  for (unsigned i = 0; i < bits; ++i) {
    const std::string from = i == 0 ? "c0" : "k" + std::to_string(i), to = i + 1 == bits ? "carry" : "k" + std::to_string(i + 1);
    t += " full_adder f" + std::to_string(i) + ": " + bus_name("a", i) + " " + bus_name("b", i) + " " + from + " -> " + bus_name("s", i) + " " + to + "\n";
  }
  return t + "end\n";
}

std::string lookahead_adder(unsigned bits) {
  const std::string top = std::to_string(bits - 1);
  std::string t = "cell adder\n in a[" + top + ":0] b[" + top + ":0] c0\n out s[" + top + ":0] carry\n";
  for (unsigned i = 0; i < bits; ++i) {
    const std::string n = std::to_string(i);
    t += " and g" + n + ": " + bus_name("a", i) + " " + bus_name("b", i) + " -> g" + n + "\n xor p" + n + ": " + bus_name("a", i) + " " + bus_name("b", i) + " -> p" + n + "\n";
    t += " xor s" + n + ": p" + n + " " + (i == 0 ? "c0" : "c" + n) + " -> " + bus_name("s", i) + "\n";
  }
  for (unsigned i = 0; i < bits; ++i) {
    const std::string to = i + 1 == bits ? "carry" : "c" + std::to_string(i + 1);
    std::string all = " or o" + std::to_string(i) + ": g" + std::to_string(i);
    for (unsigned from = 0; from <= i; ++from) {
      // The term that starts with g[from - 1], or c0, and runs through p[from] ... p[i].
      const std::string term = "t" + std::to_string(i) + "_" + std::to_string(from);
      t += " and " + term + ": " + (from == 0 ? "c0" : "g" + std::to_string(from - 1));
      for (unsigned p = from; p <= i; ++p) t += " p" + std::to_string(p);
      t += " -> " + term + "\n";
      all += " " + term;
    }
    t += all + " -> " + to + "\n";
  }
  return t + "end\n";
}

/// Rows of AND gates and ripple adders.
std::string array_multiplier(unsigned bits) {
  const auto n = [](const char* name, unsigned i, unsigned j) { return std::string(name) + std::to_string(i) + "_" + std::to_string(j); };
  std::string t = "cell half\n in a b\n out s k\n xor g: a b -> s\n and h: a b -> k\nend\n"
                  "cell full\n in a b c\n out s k\n xor g: a b -> q\n xor h: q c -> s\n and i: a b -> p\n and j: q c -> r\n or l: p r -> k\nend\n"
                  "cell multiplier\n in a[" + std::to_string(bits - 1) + ":0] b[" + std::to_string(bits - 1) + ":0]\n out y[" + std::to_string(2 * bits - 1) + ":0]\n";
  for (unsigned i = 0; i < bits; ++i) {
    for (unsigned j = 0; j < bits; ++j) t += " and " + n("m", i, j) + ": " + bus_name("a", j) + " " + bus_name("b", i) + " -> " + n("m", i, j) + "\n";
  }
  // Row i adds m[i] to the upper part of the sum so far; s[i][j] has weight i + j.
  for (unsigned i = 1; i < bits; ++i) {
    for (unsigned j = 0; j < bits; ++j) {
      const std::string above = j + 1 < bits ? (i == 1 ? n("m", 0, j + 1) : n("s", i - 1, j + 1)) : (i == 1 ? "" : n("k", i - 1, bits - 1));
      const std::string carry = j == 0 ? "" : n("k", i, j - 1);
      std::string inputs = " " + n("m", i, j);
      int count = 1;
      for (const std::string& part : {above, carry}) {
        if (part.empty()) continue;
        inputs += " " + part;
        ++count;
      }
      t += std::string(count == 3 ? " full " : " half ") + n("f", i, j) + ":" + inputs + " -> " + n("s", i, j) + " " + n("k", i, j) + "\n";
    }
  }
  t += " buf y0: m0_0 -> y[0]\n";
  for (unsigned i = 1; i < bits; ++i) t += " buf y" + std::to_string(i) + ": " + n("s", i, 0) + " -> " + bus_name("y", i) + "\n";
  for (unsigned j = 1; j < bits; ++j) t += " buf y" + std::to_string(bits - 1 + j) + ": " + n("s", bits - 1, j) + " -> " + bus_name("y", bits - 1 + j) + "\n";
  t += " buf y" + std::to_string(2 * bits - 1) + ": " + n("k", bits - 1, bits - 1) + " -> " + bus_name("y", 2 * bits - 1) + "\n";
  return t + "end\n";
}

/// 64 input vectors at once, a bit each, through the gates in order of evaluation.
void evaluate_words(const Circuit& c, const VectorProgram& program, std::vector<std::uint64_t>& nets) {
  nets[c.const_one()] = ~std::uint64_t{0};
  for (const auto& operation : program.operations) {
    const auto in = c.fan_in(operation.gate);
    std::uint64_t w = nets[in[0]];
    for (std::size_t i = 1; i < in.size(); ++i) {
      switch (c.kind(operation.gate)) {
        case GateKind::and_: case GateKind::nand: w &= nets[in[i]]; break;
        case GateKind::or_: case GateKind::nor: w |= nets[in[i]]; break;
        default: w ^= nets[in[i]]; break;
      }
    }
    // The inverting kinds are the odd ones.
    nets[operation.net] = (static_cast<unsigned>(c.kind(operation.gate)) & 1) != 0 ? ~w : w;
  }
}

/// Wrong products among `rounds` times 64 random pairs; `a`, `b`: input nets, `y`: output nets, least
/// significant first.
std::uint64_t wrong_products(const Circuit& c, const std::vector<NetId>& a, const std::vector<NetId>& b,
                             const std::vector<NetId>& y, std::uint64_t rounds) {
  const VectorProgram program = vector_program(c);
  testing::Random random(16);
  std::vector<std::uint64_t> nets(c.net_count(), 0);
  std::uint64_t wrong = 0;
  for (std::uint64_t round = 0; round < rounds; ++round) {
    for (const NetId net : a) nets[net] = random.next();
    for (const NetId net : b) nets[net] = random.next();
    evaluate_words(c, program, nets);
    const auto number = [&](const std::vector<NetId>& bits, unsigned lane) {
      std::uint64_t value = 0;
      for (std::size_t i = 0; i < bits.size(); ++i) value |= (nets[bits[i]] >> lane & 1) << i;
      return value;
    };
    for (unsigned lane = 0; lane < 64; ++lane) wrong += number(y, lane) != number(a, lane) * number(b, lane);
  }
  return wrong;
}

std::optional<Circuit> published_circuit(const std::string& name) {
  const char* folder = std::getenv("SETTLE_ISCAS");
  if (folder == nullptr) return {};
  std::ostringstream text;
  text << std::ifstream(std::filesystem::path(folder) / (name + ".bench")).rdbuf();
  return testing::read_text(name + ".bench", text.str()).circuit;
}

Comparison compared_in_order(const Circuit& a, const Circuit& b) {
  PinMatch match;
  for (std::uint32_t i = 0; i < a.input_count(); ++i) match.inputs.push_back(i);
  for (std::uint32_t i = 0; i < a.outputs().size(); ++i) match.outputs.push_back(i);
  return compare(a, b, match, {});
}

TEST_CASE("A ripple adder is proved equal to a carry-lookahead adder", "[arithmetic]") {
  for (const unsigned bits : {1u, 4u, 16u}) {
    const Comparison c = compared_in_order(testing::circuit(ripple_adder(bits)), testing::circuit(lookahead_adder(bits)));
    CHECK(c.answer == Comparison::Answer::equal);
    CHECK(c.proof == Comparison::Proof::inputs);
  }
}

TEST_CASE("A 16 x 16 array multiplier multiplies 100,000 random pairs correctly", "[arithmetic]") {
  const Circuit c = testing::circuit(array_multiplier(16));
  std::vector<NetId> a = c.find_bus("a"), b = c.find_bus("b"), y = c.find_bus("y");
  std::reverse(a.begin(), a.end());
  std::reverse(b.begin(), b.end());
  std::reverse(y.begin(), y.end());
  REQUIRE(y.size() == 32);
  CHECK(wrong_products(c, a, b, y, 1563) == 0);
}

TEST_CASE("The published multiplier c6288 multiplies, and c499 equals c1355", "[arithmetic][iscas]") {
  if (const auto c = published_circuit("c6288")) {
    std::vector<NetId> a, b, y;
    for (NetId i = 0; i < 16; ++i) a.push_back(i);
    for (NetId i = 16; i < 32; ++i) b.push_back(i);
    for (std::uint32_t o = 0; o < 30; ++o) y.push_back(c->outputs()[o]);
    y.push_back(*c->find_net("n6288"));
    y.push_back(*c->find_net("n6287"));
    CHECK(wrong_products(*c, a, b, y, 1563) == 0);
  }
  const auto c499 = published_circuit("c499"), c1355 = published_circuit("c1355");
  if (c499 && c1355) {
    const Comparison c = compared_in_order(*c499, *c1355);
    CHECK(c.answer == Comparison::Answer::equal);
    CHECK(c.proof == Comparison::Proof::inputs);
  }
}

}  // namespace
}  // namespace settle
