#include "settle/explain.h"

#include <algorithm>
#include <string>

#include "analysis/part_split.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/storage_cells.h"

namespace settle {
namespace {

using testing::circuit;
namespace cells = testing::cells;
using Kind = ExplainFinding::Kind;

const ExplainFinding* finding(const Explanation& e, Kind kind) {
  const auto found = std::find_if(e.findings.begin(), e.findings.end(), [&](const auto& f) { return f.kind == kind; });
  return found == e.findings.end() ? nullptr : &*found;
}

std::string triggers(const ExplainedOutput& output) {
  std::string text;
  for (const OutputTrigger& t : output.changes_on) {
    text += (text.empty() ? "" : " ") + std::string(t.edge == OutputTrigger::Edge::rise   ? "^"
                                                    : t.edge == OutputTrigger::Edge::fall ? "v"
                                                                                          : "") + t.input;
  }
  return text;
}

std::string roles(const ExplainedCell& cell) {
  std::string text;
  for (const InputRole& role : cell.inputs) {
    text += (text.empty() ? "" : " ") + role.input + ":" + role.role + (role.active_high ? "" : "'");
  }
  return text;
}

TEST_CASE("A NOR pair: both outputs 0 when both inputs are active, released together undecided") {
  const Explanation e = explain(circuit(cells::nor_latch));
  REQUIRE(e.complementary.size() == 1);
  CHECK(e.complementary[0].a == "q");
  CHECK(e.complementary[0].b == "qn");
  CHECK(e.complementary[0].except == "s r");
  CHECK_FALSE(e.complementary[0].both_at_one);
  CHECK(e.outputs[0].holds_when == "s' r'");
  CHECK(e.outputs[0].set_when == "s r'");
  CHECK(e.outputs[0].reset_when == "r");
  CHECK(e.cells.at(0).known_when == "s + r");
  CHECK(roles(e.cells[0]) == "r:reset s:set");
  const ExplainFinding* release = finding(e, Kind::forbidden_change);
  REQUIRE(release != nullptr);
  CHECK(release->is_warning);
  CHECK(release->inputs == std::vector<std::string>{"s", "r"});
  CHECK(release->gates == std::vector<std::string>{"q_gate", "qn_gate"});
  CHECK(release->from == "s=1 r=1");
  CHECK(release->to == "s=0 r=0");
  CHECK(e.findings.size() == 1);
}

TEST_CASE("A NAND pair: both outputs 1") {
  const Explanation e = explain(circuit(cells::nand_latch));
  REQUIRE(e.complementary.size() == 1);
  CHECK(e.complementary[0].except == "sn' rn'");
  CHECK(e.complementary[0].both_at_one);
}

TEST_CASE("One output alone shows which input dominates") {
  CHECK(explain(circuit("cell a\n in s r\n out q\n nor x: r qn -> q\n nor y: s q -> qn\nend\n")).kind ==
        "set-reset latch, set and reset active high, reset-dominant");
  CHECK(explain(circuit("cell a\n in s r\n out q\n nand x: s qn -> q\n nand y: r q -> qn\nend\n")).kind ==
        "set-reset latch, set and reset active low, set-dominant");
}

TEST_CASE("A multiplexer latch lacks its consensus term, and the cure is proved") {
  const Explanation e = explain(circuit(cells::mux_latch));
  const ExplainFinding* hazard = finding(e, Kind::hazard);
  REQUIRE(hazard != nullptr);
  CHECK(hazard->cure == "an AND gate of d and q that feeds 'sum' as a further input");
  CHECK(hazard->inputs == std::vector<std::string>{"c"});
  CHECK(finding(explain(circuit(cells::earle_latch)), Kind::hazard) == nullptr);
  // The same in NAND gates and in NOR gates.
  const Explanation nands = explain(circuit(
      "cell m\n in d c\n out q\n not i: c -> cn\n nand a: d c -> x\n nand b: q cn -> y\n nand s: x y -> q\nend\n"));
  REQUIRE(finding(nands, Kind::hazard) != nullptr);
  CHECK(finding(nands, Kind::hazard)->cure == "a NAND gate of d and q that feeds 's' as a further input");
  const Explanation nors = explain(circuit(
      "cell m\n in d c\n out q\n not i: c -> cn\n nor a: d c -> x\n nor b: q cn -> y\n nor s: x y -> q\nend\n"));
  CHECK(nors.kind == "transparent latch, gate active low");
  REQUIRE(finding(nors, Kind::hazard) != nullptr);
  CHECK(finding(nors, Kind::hazard)->cure == "a NOR gate of d and q that feeds 's' as a further input");
  // The release of a gated pair is no missing term.
  CHECK(finding(explain(circuit(cells::gated_latch)), Kind::hazard) == nullptr);
  CHECK(finding(explain(circuit(cells::gated_latch)), Kind::undecided_change) != nullptr);
}

TEST_CASE("Race-around of the level-triggered JK latch") {
  const Explanation e = explain(circuit(cells::jk_latch));
  const ExplainFinding* race = finding(e, Kind::race_around);
  REQUIRE(race != nullptr);
  CHECK(race->message.find("while j, k and c are 1") != std::string::npos);
  CHECK(race->message.find("once in 4 gate delays") != std::string::npos);
  // Where one stable state is left, the pair can still swing for ever from some states that it may come up in.
  CHECK(e.cells.at(0).known_when.empty());
  CHECK(e.cells[0].known_from_rest_when == "j k' c + j' k c");
  CHECK(finding(explain(circuit(cells::jk_master_slave)), Kind::race_around) == nullptr);
}

TEST_CASE("Ones catching: J and K of a master-slave flip-flop must rest while the clock is 1") {
  const Explanation e = explain(circuit(cells::jk_master_slave));
  const ExplainFinding* pulse = finding(e, Kind::pulse_triggered);
  REQUIRE(pulse != nullptr);
  CHECK(pulse->inputs == std::vector<std::string>{"j", "k"});
  CHECK(e.cells.at(0).is_pulse_triggered);
  CHECK(e.cells[0].states_held == 4);
  CHECK(finding(explain(circuit(cells::jk_edge)), Kind::pulse_triggered) == nullptr);
}

TEST_CASE("Triggers, roles and direct controls of an edge-triggered flip-flop") {
  const Explanation e = explain(circuit(cells::six_nand_preset_clear));
  CHECK(triggers(e.outputs.at(0)) == "^c pre clr");
  CHECK(roles(e.cells.at(0)) == "pre:set' clr:reset' c:clock d:data");
  CHECK(e.cells[0].direct_controls == 2);
  CHECK(e.outputs[0].level_equation == "q+ = pre' + clr q");
  CHECK(e.complementary.at(0).except == "pre' clr'");
  CHECK(e.cells[0].known_when == "pre' + clr'");
  // Set-up, hold and recovery, in one finding.
  const ExplainFinding* order = finding(e, Kind::order_of_inputs);
  REQUIRE(order != nullptr);
  CHECK(order->inputs == std::vector<std::string>{"d", "pre", "clr", "c"});
  CHECK_FALSE(order->is_warning);
}

TEST_CASE("How the state becomes known") {
  const ExplainedCell d = explain(circuit(cells::six_nand)).cells.at(0);
  CHECK(d.known_when.empty());
  CHECK(d.synchronised_by == "d=0 c=0, then c=1");
  const ExplainedCell t = explain(circuit(cells::t_plain)).cells.at(0);
  CHECK(t.synchronised_by.empty());
  CHECK(t.synchronising_known);
}

TEST_CASE("A race at the active edge, with the first gate that spoils it") {
  // The slave sits behind the clock inverter.
  const Explanation e = explain(circuit(cells::jk_master_slave));
  const ExplainFinding* race = finding(e, Kind::delay_dependent);
  REQUIRE(race != nullptr);
  CHECK_FALSE(race->is_warning);
  CHECK(race->gates == std::vector<std::string>{"inv"});
  CHECK(race->message.find("once it takes 3 times as long") != std::string::npos);
}

TEST_CASE("Registers are sets of equal cells") {
  std::string text = std::string(cells::d_latch_5) + "cell wide\n in d[63:0] c\n out q[63:0]\n"
                     " d_latch_5 bit[63:0]: d[63:0] c -> q[63:0] _\nend\n";
  const Explanation e = explain(circuit(text));
  CHECK(e.kind == "64-bit register of transparent latches");
  CHECK(e.bits_stored == 64);
  CHECK_FALSE(e.states_held);   // 2^64 does not fit
  CHECK(e.bits_exact);
  REQUIRE(e.cells.size() == 1);
  CHECK(e.cells[0].copies == 64);
  CHECK(e.cells[0].shared == std::vector<std::string>{"c"});
  CHECK(e.cells[0].stable_states == 6);
  CHECK(e.outputs.at(5).equation == "q[58]+ = d[58] c + c' q[58]");
  CHECK(e.findings.size() == 1);
}

TEST_CASE("Latches with opposite gates never hold at the same time") {
  const Explanation e = explain(circuit(std::string(cells::d_latch_5) +
                                        "cell two\n in a b c\n out p q\n not i: c -> cn\n d_latch_5 x: a c -> p _\n"
                                        " d_latch_5 y: b cn -> q _\nend\n"));
  CHECK(e.cells.size() == 2);
  CHECK(e.bits_stored == 1);
  REQUIRE(e.states_held);
  CHECK(*e.states_held == 2);
}

TEST_CASE("Shift registers, with and without outputs of the stages") {
  const std::string parallel = std::string(cells::six_nand) +
                               "cell shift\n in si c\n out q[3:0]\n six_nand a: si c -> q[0] _\n six_nand b: q[0] c -> q[1] _\n"
                               " six_nand e: q[1] c -> q[2] _\n six_nand f: q[2] c -> q[3] _\nend\n";
  const Explanation e = explain(circuit(parallel));
  CHECK(e.kind == "4-bit shift register of rising-edge D flip-flops");
  CHECK(e.bits_stored == 4);
  CHECK(e.outputs.at(0).equation == "q[3]+ = q[2]");
  CHECK(e.outputs.at(3).equation == "q[0]+ = si");
  CHECK(finding(e, Kind::neighbours) != nullptr);
  const std::string serial = std::string(cells::six_nand) +
                             "cell shift\n in si c\n out so\n six_nand a: si c -> x _\n six_nand b: x c -> y _\n"
                             " six_nand e: y c -> so _\nend\n";
  const Explanation s = explain(circuit(serial));
  CHECK(s.kind == "rising-edge 3-bit shift register");
  CHECK(s.inner.size() == 2);
}

TEST_CASE("Counters") {
  const std::string d = cells::six_nand;
  CHECK(explain(circuit(d + "cell ripple\n in c\n out x y\n six_nand a: xn c -> x xn\n six_nand b: yn xn -> y yn\nend\n")).kind ==
        "2-bit ripple up-counter of rising-edge T flip-flops");
  const std::string ring = "\n in c\n out x y z\n six_nand b: x c -> y _\n six_nand e: y c -> z zn\n";
  CHECK(explain(circuit(d + "cell johnson" + ring + " six_nand a: zn c -> x _\nend\n")).kind ==
        "rising-edge 3-stage twisted-ring counter (Johnson counter)");
  CHECK(explain(circuit(d + "cell plain" + ring + " six_nand a: z c -> x _\nend\n")).kind == "rising-edge 3-stage ring counter");
}

TEST_CASE("Stored nets behind outputs are found") {
  const std::string latch = cells::d_latch_5;
  const Explanation e = explain(circuit(
      latch + "cell memory\n in d we a\n out y\n not i: a -> an\n and w0: we an -> c0\n and w1: we a -> c1\n"
              " d_latch_5 l0: d c0 -> m0 _\n d_latch_5 l1: d c1 -> m1 _\n and r0: m0 an -> x0\n and r1: m1 a -> x1\n"
              " or o: x0 x1 -> y\nend\n"));
  CHECK(e.kind == "2-bit memory of transparent latches");
  CHECK(e.outputs.at(0).equation == "y = a m1 + a' m0");
  REQUIRE(e.inner.size() == 2);
  CHECK(e.inner[0].equation == "m0+ = d we a' + we' m0 + a m0");
}

TEST_CASE("Without storage") {
  SECTION("no loop") {
    const Explanation e = explain(circuit("cell half\n in a b\n out s c same\n xor x: a b -> s\n and y: a b -> c\n buf z: a -> same\nend\n"));
    CHECK(e.kind == "no storage");
    CHECK_FALSE(e.has_loops);
    CHECK(e.outputs.at(0).equation == "s = a b' + a' b");
    CHECK(e.outputs.at(2).equation == "same = a");
    CHECK(e.cells.empty());
  }
  SECTION("an input that is an output") {
    const Explanation e = explain(circuit("cell wire\n in a\n out y\n buf b: a -> y\nend\n"));
    CHECK(e.outputs.at(0).equation == "y = a");
  }
  SECTION("a loop that stores nothing") {
    const Explanation e = explain(circuit(cells::stores_nothing));
    CHECK(e.has_loops);
    CHECK(e.outputs.at(1).equation == "qn = s'");
    CHECK(e.findings.empty());
  }
}

TEST_CASE("A loop whose states no output shows, and one that need not come to its only state") {
  const Explanation hidden = explain(circuit(
      "cell t\n in s r\n out y\n nor a: r qn -> q\n nor b: s q -> qn\n and g: q qn -> y\nend\n"));
  CHECK(hidden.kind == "no storage");
  CHECK(hidden.cells.at(0).hides_states);
  CHECK_FALSE(explain(circuit(cells::stores_nothing)).cells.at(0).hides_states);
  const Explanation resets = explain(circuit(
      "cell t\n in s\n out q\n nor a: r qn -> q\n nor b: s q -> qn\n buf d: q -> e\n buf f: e -> r\nend\n"));
  CHECK(resets.cells.at(0).never_stable_when == "s");
  CHECK(resets.cells.at(0).may_not_rest_when == "s'");
}

TEST_CASE("Changes with other races or outcomes are told apart, with the states that they are about") {
  const Explanation e = explain(circuit(
      "cell t\n in a b c\n out x y z\n nor g: a y z -> x\n nor h: b x z -> y\n nor k: c x y -> z\nend\n"));
  const ExplainFinding* undecided = finding(e, Kind::undecided_change);
  REQUIRE(undecided != nullptr);
  CHECK(undecided->message.starts_with("when c rises with a at 0 and b at 0, the circuit is left undecided if z was 1: g and h race, and x "
                                       "and y may end at 0 or at 1; when b rises with a at 0 and c at 0, if y was 1, g and k race, and x "
                                       "and z may end"));
}

TEST_CASE("Data must rest around a clock edge that is a race itself, and every gate that spoils the race is named") {
  const Explanation e = explain(circuit(
      "cell t\n in d c\n out q qn\n not i1: c -> b\n not i2: b -> e\n not i3: e -> f\n and g: c f -> p\n not n: d -> dn\n"
      " and a: d p -> s\n and b2: dn p -> r\n nor h: r qn -> q\n nor k: s q -> qn\nend\n"));
  REQUIRE(finding(e, Kind::order_of_inputs) != nullptr);
  CHECK(finding(e, Kind::order_of_inputs)->resting == std::vector<std::string>{"d"});
  CHECK(finding(e, Kind::order_of_inputs)->moment == "c rises");
  REQUIRE(finding(e, Kind::delay_dependent) != nullptr);
  CHECK(finding(e, Kind::delay_dependent)->gates == std::vector<std::string>{"g", "a", "b2", "h", "k"});
  CHECK(finding(e, Kind::delay_dependent)->slow_factor == 4);
  // The user cannot make an output of the circuit rest that the same clock moves.
  const Explanation counter = explain(circuit(
      std::string(cells::six_nand) + "cell n\n in en c\n out q1 q0\n xor x0: q0 en -> d0\n and a: q0 en -> t1\n xor x1: q1 t1 -> d1\n"
                                     " six_nand f0: d0 c -> q0 _\n six_nand f1: d1 c -> q1 _\nend\n"));
  std::size_t rules = 0;
  for (const ExplainFinding& rule : counter.findings) {
    if (rule.kind != Kind::order_of_inputs) continue;
    ++rules;
    CHECK(rule.inputs == std::vector<std::string>{"en", "c"});
    CHECK(rule.message.starts_with("en must rest around the moment when c rises"));
  }
  CHECK(rules == 2);
}

TEST_CASE("A ring that drives others is a cell of its own") {
  const std::string ring = "cell t\n in en\n out q\n nand i1: t en -> x\n not i2: x -> y\n not i3: y -> t\n";
  const Explanation divided = explain(circuit(std::string(cells::six_nand) + ring + " six_nand f: qn t -> q qn\nend\n"));
  REQUIRE(divided.cells.size() == 2);
  CHECK(divided.cells[0].core == CellCore::toggle);
  CHECK(divided.cells[1].core == CellCore::oscillator);
  CHECK(divided.cells[1].outputs == std::vector<std::string>{"t"});
  CHECK(divided.cells[1].never_stable_when == "en");
  // Alone it is told by the output.
  const Explanation alone = explain(circuit(ring + " not o: t -> q\nend\n"));
  REQUIRE(alone.cells.size() == 1);
  CHECK(alone.cells[0].outputs == std::vector<std::string>{"q"});
}

TEST_CASE("Inputs that another cell keeps opposite never rest at the same level") {
  const Explanation e = explain(circuit(
      "cell t\n in d e1 e2\n out m q\n not i: d -> dn\n and a: d e1 -> s\n and b: dn e1 -> r\n nor n1: r mn -> m\n nor n2: s m -> mn\n"
      " and a2: m e2 -> s2\n and b2: mn e2 -> r2\n nor n3: r2 qn -> q\n nor n4: s2 q -> qn\nend\n"));
  CHECK(e.kind == "2 transparent latches");
  CHECK(finding(e, Kind::undecided_change) == nullptr);
  CHECK(e.cells.at(0).own_clocks == std::vector<std::string>{"e1", "e2"});
  CHECK_FALSE(e.cells[0].same_counts);
  CHECK(e.cells[0].is_chain);
  CHECK(e.cells[0].is_fed);
  REQUIRE(e.inner_complementary.size() == 1);
  CHECK(e.inner_complementary[0].b == "mn");
}

TEST_CASE("A latch behind a ring is known once the ring is made to rest") {
  const Explanation e = explain(circuit(std::string(cells::d_latch_5) +
                                        "cell t\n in d en\n out q tone\n nand i1: tone en -> x\n not i2: x -> y\n not i3: y -> tone\n"
                                        " d_latch_5 a: d tone -> q _\nend\n"));
  CHECK(e.cells.at(0).known_when == "en'");
  CHECK(e.cells[0].known_behind == "tone");
}

TEST_CASE("Steps of several inputs that met a limit leave the explanation incomplete") {
  ExplainOptions options;
  options.any_delay.states = 40;
  const Explanation e = explain(circuit(cells::six_nand), options);
  CHECK(e.kind == "rising-edge D flip-flop");
  CHECK(e.cells.at(0).unproved_steps == 0);
  CHECK_FALSE(e.cells[0].all_steps);
  CHECK_FALSE(e.complete);
  CHECK(e.incomplete_reason.starts_with("of the steps in which several inputs change "));
}

TEST_CASE("A latch behind the latch that is named") {
  const Explanation e = explain(circuit(std::string(cells::d_latch_5) +
                                        "cell t\n in d p1 p2\n out q\n d_latch_5 a: d p1 -> m _\n d_latch_5 b: m p2 -> q _\nend\n"));
  CHECK(e.kind == "2 transparent latches in a row");
  REQUIRE(e.cells.at(0).followers.size() == 1);
  const ExplainedCell::Follower& follower = e.cells[0].followers[0];
  CHECK(follower.output + " " + follower.source + " " + follower.gate == "q m p2");
  CHECK((follower.active_high && !follower.inverted));
}

TEST_CASE("A flip-flop behind one that races is told to race, too") {
  const Explanation e = explain(circuit(
      std::string(cells::six_nand) + "cell t\n in c\n out q1 q2 q3\n nor n: q1 q2 -> d\n six_nand a: d c -> q1 _\n"
                                     " six_nand b: q1 c -> q2 _\n six_nand e: q2 c -> q3 _\nend\n"));
  REQUIRE(finding(e, Kind::neighbours) != nullptr);
  CHECK(finding(e, Kind::neighbours)->message.starts_with("cells in a row, as q2 and q3, are"));
  CHECK(finding(e, Kind::neighbours)->message.find("When c rises, e.g") != std::string::npos);
}

TEST_CASE("Synchronous set and reset") {
  const std::string flip = std::string(cells::six_nand) + "cell t\n in d r c\n out q\n not i: r -> rn\n six_nand f: x c -> q _\n";
  CHECK(explain(circuit(flip + " and a: d rn -> x\nend\n")).kind == "rising-edge D flip-flop, synchronous reset active high");
  CHECK(explain(circuit(flip + " or a: d rn -> x\nend\n")).kind == "rising-edge D flip-flop, synchronous set active low");
  CHECK(explain(circuit(flip + " and a: d r -> x\nend\n")).kind == "rising-edge flip-flop with next-state logic");
}

TEST_CASE("What is too large is said to be incomplete, never guessed") {
  ExplainOptions options;
  options.input_limit = 1;
  const Explanation e = explain(circuit(cells::nor_latch), options);
  CHECK_FALSE(e.complete);
  CHECK(e.kind == "unrecognised");
  CHECK_FALSE(e.incomplete_reason.empty());
}

TEST_CASE("Where the any-delay analysis meets its limit, equal delays name the kind, and that is said") {
  ExplainOptions options;
  options.any_delay.states = 2;
  const Explanation e = explain(circuit(cells::six_nand), options);
  CHECK(e.kind == "rising-edge D flip-flop");
  CHECK(e.outputs.at(0).equation == "q+ = d");
  CHECK(e.bits_stored == 1);
  CHECK(e.cells.at(0).unproved_steps > 0);
  CHECK_FALSE(e.complete);
  const Explanation whole = explain(circuit(cells::six_nand));
  CHECK(whole.cells.at(0).unproved_steps == 0);
  CHECK(whole.complete);
}

TEST_CASE("A loop without inputs keeps what it came up with") {
  const Explanation e = explain(circuit("cell pair\n out a b\n not x: b -> a\n not y: a -> b\nend\n"));
  CHECK(e.kind == "storage loop that no input can change");
  CHECK(e.bits_stored == 1);
  CHECK(e.complementary.size() == 1);
}

TEST_CASE("Parts: cut where one visible loop feeds another, whole where it does not") {
  std::vector<CircuitPart> parts;
  const Circuit whole = circuit(cells::master_slave_d);
  REQUIRE(split_into_parts(whole, 1000, parts));
  CHECK(parts.size() == 1);
  CHECK(parts[0].gates.size() == whole.gate_count());
  parts.clear();
  CHECK_FALSE(split_into_parts(whole, 5, parts));

  parts.clear();
  const Circuit chain = circuit(std::string(cells::six_nand) +
                                "cell two\n in si c\n out p q\n six_nand a: si c -> p _\n six_nand b: p c -> q _\nend\n");
  REQUIRE(split_into_parts(chain, 1000, parts));
  REQUIRE(parts.size() == 2);
  CHECK(parts[0].key == parts[1].key);
  CHECK(verify(extract_part(chain, parts[1])) == "");
  CHECK(extract_part(chain, parts[1]).input_count() == 2);
}

TEST_CASE("A changed copy has the gate or the delays asked for") {
  const Circuit c = circuit(cells::mux_latch);
  CircuitChange change;
  change.adds_gate = true;
  change.kind = GateKind::and_;
  change.pins = {*c.find_net("d"), *c.find_net("q")};
  change.reader = 3;
  const Circuit more = changed_copy(c, change);
  CHECK(verify(more) == "");
  CHECK(more.gate_count() == c.gate_count() + 1);
  CHECK(more.fan_in(3).size() == 3);
  CircuitChange slow;
  slow.delays = {1, 1, 5, 1};
  const Circuit delayed = changed_copy(c, slow);
  CHECK(verify(delayed) == "");
  CHECK(delayed.delay(2).rise.typ == 5);
  CHECK(delayed.delay(3).rise.typ == 1);
  CHECK(changed_copy(c, {}).dump() == c.dump());
}

// A cell whose 16 inputs are read by a tree of `kind` gates, the root of which feeds `rest`.
std::string wide_cell(const std::string& rest) {
  std::string text = "cell wide\n  in a[15:0]\n  out q\n";
  for (int i = 0; i < 8; ++i) {
    const std::string k = std::to_string(i);
    text += "  and t" + k + ": a[" + std::to_string(2 * i) + "] a[" + std::to_string(2 * i + 1) + "] q -> t" + k + "\n";
  }
  return text + rest + "end\n";
}

TEST_CASE("a loop with more inputs than are tried in all ways is proved to store, to rest or to swing") {
  using Proof = ExplainedCell::Proof;
  SECTION("it stores: q holds itself while one pair of inputs is 1") {
    const Explanation e = explain(circuit(wide_cell("  or sum: t0 t1 t2 t3 t4 t5 t6 t7 -> q\n")));
    REQUIRE(e.cells.size() == 1);
    CHECK(e.kind == "unrecognised");
    CHECK_FALSE(e.complete);
    CHECK(e.cells[0].proof == Proof::stores);
    CHECK(e.cells[0].differing == std::vector<std::string>{"q"});
    CHECK(e.cells[0].never_stable_example.empty());
    // Two states need a pair at 1.
    bool has_pair = false;
    const std::string& when = e.cells[0].two_states_when;
    for (int i = 0; i < 8; ++i) {
      has_pair |= when.find("a[" + std::to_string(2 * i) + "]=1") != std::string::npos &&
                  when.find("a[" + std::to_string(2 * i + 1) + "]=1") != std::string::npos;
    }
    CHECK(has_pair);
  }
  SECTION("it rests: the loop is cut by a gate that is always 0") {
    const Explanation e = explain(circuit(wide_cell(
        "  or sum: t0 t1 t2 t3 t4 t5 t6 t7 -> s\n  not n: a[0] -> a_n\n  and cut: s a[0] a_n -> q\n")));
    REQUIRE(e.cells.size() == 1);
    CHECK(e.kind == "no storage");
    CHECK(e.complete);
    CHECK(e.bits_known);
    CHECK(e.bits_stored == 0);
    CHECK(e.cells[0].proof == Proof::one_state);
  }
  SECTION("it swings at all times: a ring without inputs, with more outputs than a rule is looked for") {
    std::string text = "cell ring\n  out";
    for (int i = 0; i < 21; ++i) text += " r" + std::to_string(i);
    for (int i = 0; i < 21; ++i) {
      text += "\n  not g" + std::to_string(i) + ": r" + std::to_string((i + 20) % 21) + " -> r" + std::to_string(i);
    }
    const Explanation e = explain(circuit(text + "\nend\n"));
    CHECK(e.kind == "oscillator");
    CHECK(e.complete);
  }
  SECTION("it swings: the loop inverts") {
    const Explanation e = explain(circuit(wide_cell("  nor sum: t0 t1 t2 t3 t4 t5 t6 t7 -> q\n")));
    REQUIRE(e.cells.size() == 1);
    CHECK(e.kind == "gated oscillator");
    CHECK(e.cells[0].proof == Proof::at_most_one);
    CHECK_FALSE(e.cells[0].never_stable_example.empty());
  }
}

TEST_CASE("Two edges of one input are a rule only where they act alike") {
  // m is set once and for all: then y follows a, before that y is 1.
  const Explanation sticky = explain(circuit("cell t\n in a\n out y\n or s: m a -> m\n not k: m -> n\n or o: n a -> y\nend\n"));
  CHECK(sticky.kind.find("T flip-flop") == std::string::npos);
  CHECK(sticky.outputs[0].equation.find("rises or") == std::string::npos);
  const Explanation both = explain(circuit("cell t\n in a\n out y\n buf h: m -> m\n xor x: a m -> y\nend\n"));
  CHECK(both.cells.at(0).core == CellCore::toggle);
}

TEST_CASE("What was never seen to toggle is no toggle") {
  // After a falls no state is stable; c rising alone moves y.
  const Explanation e = explain(circuit("cell t\n in c a\n out y\n xnor g: m a -> m\n and o: c a m -> y\nend\n"));
  for (const ExplainedCell& cell : e.cells) CHECK(cell.core != CellCore::toggle);
}

TEST_CASE("A wire without a level leaves the explanation incomplete") {
  for (const char* text : {"cell t\n in c\n out q\n bufif1 b: c q -> w\n not i: w -> n\n or o: q n -> q\nend\n",
                           "cell t\n in a\n out y\n bufif0 t: a m -> m\n not k: m -> y\nend\n",
                           "cell t\n in a\n out y\n not g: u -> y\nend\n",
                           "cell t\n in a b\n out y\n not g: a -> w\n bufif1 h: a b -> w\n buf k: w -> y\nend\n"}) {
    const Circuit c = circuit(text);
    CAPTURE(text);
    const Explanation e = explain(c);
    CHECK(e.may_lack_level);
    CHECK_FALSE(e.complete);
    CHECK_FALSE(e.bits_exact);
    if (c.loop_count() != 0) CHECK(e.outputs[0].equation.empty());
  }
  const Explanation held = explain(circuit("cell t\n in a b\n out y\n bufif1 g: a b -> w\n pullup p: -> w\n not k: w -> y\nend\n"));
  CHECK_FALSE(held.may_lack_level);
  CHECK(held.complete);
}

TEST_CASE("A level-triggered JK that swings while idle inputs are 1 is no arbiter") {
  const Explanation e = explain(circuit("cell jk\n in j k\n out q qn\n and a: j qn -> s\n and b: k q -> r\n nor g: r qn -> q\n nor h: s q -> qn\nend\n"));
  CHECK(e.kind.find("arbiter") == std::string::npos);
}

TEST_CASE("An exception of a complementary pair has one value") {
  const Explanation e = explain(circuit("cell t\n in r s\n out a b\n or o: r s -> k\n and g: a b -> b\n xor x: b k -> a\nend\n"));
  for (const ComplementaryPair& pair : e.complementary) CHECK(pair.except.empty());
}

}  // namespace
}  // namespace settle
