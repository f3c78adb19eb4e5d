// State spaces of the textbook cells. Stable states of the six-NAND flip-flop are also checked in
// tests/published. Other expected values: derived from the equations.
#include <algorithm>
#include <string>
#include <vector>

#include "settle/state_space.h"
#include "support/circuit_text.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

// "00:01 10|01:01|10:10|11:00": the stable states of each input vector.
std::string stable_text(const StateSpace& space) {
  std::string text;
  for (const VectorIndex vector : space.vectors) {
    if (!text.empty()) text += "|";
    text += vector_text(vector, space.input_bits) + ":";
    const auto [first, last] = space.states_with(vector);
    for (std::uint32_t s = first; s < last; ++s) {
      if (s != first) text += " ";
      for (const Value v : space.nodes_of(s)) text += to_char(v);
    }
  }
  return text;
}

// "11/00 -> 00/01 00/10 cycle period 2 indeterminate": one step.
std::string step_text(const StateSpace& space, const Transition& t) {
  const auto name = [&](std::uint32_t s) {
    std::string text = vector_text(space.stable[s].inputs, space.input_bits) + "/";
    for (const Value v : space.nodes_of(s)) text += to_char(v);
    return text;
  };
  std::string text = name(t.from) + " " + vector_text(t.inputs, space.input_bits) + " ->";
  for (const std::uint32_t to : t.to) text += " " + name(to);
  if (t.may_cycle) text += " cycle";
  if (t.equal_delay != no_state && t.to.size() > 1) text += " equal " + name(t.equal_delay);
  if (t.period != 0) text += " period " + std::to_string(t.period);
  return text + " " + std::string(name_of(t.verdict));
}

std::vector<std::string> troubles(const StateSpace& space) {
  std::vector<std::string> list;
  for (const Transition& t : space.transitions) {
    CHECK(t.judged);
    if (t.verdict != Verdict::settles) list.push_back(step_text(space, t));
  }
  return list;
}

std::string sequence_text(const StateSpace& space) {
  REQUIRE(space.synchronising_known);
  if (!space.synchronising_sequence) return "none";
  std::string text;
  for (const VectorIndex v : *space.synchronising_sequence) {
    if (!text.empty()) text += " ";
    text += vector_text(v, space.input_bits);
  }
  return text;
}

// Rows as "1 2* 1/2 -": an entry a column, stable ones starred.
std::vector<std::string> flow_text(const StateSpace& space) {
  std::vector<std::string> rows;
  for (const auto& row : space.flow.rows) {
    std::string text;
    for (const FlowTable::Entry& entry : row) {
      if (!text.empty()) text += " ";
      if (!entry.specified) text += "-";
      for (std::size_t i = 0; i < entry.rows.size(); ++i) text += (i == 0 ? "" : "/") + std::to_string(entry.rows[i]);
      if (entry.may_cycle) text += "~";
      if (entry.stable) text += "*";
    }
    rows.push_back(text);
  }
  return rows;
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("State space of the NOR latch") {
  const Circuit c = circuit(cells::nor_latch);
  const StateSpace space = explore(c);
  REQUIRE(space.complete);
  CHECK(stable_text(space) == "00:01 10|01:01|10:10|11:00");
  CHECK(space.states_held == 2);
  CHECK(space.bits_stored == 1);
  CHECK(space.transitions.size() == 15);
  CHECK(troubles(space) == Texts{"11/00 00 -> 00/01 00/10 cycle period 2 indeterminate"});
  const Transition* released = space.transition(4, 0);
  REQUIRE(released != nullptr);
  CHECK(released->racing == std::vector<GateId>{0, 1});
  CHECK(space.transition(4, 3) == nullptr);
  CHECK(sequence_text(space) == "01");
  CHECK(flow_text(space) == Texts{"0* 0* 1 2", "1* 0 1* 2", "0/1~ 0 1 2*"});
  CHECK(space.value(c, 4, *c.find_net("s")) == Value::one);
  CHECK(space.value(c, 0, *c.find_net("qn")) == Value::one);
  CHECK(space.value(c, 0, c.const_one()) == Value::one);
}

TEST_CASE("State space of the NAND latch") {
  const StateSpace space = explore(circuit(cells::nand_latch));
  CHECK(stable_text(space) == "00:11|01:10|10:01|11:01 10");
  CHECK(space.states_held == 2);
  CHECK(troubles(space) == Texts{"00/11 11 -> 11/01 11/10 cycle period 2 indeterminate"});
  CHECK(sequence_text(space) == "01");  // not 00, which is left most badly
}

TEST_CASE("State space of latches behind gates") {
  SECTION("gated: c s r; sn rn q qn") {
    const StateSpace space = explore(circuit(cells::gated_latch));
    CHECK(space.stable.size() == 4 * 2 + 2 + 1 + 1 + 1);
    CHECK(space.bits_stored == 1);
    CHECK(sequence_text(space) == "101");
    // Closing the gate with both on is the only single change that goes wrong.
    const auto bad = troubles(space);
    CHECK(std::count(bad.begin(), bad.end(), "111/0011 011 -> 011/1101 011/1110 cycle period 2 indeterminate") == 1);
  }
  SECTION("transparent, four and five gates: d c") {
    for (const char* cell : {cells::d_latch_4, cells::d_latch_5}) {
      const StateSpace space = explore(circuit(cell));
      CHECK(space.stable.size() == 6);
      CHECK(space.states_held == 2);
      CHECK(space.bits_stored == 1);
      CHECK(sequence_text(space) == "01");
    }
    CHECK(troubles(explore(circuit(cells::d_latch_5))).empty());
  }
  SECTION("multiplexer: inverter, load, keep, sum") {
    const StateSpace mux = explore(circuit(cells::mux_latch));
    CHECK(stable_text(mux) == "00:1000 1011|01:0000|10:1000 1011|11:0101");
    const auto bad = troubles(mux);
    // With equal gates the stored 1 is left undecided when the clock falls.
    CHECK(std::count(bad.begin(), bad.end(), "11/0101 10 -> 10/1000 10/1011 cycle period 2 indeterminate") == 1);
    const StateSpace earle = explore(circuit(cells::earle_latch));
    for (const Transition& t : earle.transitions) {
      const bool single = earle.stable[t.from].inputs != (t.inputs ^ 3u);
      if (single) CHECK(t.verdict == Verdict::settles);
    }
    CHECK(earle.bits_stored == 1);
  }
}

TEST_CASE("State space of flip-flops") {
  SECTION("six NAND gates") {
    const StateSpace space = explore(circuit(cells::six_nand));
    CHECK(stable_text(space) ==
          "00:011101 011110|01:010101 101110|10:111001 111010|11:010101 101010");
    CHECK(space.states_held == 2);
    CHECK(space.bits_stored == 1);
    CHECK(sequence_text(space) == "00 01");
    for (const Transition& t : space.transitions) {
      const bool single = space.stable[t.from].inputs != (t.inputs ^ 3u);
      if (single) CHECK(t.verdict == Verdict::settles);
    }
  }
  SECTION("master and slave JK holds one bit, or two while the clock is high") {
    const StateSpace space = explore(circuit(cells::jk_master_slave));
    CHECK(space.complete);
    CHECK(space.states_held >= 2);
    CHECK(sequence_text(space) != "none");
  }
  SECTION("level-sensitive JK races around") {
    const StateSpace space = explore(circuit(cells::jk_latch));
    // With both outputs at 1 the four gates rest; equal delays miss that state, and go round with
    // period 4 (gated JK latch, Q = 0 1 1 1 0 1 1 1 ...).
    CHECK(space.states_with(7) == std::pair<std::uint32_t, std::uint32_t>(12, 13));
    const auto bad = troubles(space);
    CHECK(std::count(bad.begin(), bad.end(), "110/1101 111 -> 111/0011 cycle period 4 indeterminate") == 1);
    CHECK(std::count(bad.begin(), bad.end(), "110/1110 111 -> 111/0011 cycle period 4 indeterminate") == 1);
  }
}

TEST_CASE("State space of other cells that store") {
  SECTION("C-element") {
    const StateSpace space = explore(circuit(cells::c_element));
    CHECK(stable_text(space) == "00:0000|01:0000 0011|10:0000 0101|11:1111");
    CHECK(space.bits_stored == 1);
    CHECK(sequence_text(space) == "00");
  }
  SECTION("three-way NOR: three states, two bits to number them") {
    const StateSpace space = explore(circuit(cells::three_way));
    CHECK(space.states_with(0) == std::pair<std::uint32_t, std::uint32_t>(0, 3));
    CHECK(space.states_held == 3);
    CHECK(space.bits_stored == 2);
  }
}

TEST_CASE("Circuits that store nothing") {
  SECTION("no loop") {
    const StateSpace space = explore(circuit("cell c\n in a b\n out y\n and g: a b -> y\nend\n"));
    CHECK(space.states_held == 1);
    CHECK(space.bits_stored == 0);
    CHECK(sequence_text(space) == "00");
    CHECK(flow_text(space) == Texts{"0* 0* 0* 0*"});
  }
  SECTION("an inverter between set and reset") {
    const StateSpace space = explore(circuit(
        "cell c\n in a\n out q\n not inv: a -> an\n nor x: an qn -> q\n nor y: a q -> qn\nend\n"));
    CHECK(space.stable.size() == 2);
    CHECK(space.bits_stored == 0);
    CHECK(sequence_text(space) == "0");
  }
  SECTION("a ring that can be stopped") {
    const StateSpace space = explore(circuit(cells::gated_ring));
    CHECK(stable_text(space) == "0:101|1:");
    CHECK(space.never_stable == std::vector<VectorIndex>{1});
    CHECK(troubles(space) == Texts{"0/101 1 -> cycle period 6 oscillation"});
    CHECK(space.states_held == 1);
    CHECK(space.bits_stored == 0);
    CHECK(sequence_text(space) == "");
    CHECK(flow_text(space) == Texts{"0* ~"});
  }
  SECTION("a ring") {
    const StateSpace space = explore(circuit("cell c\n out a\n not g: a -> a\nend\n"));
    CHECK(space.stable.empty());
    CHECK(space.states_held == 0);
    CHECK(space.bits_stored == 0);
    CHECK(space.never_stable == std::vector<VectorIndex>{0});
    CHECK(sequence_text(space) == "none");
  }
  SECTION("a pair whose output does not show what it holds") {
    const StateSpace space = explore(circuit(
        "cell c\n in a\n out y\n not x: q -> qn\n not z: qn -> q\n and g: a a -> y\nend\n"));
    CHECK(space.stable.size() == 4);
    CHECK(space.states_held == 1);
    CHECK(space.bits_stored == 0);
    CHECK(sequence_text(space) == "none");
    CHECK(space.flow.rows.size() == 2);
  }
}

TEST_CASE("Inputs can be held, and single changes alone be judged") {
  const Circuit c = circuit(cells::nor_latch);
  SECTION("held") {
    StateSpaceOptions options;
    options.held = {Value::zero, Value::x};
    const StateSpace space = explore(c, options);
    CHECK(space.vectors == std::vector<VectorIndex>{0, 1});
    CHECK(stable_text(space) == "00:01 10|01:01");
    CHECK(troubles(space).empty());
    // A latch that can only be reset still shows two states.
    CHECK(space.states_held == 2);
  }
  SECTION("single changes: both-high merges with what comes first") {
    StateSpaceOptions options;
    options.single_changes_only = true;
    const StateSpace space = explore(c, options);
    CHECK(space.transitions.size() == 10);
    CHECK(troubles(space).empty());
    CHECK(flow_text(space) == Texts{"0* 0* 1 0*", "1* 0 1* 0"});
    CHECK_FALSE(space.synchronising_known);
  }
}

TEST_CASE("Limits leave a state space incomplete and say why") {
  const Circuit c = circuit(cells::nor_latch);
  StateSpaceOptions options;
  SECTION("stable states") {
    options.stable_limit = 3;
    const StateSpace space = explore(c, options);
    CHECK_FALSE(space.complete);
    CHECK(space.incomplete_reason == "there are more than 3 stable states: --limit-stable allows more (now 3)");
    CHECK(space.transitions.empty());
  }
  SECTION("steps") {
    options.transition_limit = 12;
    const StateSpace space = explore(c, options);
    CHECK_FALSE(space.complete);
    CHECK(space.incomplete_reason ==
          "of 15 steps, more than the limit of 12, only those in which one input changes were judged: --limit-steps allows "
          "more (now 12)");
    CHECK(space.transitions.size() == 10);
    CHECK(space.states_held == 2);
  }
  SECTION("all steps") {
    options.transition_limit = 2;
    const StateSpace space = explore(c, options);
    CHECK(space.incomplete_reason == "there are 15 steps, more than the limit of 2: --limit-steps allows more (now 2)");
    CHECK(space.stable.size() == 5);
  }
  SECTION("inputs") {
    options.input_limit = 1;
    const StateSpace space = explore(c, options);
    CHECK(space.incomplete_reason == "2 input bits are free, more than the limit of 1: --limit-inputs allows more (now 1)");
  }
  SECTION("any-delay states") {
    options.any_delay.states = 1;
    const StateSpace space = explore(c, options);
    CHECK_FALSE(space.complete);
    CHECK(space.incomplete_reason == "steps not judged: 1 met a limit of the any-delay analysis (--limit-states and --limit-memory allow more)");
    CHECK(space.transition(4, 0) == nullptr);
    CHECK(space.states_held == 2);
    CHECK_FALSE(space.synchronising_known);
  }
}

// A first change of several inputs can leave one of the two cells undecided; single changes do not.
TEST_CASE("where no sequence serves every state, one from power-up is told") {
  const std::string cell =
      "cell bit\n in d e\n out q\n not i: d -> dn\n and a: d e -> s\n and b: dn e -> r\n nor n1: r qn -> q\n"
      " nor n2: s q -> qn\nend\n";
  const Circuit c = circuit(cell +
                            "cell t\n in d addr we\n out q0 q1\n not n: addr -> an\n and g0: an we -> w0\n"
                            " and g1: addr we -> w1\n bit m0: d w0 -> q0\n bit m1: d w1 -> q1\nend\n");
  const StateSpace space = explore(c, {});
  CHECK(sequence_text(space) == "none");
  REQUIRE(space.power_up_sequence);
  const auto& sequence = *space.power_up_sequence;
  REQUIRE(sequence.size() == 2);
  // Followed through the steps.
  std::vector<std::uint32_t> held;
  for (auto [s, last] = space.states_with(sequence[0]); s < last; ++s) held.push_back(s);
  CHECK(held.size() == 2);
  std::vector<std::uint32_t> ends;
  for (const std::uint32_t s : held) {
    const Transition* const step = space.transition(s, sequence[1]);
    REQUIRE(step != nullptr);
    CHECK_FALSE(step->may_cycle);
    ends.insert(ends.end(), step->to.begin(), step->to.end());
  }
  REQUIRE_FALSE(ends.empty());
  CHECK(std::count(ends.begin(), ends.end(), ends.front()) == static_cast<std::ptrdiff_t>(ends.size()));
  CHECK_FALSE(explore(circuit(cell + "cell t\n in d e\n out q\n bit m: d e -> q\nend\n"), {}).power_up_sequence);
}

}  // namespace settle::testing
