// Characteristic tables against the steps that they stand for: every stable state, every change of
// one input.
#include <algorithm>
#include <bit>
#include <map>
#include <sstream>

#include "settle/table.h"
#include "support/random_circuit.h"
#include "support/table_rows.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

using Lines = std::vector<std::string>;

// Value of "a b' + c".
bool value_of(const std::string& text, const std::map<std::string, Value>& values) {
  if (text == "1" || text == "0") return text == "1";
  bool product = true, any = false;
  std::istringstream words(text);
  for (std::string word; words >> word;) {
    if (word == "+") {
      any |= product;
      product = true;
      continue;
    }
    const bool complement = word.back() == '\'';
    if (complement) word.pop_back();
    const auto at = values.find(word);
    REQUIRE(at != values.end());
    product &= (at->second == Value::one) != complement;
  }
  return any || product;
}

// First row that fits; -1: none.
int row_for(const Table& table, std::uint32_t vector, int changed) {
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    const TableRow& row = table.rows[r];
    if (row.inputs.covers(vector) && (row.edge < 0 || row.edge == changed)) return static_cast<int>(r);
  }
  return -1;
}

// `binary`: no x or z, so that every entry can be put in words.
void check_table(const Circuit& circuit, bool merge, bool binary = true) {
  StateSpaceOptions space_options;
  space_options.single_changes_only = true;
  const StateSpace space = explore(circuit, space_options);
  if (!space.complete) return;
  TableOptions options;
  options.merge = merge;
  const Table table = make_characteristic_table(circuit, space, options);
  REQUIRE(table.complete);
  std::vector<NetId> shown = circuit.outputs();
  std::vector<std::string> names = table.outputs;
  for (const std::string& name : table.inner) {
    REQUIRE(circuit.find_net(name));
    shown.push_back(*circuit.find_net(name));
    names.push_back(name);
  }
  std::string rows;
  for (const std::string& line : row_lines(table)) rows += line + "\n";
  INFO(rows);
  std::size_t wrong = 0, unexplained = 0, checked = 0;
  const auto check = [&](std::uint32_t from, VectorIndex inputs, int changed, std::uint32_t to,
                         Verdict verdict) {
    const int r = row_for(table, inputs, changed);
    ++checked;
    if (r < 0) {
      ++wrong;
      return;
    }
    std::map<std::string, Value> values;
    for (std::size_t k = 0; k < shown.size(); ++k) values[names[k]] = space.value(circuit, from, shown[k]);
    for (std::uint32_t i = 0; i < circuit.input_count(); ++i) {
      values[table.inputs[i]] = to_value((inputs >> (circuit.input_count() - 1 - i) & 1u) != 0);
    }
    const auto entries = table.entries_of(table.rows[static_cast<std::size_t>(r)]);
    for (std::size_t k = 0; k < shown.size(); ++k) {
      const TableEntry& entry = entries[k];
      using Kind = TableEntry::Kind;
      if (entry.kind >= Kind::indeterminate) {
        // A word alone is right when the step, or another with the same row, does not settle. Else it is said
        // from which values before.
        if (entry.expression.empty() || to == no_state) continue;
        REQUIRE_FALSE(entry.loose_when.empty());
        wrong += value_of(entry.loose_when, values) ? 1 : 0;
        wrong += to_value(value_of(entry.expression, values)) != space.value(circuit, to, shown[k]) ? 1 : 0;
        continue;
      }
      if (to == no_state) {
        // Nets outside the race keep or get one value; those in it must have a word.
        unexplained +=
            verdict > Verdict::delay_dependent && entry.kind == Kind::expression && entry.expression.empty();
        continue;
      }
      const Value want = space.value(circuit, to, shown[k]), before = values[names[k]];
      if (entry.kind == Kind::expression && entry.expression.empty()) {
        ++unexplained;
        continue;
      }
      const Value got = entry.kind == Kind::hold         ? before
                        : entry.kind == Kind::toggle     ? inverted(before)
                        : entry.kind == Kind::expression ? to_value(value_of(entry.expression, values))
                                                         : static_cast<Value>(entry.kind);
      wrong += got != want ? 1 : 0;
    }
  };
  for (std::uint32_t s = 0; s < space.stable.size(); ++s)
    check(s, space.stable[s].inputs, -1, s, Verdict::settles);
  for (const Transition& step : space.transitions) {
    const VectorIndex change = step.inputs ^ space.stable[step.from].inputs;
    const int changed = static_cast<int>(circuit.input_count()) - std::bit_width(change);
    const bool settled = step.verdict <= Verdict::delay_dependent;
    check(step.from, step.inputs, changed, settled ? step.equal_delay : no_state, step.verdict);
    // A step that is left undecided must be seen in the table when an output takes part.
    if (step.verdict == Verdict::indeterminate) {
      bool differs = false, word = false;
      const int r = row_for(table, step.inputs, changed);
      REQUIRE(r >= 0);
      for (std::size_t k = 0; k < shown.size(); ++k) {
        for (const std::uint32_t to : step.to) {
          differs |= space.value(circuit, to, shown[k]) != space.value(circuit, step.to.front(), shown[k]);
        }
        word |= table.entries_of(table.rows[static_cast<std::size_t>(r)])[k].kind >=
                TableEntry::Kind::indeterminate;
      }
      wrong += differs && !word ? 1 : 0;
    }
  }
  CHECK(wrong == 0);
  if (!binary) return;
  if (table.notes.empty() || table.notes.front().kind != TableNote::Kind::inner_state)
    CHECK(unexplained == 0);
}

TEST_CASE("every step of the textbook cells is in their tables") {
  for (const char* text :
       {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4, cells::d_latch_5,
        cells::mux_latch, cells::earle_latch, cells::six_nand, cells::jk_latch, cells::jk_master_slave,
        cells::c_element, cells::three_way, cells::gated_ring}) {
    CAPTURE(text);
    check_table(circuit(text), true);
    check_table(circuit(text), false);
  }
}

TEST_CASE("every step of random circuits is in their tables") {
  RandomCircuitOptions options;
  options.least_gates = 4;
  options.most_gates = 12;
  options.most_fan_in = 3;
  options.loop_percent = 40;
  int with_loops = 0;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    options.outputs = static_cast<std::uint32_t>(1 + seed % 3);
    const std::string text = random_circuit(seed, options);
    const Circuit random = circuit(text);
    if (random.loop_count() == 0) continue;
    ++with_loops;
    CAPTURE(seed, text);
    check_table(random, true);
    check_table(random, false);
  }
  CHECK(with_loops > 60);
}

TEST_CASE("every step of circuits with three-state wires in their loops is in their tables") {
  RandomCircuitOptions options;
  options.least_gates = 6;
  options.most_gates = 12;
  options.most_fan_in = 3;
  options.loop_percent = 40;
  options.three_state = options.pulls = true;
  int with_loops = 0;
  for (std::uint64_t seed = 1; seed <= 80; ++seed) {
    const std::string text = random_circuit(seed, options);
    const Circuit random = circuit(text);
    if (random.loop_count() == 0) continue;
    ++with_loops;
    CAPTURE(seed, text);
    check_table(random, true, false);
  }
  CHECK(with_loops > 20);
}

TEST_CASE("a row of which some steps settle says from which values the others do not") {
  const Circuit sticky = circuit("cell t\n in b\n out n\n xor x: n m -> n\n and y: b n -> m\nend\n");
  check_table(sticky, true);
  const Table table = make_table(sticky, {});
  CHECK(row_lines(table) == Lines{"^ | 0, undecided if n", "- | n"});
}

TEST_CASE("a register is described by the names of its inputs") {
  const Table table = make_table(circuit(R"(
cell latch
  in  d c
  out q
  not  inv: d -> dn
  nand gs: d c  -> s
  nand gr: dn c -> r
  nand qa: s qb -> q
  nand qc: r q  -> qb
end
cell register
  in  d[4:0] c
  out q[4:0]
  latch bit[4:0]: d[4:0] c -> q[4:0]
end
)"),
                                 {});
  CHECK(row_lines(table) ==
        Lines{"-----0 | q[4] | q[3] | q[2] | q[1] | q[0]", "-----1 | d[4] | d[3] | d[2] | d[1] | d[0]"});
}

TEST_CASE("inputs held at a value leave the table of what is left") {
  TableOptions options;
  options.held = {Value::x, Value::one};
  const Circuit latch = circuit(cells::d_latch_5);
  const Table open = make_table(latch, options);
  CHECK(row_lines(open) == Lines{"01 | 0 | 1", "11 | 1 | 0"});
  options.held = {Value::x, Value::zero};
  CHECK(row_lines(make_table(latch, options)) == Lines{"-0 | q | qn"});
}

TEST_CASE("a second stage hidden behind the output is shown as an inner net") {
  // Two transparent latches in a row, with a gate line each; the first is not an output.
  const Table table = make_table(circuit(R"(
cell two_stages
  in  d a b
  out q
  not  d_inv: d -> dn
  nand s1: d a  -> w1
  nand r1: dn a -> w2
  nand k1: w1 mn -> m
  nand k2: w2 m  -> mn
  nand s2: m b   -> w3
  nand r2: mn b  -> w4
  nand k3: w3 qn -> q
  nand k4: w4 q  -> qn
end
)"),
                                 {});
  CHECK(table.inner == Lines{"m"});
  check_table(circuit(cells::jk_master_slave), true);
  CHECK(table.complete);
}

TEST_CASE("a loop that never rests leaves words only at outputs that take part") {
  for (const std::string gate : {"buf g: a -> y", "or g: a y -> y"}) {
    const Circuit c = circuit("cell t\n in a\n out y r\n " + gate + "\n nand n: a r -> r\nend\n");
    StateSpaceOptions options;
    options.single_changes_only = true;
    const Table table = make_characteristic_table(c, explore(c, options), {});
    const int row = row_for(table, 1, 0);
    REQUIRE(row >= 0);
    const auto entries = table.entries_of(table.rows[static_cast<std::size_t>(row)]);
    CHECK(entries[0].kind == TableEntry::Kind::one);
    CHECK(entries[1].kind == TableEntry::Kind::oscillation);
  }
}

const std::string nor_latch = " nor a: r qn -> q\n nor b: s q -> qn\n";
const std::string ring_with_enable = " nand i1: tone en -> x\n not i2: x -> y\n not i3: y -> tone\n";

TEST_CASE("inputs with which a loop never rests have rows of their own") {
  const Table rings = make_table(circuit("cell t\n in en e2\n out tone t2\n" + ring_with_enable +
                                         " nand j1: t2 e2 -> x2\n not j2: x2 -> y2\n not j3: y2 -> t2\nend\n"),
                                 {});
  CHECK(row_lines(rings) == Lines{"00 | 1 | 1", "01 | 1 | oscillation", "10 | oscillation | 1", "11 | oscillation | oscillation"});
  CHECK(note_lines(rings) == Lines{"no stable state exists with e2=1", "no stable state exists with en=1"});

  // What the latch holds is not certain, what sets and resets it is.
  const Table beside = make_table(
      circuit("cell t\n in s r\n out q tone\n" + nor_latch + " not i1: tone -> x\n not i2: x -> y\n not i3: y -> tone\nend\n"), {});
  CHECK(row_lines(beside) == Lines{"-1 | 0 | oscillation", "00 | ? | oscillation", "10 | 1 | oscillation"});
  CHECK(note_lines(beside) == Lines{"no stable state exists, whatever the inputs"});
}

// A free ring sets the latch once and for all: what it gates moves on, the latch does not.
TEST_CASE("what a ring acts on is not said to oscillate") {
  const std::vector<std::string> rows =
      row_lines(make_table(circuit("cell t\n in s r\n out q tone\n not i1: tone -> x\n not i2: x -> y\n not i3: y -> tone\n"
                                   " and g: s tone -> p\n nor a: r qn -> q\n nor b: p q -> qn\nend\n"),
                           {}));
  CHECK(rows == Lines{"-0 | ? | oscillation", "-1 | 0 | oscillation"});
}

TEST_CASE("rows that begin at rest say where there is none") {
  const Table table = make_table(circuit("cell t\n in s r en\n out q tone\n" + nor_latch + ring_with_enable + "end\n"), {});
  CHECK(row_lines(table) == Lines{"-10 | 0 | 1", "-11 | 0 | oscillation", "000 | q | 1", "001 | q | oscillation", "100 | 1 | 1",
                                  "101 | 1 | oscillation"});
  const Lines notes = note_lines(table);
  REQUIRE(notes.size() >= 2);
  CHECK(notes[0] == "no stable state exists with en=1");
  CHECK(notes[1] == "the rows tell what follows from rest: there is none with en=1, and what an input change brings then is not told");
}

TEST_CASE("an analysis that met a limit claims nothing about the steps it did not judge") {
  TableOptions options;
  options.any_delay.states = 1;
  const Circuit circuit_ = circuit(cells::jk_latch);
  const Table table = make_table(circuit_, options);
  CHECK_FALSE(table.complete);
  CHECK(table.incomplete_reason.find("limit") != std::string::npos);
  const Table whole = make_table(circuit_, {});
  for (const TableRow& row : table.rows) {
    // Rows are not merged; each is in the whole table.
    const int edge = row.edge;
    const int r = row_for(whole, row.inputs.value, edge);
    REQUIRE(r >= 0);
    const auto a = table.entries_of(row), b = whole.entries_of(whole.rows[static_cast<std::size_t>(r)]);
    CHECK(std::equal(a.begin(), a.end(), b.begin(), b.end()));
  }
}

}  // namespace
}  // namespace settle::testing
