// Steps of the textbook cells. Expected values: derived from the equations.
#include <algorithm>
#include <string>
#include <vector>

#include "settle/step_analysis.h"
#include "support/circuit_text.h"
#include "support/step_cases.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

// "q_gate=0 qn_gate=1 | ... ; cycle; race q_gate qn_gate", one line a part.
std::string describe(const Circuit& circuit, const StepOutcome& outcome) {
  std::string text;
  if (!outcome.complete) text += "incomplete ";
  if (!outcome.known) text += "unknown ";
  for (const StepPart& part : outcome.parts) {
    if (!text.empty()) text += " / ";
    for (std::size_t o = 0; o < part.outcomes.size(); ++o) {
      if (o != 0) text += "|";
      for (const Value v : part.outcomes[o]) text += to_char(v);
    }
    if (part.may_cycle) text += " cycle";
    if (!part.racing.empty() || !part.racing_inputs.empty()) {
      text += " race";
      for (const GateId gate : part.racing) text += " " + circuit.gate_name(gate);
      for (const NetId net : part.racing_inputs) text += " input " + circuit.net_name(net);
    }
  }
  return text.empty() ? "settles" : outcome.settles() ? "settles after search: " + text : text;
}

std::string step(const char* cell, const char* from, const char* to, const char* gates, bool skewed = false) {
  const Circuit c = circuit(cell);
  const StepCase s = step_case(c, from, to, gates);
  StepAnalyzer analyzer(c);
  return describe(c, analyzer.any_delay(s.step(), {}, skewed));
}
bool settles(const char* cell, const char* from, const char* to, const char* gates, bool skewed = false) {
  const Circuit c = circuit(cell);
  const StepCase s = step_case(c, from, to, gates);
  StepAnalyzer analyzer(c);
  return analyzer.any_delay(s.step(), {}, skewed).settles();
}

}  // namespace

TEST_CASE("NOR latch") {
  using cells::nor_latch;
  SECTION("both inputs at 1 is a stable state") { CHECK(step(nor_latch, "10", "11", "10") == "settles"); }
  SECTION("both released at once: either end, or the cycle 00 and 11") {
    CHECK(step(nor_latch, "11", "00", "00") == "01|10 cycle race q_gate qn_gate");
  }
  SECTION("released one after the other") {
    CHECK(step(nor_latch, "11", "10", "00") == "settles");
    CHECK(step(nor_latch, "11", "01", "00") == "settles");
  }
  SECTION("set, hold, reset") {
    CHECK(step(nor_latch, "00", "10", "01") == "settles");
    CHECK(step(nor_latch, "10", "00", "10") == "settles");
    CHECK(step(nor_latch, "00", "01", "10") == "settles");
  }
  SECTION("which gates differ") {
    const Circuit c = circuit(nor_latch);
    const StepCase s = step_case(c, "11", "00", "00");
    StepAnalyzer analyzer(c);
    const StepOutcome outcome = analyzer.any_delay(s.step());
    CHECK(outcome.differing == std::vector<GateId>{0, 1});
    CHECK(outcome.outcome_count() == 2);
    CHECK(verdict_of(outcome, true) == Verdict::indeterminate);
    CHECK(verdict_of(outcome, false) == Verdict::delay_dependent);
  }
  SECTION("from a state that is not stable") {
    // 11 with quiet inputs: each gate alone decides, both together go to 00.
    CHECK(step(nor_latch, "00", "00", "11") == "01|10 cycle race q_gate qn_gate");
    // 00 under set: Q' is held down.
    CHECK(step(nor_latch, "10", "10", "00") == "settles");
  }
  SECTION("skewed: set and reset swap places") {
    CHECK(settles(nor_latch, "10", "01", "10"));
    CHECK(settles(nor_latch, "10", "01", "10", true));
  }
}

TEST_CASE("NAND latch") {
  CHECK(step(cells::nand_latch, "00", "11", "11") == "01|10 cycle race q_gate qn_gate");
  CHECK(step(cells::nand_latch, "00", "01", "11") == "settles");
  CHECK(step(cells::nand_latch, "11", "01", "01") == "settles");
}

TEST_CASE("Gated latch whose gate closes while set and reset are both on") {
  // gs, gr, q, qn; c s r. Both inner gates rise, then the pair decides.
  CHECK(step(cells::gated_latch, "111", "011", "0011") == "1101|1110 cycle race q_gate qn_gate");
}

TEST_CASE("Transparent latches settle on ordinary edges") {
  SECTION("four gates: s, r, q, qn") {
    CHECK(settles(cells::d_latch_4, "01", "11", "1001"));
    CHECK(settles(cells::d_latch_4, "11", "10", "0110"));
    CHECK(settles(cells::d_latch_4, "10", "11", "1101"));
  }
  SECTION("five gates: dn, s, r, q, qn") {
    CHECK(settles(cells::d_latch_5, "01", "11", "11001"));
    CHECK(settles(cells::d_latch_5, "11", "10", "00110"));
  }
  SECTION("data changes while the latch closes: fine at once, not when skewed") {
    CHECK(settles(cells::d_latch_5, "11", "00", "00110"));
    CHECK_FALSE(settles(cells::d_latch_5, "11", "00", "00110", true));
    // Once the new data is in, the clock must not come after the gate that lets it through.
    CHECK(step(cells::d_latch_5, "11", "00", "00110", true) == "11101|11110 cycle race gr input c");
  }
}

TEST_CASE("Multiplexer latch loses a stored 1 when the inverter is slow, the Earle latch does not") {
  // inv, load, keep, sum
  CHECK(step(cells::mux_latch, "11", "10", "0101") == "1000|1011 cycle race keep sum");
  CHECK(settles(cells::earle_latch, "11", "10", "01011"));
  CHECK(settles(cells::mux_latch, "01", "00", "0000"));
}

TEST_CASE("Flip-flops settle on ordinary edges") {
  SECTION("six NAND gates: n1 n2 n3 n4 q qn") {
    CHECK(settles(cells::six_nand, "10", "11", "111001"));
    CHECK(settles(cells::six_nand, "00", "01", "011110"));
    CHECK(settles(cells::six_nand, "11", "10", "101010"));
    CHECK(settles(cells::six_nand, "01", "00", "010101"));
    // The falling edge with other data waiting needs slow wires to go wrong, slow gates do not do.
    CHECK(settles(cells::six_nand, "11", "10", "010101"));
    CHECK(settles(cells::six_nand, "01", "00", "101110"));
  }
  SECTION("six NAND gates: data and clock rise together, skewed") {
    CHECK_FALSE(settles(cells::six_nand, "00", "11", "011101", true));
  }
  SECTION("master and slave: the master takes j = k = 1 without trouble") {
    // inv ms mr m mn ss sr q qn, holding 0 with the clock low
    CHECK(settles(cells::jk_master_slave, "110", "111", "111011001") == false);
  }
}

TEST_CASE("Level-sensitive JK latch races around") {
  // s r q qn = 1 1 0 1, j = k = 1, clock rises
  const std::string result = step(cells::jk_latch, "110", "111", "1101");
  CHECK(result.find("cycle") != std::string::npos);
  const Circuit c = circuit(cells::jk_latch);
  const StepCase s = step_case(c, "110", "111", "1101");
  StepAnalyzer analyzer(c);
  const StepOutcome outcome = analyzer.any_delay(s.step());
  CHECK_FALSE(outcome.settles());
  CHECK(settles(cells::jk_latch, "100", "101", "1101"));
}

TEST_CASE("C-element waits for both inputs") {
  // ab ac bc sum
  CHECK(settles(cells::c_element, "00", "10", "0000"));
  CHECK(settles(cells::c_element, "10", "11", "0000"));
  CHECK(settles(cells::c_element, "00", "11", "0000"));
  // From 1 one input may leave: ac or bc holds.
  CHECK(settles(cells::c_element, "11", "01", "1111"));
  // Both swap while the output is 1: no single term holds it.
  CHECK_FALSE(settles(cells::c_element, "10", "01", "0101", true));
}

TEST_CASE("Three-way NOR latch released from all ones") {
  const Circuit c = circuit(cells::three_way);
  const StepCase s = step_case(c, "111", "000", "000");
  StepAnalyzer analyzer(c);
  const StepOutcome outcome = analyzer.any_delay(s.step());
  REQUIRE(outcome.parts.size() == 1);
  CHECK(describe(c, outcome) == "001|010|100 cycle race p_gate q_gate r_gate");
  CHECK(outcome.differing == std::vector<GateId>{0, 1, 2});
}

TEST_CASE("Rings") {
  SECTION("a gated ring of three never rests") {
    const Circuit c = circuit(cells::gated_ring);
    const StepCase s = step_case(c, "0", "1", "101");
    StepAnalyzer analyzer(c);
    const StepOutcome outcome = analyzer.any_delay(s.step());
    CHECK(describe(c, outcome) == " cycle");
    CHECK_FALSE(outcome.has_outcome());
    CHECK(outcome.outcome_count() == 0);
    CHECK(verdict_of(outcome, true) == Verdict::oscillation);
    CHECK(settles(cells::gated_ring, "1", "0", "110"));
  }
  SECTION("two inverters started alike") {
    const char* ring = "cell ring\n out a b\n not x: b -> a\n not y: a -> b\nend\n";
    CHECK(step(ring, "", "", "00") == "01|10 cycle race x y");
    CHECK(step(ring, "", "", "01") == "settles");
  }
  SECTION("one inverter") {
    const char* ring = "cell ring\n out a\n not x: a -> a\nend\n";
    CHECK(step(ring, "", "", "0") == " cycle");
  }
}

TEST_CASE("A register is judged bit by bit, whatever its width") {
  std::string text =
      "cell bit\n in d c cn\n out q\n"
      "  and load: d c -> a\n and keep: q cn -> b\n or sum: a b -> q\nend\n"
      "cell wide\n in d[63:0] c\n out q[63:0]\n  not inv: c -> cn\n"
      "  bit bits[63:0]: d[63:0] c cn -> q[63:0]\nend\n";
  const Circuit c = circuit(text);
  REQUIRE(c.gate_count() == 193);
  // All bits store a 1, the clock falls: each may lose it.
  std::string from(64, '1'), gates;
  for (GateId g = 0; g < c.gate_count(); ++g) {
    const std::string name = c.gate_name(g);
    gates += name == "inv" || name.find("keep") != std::string::npos ? '0' : '1';
  }
  const StepCase s = step_case(c, from + "1", from + "0", gates);
  StepAnalyzer analyzer(c);
  const StepOutcome outcome = analyzer.any_delay(s.step());
  REQUIRE(outcome.complete);
  CHECK(outcome.parts.size() == 64);
  CHECK(outcome.outcome_count() == ~std::uint64_t{0});  // 2^64 does not fit
  CHECK(outcome.may_cycle());
  for (const StepPart& part : outcome.parts) {
    CHECK(part.gates.size() == 4);
    CHECK(part.outcomes.size() == 2);
  }
}

TEST_CASE("Limits stop the search and never give a verdict") {
  // A ring of 24 inverters with all gates excited.
  std::string text = "cell ring\n out n0\n";
  for (int i = 0; i < 24; ++i) {
    text += " not g" + std::to_string(i) + ": n" + std::to_string((i + 23) % 24) + " -> n" +
            std::to_string(i) + "\n";
  }
  text += "end\n";
  const Circuit c = circuit(text);
  const StepCase s = step_case(c, "", "", std::string(24, '0'));
  StepAnalyzer analyzer(c);
  for (const AnyDelayLimits limits : {AnyDelayLimits{1000, 1u << 30}, AnyDelayLimits{1u << 30, 100'000}}) {
    const StepOutcome outcome = analyzer.any_delay(s.step(), limits);
    CHECK_FALSE(outcome.complete);
    CHECK_FALSE(outcome.settles());
  }
}

TEST_CASE("Unknown values give no verdict where they matter") {
  SECTION("a latch that was never set, left alone") {
    CHECK(step(cells::nor_latch, "00", "00", "xx") == "settles");  // nothing can move
  }
  SECTION("an unknown input of a loop") {
    const Circuit c = circuit(cells::nor_latch);
    const StepCase s = step_case(c, "11", "0x", "00");
    StepAnalyzer analyzer(c);
    const StepOutcome outcome = analyzer.any_delay(s.step());
    CHECK_FALSE(outcome.known);
    CHECK_FALSE(outcome.settles());
  }
  SECTION("setting a latch with unknown content decides it") {
    const Circuit c = circuit(cells::nor_latch);
    const StepCase s = step_case(c, "00", "10", "xx");
    StepAnalyzer analyzer(c);
    CHECK(analyzer.ternary(s.step()).undecided.empty());
    CHECK(gate_text(c, analyzer.ternary_values(s.step(), false)) == "10");
  }
}

TEST_CASE("Loops over three-state wires") {
  // One buffer always drives, the other never does: the wire is a plain net.
  const char* text = R"(
cell kept
  in  s r
  out q qn
  bufif1 drive: a 1 -> w
  bufif1 idle:  s 0 -> w
  nor a_gate: r qn -> a
  nor n_gate: s w -> qn
  buf show: w -> q
end
)";
  const Circuit c = circuit(text);
  std::string gates;
  for (GateId g = 0; g < c.gate_count(); ++g) gates += c.gate_name(g) == "idle" ? 'z' : '0';
  const StepCase s = step_case(c, "11", "00", gates);
  StepAnalyzer analyzer(c);
  const StepOutcome outcome = analyzer.any_delay(s.step());
  REQUIRE(outcome.known);
  CHECK(outcome.outcome_count() == 2);
  CHECK(outcome.may_cycle());
  // The buffer behind the wire differs with it.
  CHECK(outcome.differing.size() == 4);
}

TEST_CASE("Naming the excited gates saves nothing but time") {
  const Circuit c = circuit(cells::nor_latch);
  const StepCase s = step_case(c, "00", "00", "11");
  StepAnalyzer analyzer(c);
  Step step = s.step();
  const std::vector<GateId> excited{0, 1};
  step.excited = excited;
  CHECK(analyzer.any_delay(step).outcome_count() == 2);
}

}  // namespace settle::testing
