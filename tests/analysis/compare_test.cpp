// Comparing circuits: each method, and differences that hold when simulated.
#include <set>

#include "settle/compare.h"
#include "settle/run.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::circuit;
using Answer = Comparison::Answer;
using Proof = Comparison::Proof;

Comparison compared(const Circuit& a, const Circuit& b, CompareOptions options = {}) {
  PinMatch match;
  Diagnostics diagnostics;
  const bool matched = match_pins(a, b, options, match, diagnostics);
  INFO(render(diagnostics, {}));
  REQUIRE(matched);
  return compare(a, b, match, options);
}

/// Runs the telling stimulus: how many of its expectations fail.
std::uint64_t failures_on(const Circuit& c, const std::string& stimulus) {
  testing::MemoryFiles files;
  files.put("t.stim", stimulus);
  Sources sources;
  Diagnostics diagnostics;
  const auto parsed = parse_stimulus("t.stim", files, sources, diagnostics);
  const auto result = run(c, parsed, {}, diagnostics);
  INFO(stimulus << render(diagnostics, sources));
  REQUIRE(result);
  CHECK(result->passed + result->failed == 1);
  return result->failed;
}

const char* const nor_pair = "cell m\n in s r\n out q\n nor a: r n -> q\n nor b: s q -> n\nend\n";
const char* const nor_pair_renamed = "cell k\n in r s\n out q\n nor y: s q -> w\n nor x: r w -> q\nend\n";
// The same latch with its pins crossed.
const char* const crossed_pair = "cell m\n in s r\n out q\n nor a: s n -> q\n nor b: r q -> n\nend\n";
// Reset wins: while both are 1 the outputs are those of the NOR pair, and so is everything else.
const char* const and_or_form = "cell m\n in s r\n out q\n not i: r -> nr\n or o: s q -> w\n and a: w nr -> q\nend\n";
// Set wins.
const char* const set_wins = "cell m\n in s r\n out q\n not i: r -> nr\n and a: q nr -> w\n or o: s w -> q\nend\n";

TEST_CASE("Gates that match one to one need no search") {
  const Comparison c = compared(circuit(nor_pair), circuit(nor_pair_renamed));
  CHECK(c.answer == Answer::equal);
  CHECK(c.proof == Proof::gates);
  // Equal gates with other delays are not the same gates.
  const Comparison d = compared(circuit("cell m\n in a\n out y\n not g: a -> y {delay=2}\nend\n"),
                                circuit("cell m\n in a\n out y\n not g: a -> y {delay=3}\nend\n"));
  CHECK(d.answer == Answer::equal);
  CHECK(d.proof == Proof::inputs);
}

TEST_CASE("Circuits without memory are compared by a proof over all input vectors") {
  const Circuit by_xor = circuit("cell m\n in a b\n out y\n xor g: a b -> y\nend\n");
  const Circuit by_nand = circuit(
      "cell m\n in b a\n out y\n nand g: a b -> n\n nand h: a n -> p\n nand i: n b -> q\n nand j: p q -> y\nend\n");
  const Comparison same = compared(by_xor, by_nand);
  CHECK(same.answer == Answer::equal);
  CHECK(same.proof == Proof::inputs);
  const Circuit by_or = circuit("cell m\n in a b\n out y\n or g: a b -> y\nend\n");
  const Comparison other = compared(by_xor, by_or);
  REQUIRE(other.answer == Answer::different);
  REQUIRE(other.vectors.size() == 1);
  CHECK(other.vectors[0] == std::vector<Value>{Value::one, Value::one});
  CHECK(failures_on(by_xor, telling_stimulus(other, by_xor)) == 0);
  CHECK(failures_on(by_or, telling_stimulus(other, by_xor)) == 1);
}

TEST_CASE("Inputs with which a wire floats are not left out of a proof") {
  const std::string driver = "cell m\n in d g\n out q\n bufif1 a: d g -> w\n not n: w -> q\n";
  const Circuit open = circuit(driver + "end\n"), held = circuit(driver + " pullup p: -> w\nend\n");
  CHECK(compared(held, open).answer == Answer::different);
  CompareOptions brief;
  brief.search_nodes = 100;
  brief.walk_steps = 100;
  const Circuit same = circuit("cell m\n in d g\n out q\n notif1 a: d g -> w\n buf n: w -> q\nend\n");
  const Comparison undecided = compared(open, same, brief);
  CHECK(undecided.answer == Answer::undecided);
  CHECK(undecided.undecided_reason.find("floats") != std::string::npos);
  const Circuit held_too = circuit("cell m\n in d g\n out q\n not i: d -> n\n bufif1 a: n g -> w\n pulldown p: -> w\n buf b: w -> q\nend\n");
  CHECK(compared(held, held_too).proof == Proof::inputs);
}

TEST_CASE("What never comes to rest is not called equal") {
  const std::string ring = " not r: o -> o\n";
  const Circuit keeper = circuit("cell m\n in a b c\n out y\n nand g: y -> n\n" + ring + " nor h: n -> y\nend\n");
  const Circuit wire = circuit("cell m\n in a b c\n out y\n nand g: c -> n\n" + ring + " nor h: n -> y\nend\n");
  CHECK(compared(keeper, wire).answer != Answer::equal);
  CHECK(compared(wire, keeper).answer != Answer::equal);
  // With b = 1 alone it rests: the stable states left would agree.
  const Circuit some = circuit("cell m\n in b\n out y\n nand r: b o -> o\n buf k: m -> m\n and g: m b -> y\nend\n");
  const Circuit none = circuit("cell m\n in b\n out y\n nand r: b o -> o\n buf k: m -> m\n and g: 0 b -> y\nend\n");
  CHECK(compared(some, none).answer != Answer::equal);
}

TEST_CASE("Caution of the simulation is no difference where all states agree") {
  const Circuit constant = circuit("cell m\n in s r\n out y\n not i: s -> n\n or o: s n -> y\nend\n");
  const Circuit pair = circuit("cell m\n in s r\n out y\n nor a: r qn -> q\n nor b: s q -> qn\n or o: s q qn -> y\nend\n");
  CHECK(compared(constant, pair).answer == Answer::equal);
  CHECK(compared(pair, constant).answer == Answer::equal);
}

TEST_CASE("Storage circuits are compared by all stable states and the changes between them") {
  // Reset wins in one and in the other; built of other gates.
  const Comparison same = compared(circuit(nor_pair), circuit("cell m\n in s r\n out q\n nor a: r n -> q\n nor b: s q -> n\n buf k: q -> t\nend\n"));
  CHECK(same.answer == Answer::equal);
  CHECK(same.proof == Proof::gates);  // what no output sees does not count
  const Comparison crossed = compared(circuit(nor_pair), circuit(crossed_pair));
  REQUIRE(crossed.answer == Answer::different);
  CHECK(crossed.is_shortest);
  CHECK(crossed.vectors.size() == 1);
  CHECK(failures_on(circuit(nor_pair), telling_stimulus(crossed, circuit(nor_pair))) == 0);
  CHECK(failures_on(circuit(crossed_pair), telling_stimulus(crossed, circuit(nor_pair))) == 1);
  const Comparison wins = compared(circuit(and_or_form), circuit(set_wins));
  REQUIRE(wins.answer == Answer::different);
  CHECK(wins.vectors.size() == 1);
  CHECK(wins.vectors[0] == std::vector<Value>{Value::one, Value::one});
}

TEST_CASE("Leaving both inputs of the NOR pair high is undecided, of the and-or form it is not") {
  const Comparison c = compared(circuit(nor_pair), circuit(and_or_form));
  REQUIRE(c.answer == Answer::equal);
  CHECK(c.proof == Proof::states);  // one input at a time: the difference lies in a change of both
}

TEST_CASE("A transparent latch and an edge-triggered flip-flop differ after the second change") {
  const std::string latch =
      "cell m\n in d c\n out q\n nand a: d c -> s\n nand b: s c -> r\n nand k: s n -> q\n nand l: r q -> n\nend\n";
  const std::string flip_flop =
      "cell m\n in d c\n out q\n nand g1: n4 n2 -> n1\n nand g2: n1 c -> n2\n nand g3: n2 c n4 -> n3\n nand g4: n3 d -> n4\n"
      " nand g5: n2 n -> q\n nand g6: n3 q -> n\nend\n";
  const Comparison c = compared(circuit(latch), circuit(flip_flop));
  REQUIRE(c.answer == Answer::different);
  CHECK(c.vectors.size() == 1);  // with the clock high from power-up the latch shows its data, the flip-flop nothing
  CHECK(failures_on(circuit(latch), telling_stimulus(c, circuit(latch))) == 0);
  CHECK(failures_on(circuit(flip_flop), telling_stimulus(c, circuit(latch))) == 1);
  const Comparison back = compared(circuit(flip_flop), circuit(latch));
  REQUIRE(back.answer == Answer::different);
  CHECK(back.vectors.size() > 1);
  CHECK(failures_on(circuit(flip_flop), telling_stimulus(back, circuit(flip_flop))) == 0);
  CHECK(failures_on(circuit(latch), telling_stimulus(back, circuit(flip_flop))) == 1);
}

TEST_CASE("Pins are matched by name, or as told") {
  const Circuit a = circuit("cell m\n in a b\n out y\n nand g: a b -> y\nend\n");
  const Circuit b = circuit("cell m\n in a x\n out y\n nand g: x a -> y\nend\n");
  CompareOptions options;
  PinMatch match;
  Diagnostics diagnostics;
  CHECK(!match_pins(a, b, options, match, diagnostics));
  CHECK(diagnostics.error_count() == 2);
  options.pins = {{"b", "x"}};
  CHECK(compared(a, b, options).answer == Answer::equal);
}

TEST_CASE("Two random circuits without loops are equal just where their truth tables are") {
  int equal = 0;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    INFO(seed);
    // Small: so that equal functions are not rare.
    const auto text = [](std::uint64_t s) {
      testing::Random random(s);
      static const char* const kinds[] = {"nand", "nor", "xor", "and", "or"};
      std::string t = "cell m\n in a b\n out y\n";
      std::vector<std::string> nets = {"a", "b"};
      for (int g = 0; g < 3; ++g) {
        const std::string out = g == 2 ? "y" : "n" + std::to_string(g);
        t += std::string(" ") + kinds[random.below(5)] + " g" + std::to_string(g) + ": " + nets[random.below(static_cast<std::uint32_t>(nets.size()))] +
             " " + nets[random.below(static_cast<std::uint32_t>(nets.size()))] + " -> " + out + "\n";
        nets.push_back(out);
      }
      return t + "end\n";
    };
    const Circuit a = circuit(text(seed)), b = circuit(text(seed + 1000));
    const auto table = [](const Circuit& c) {
      std::string values;
      for (int v = 0; v < 4; ++v) {
        std::vector<Value> nets(c.net_count(), Value::x);
        nets[0] = to_value((v & 2) != 0);
        nets[1] = to_value((v & 1) != 0);
        for (int round = 0; round < 4; ++round) {
          for (GateId g = 0; g < c.gate_count(); ++g) {
            std::vector<Value> in;
            for (const NetId n : c.fan_in(g)) in.push_back(nets[n]);
            nets[c.output_of(g)] = evaluate(c.kind(g), in);
          }
        }
        values += to_char(nets[c.outputs()[0]]);
      }
      return values;
    };
    const bool same = table(a) == table(b);
    equal += same;
    CHECK((compared(a, b).answer == Answer::equal) == same);
    CHECK((compared(a, b).answer == Answer::different) == !same);
  }
  CHECK(equal > 5);
}

}  // namespace
}  // namespace settle
