// The tables of textbooks and data sheets, word for word. Textbooks (from memory): Mano and Ciletti,
// Digital Design, sections 5.3 to 5.5; Wakerly, Digital Design: Principles and Practices, section
// 7.2; Harris and Harris, Digital Design and Computer Architecture, section 3.2.
#include <bit>

#include "settle/table.h"
#include "support/table_rows.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

using Lines = std::vector<std::string>;

TEST_CASE("set-reset latches: Mano and Ciletti, Wakerly") {
  // Derived from the equations Q = NOR(R, Q'), Q' = NOR(S, Q).
  CHECK(table_of(cells::nor_latch) == Lines{"00 | q | qn", "01 | 0 | 1", "10 | 1 | 0", "11 | 0 | 0"});
  // Active low: Q = NAND(S', Q'), Q' = NAND(R', Q).
  CHECK(table_of(cells::nand_latch) == Lines{"00 | 1 | 1", "01 | 1 | 0", "10 | 0 | 1", "11 | q | qn"});
  // Release of both at once: Wakerly 7.2.1; DM74LS279 data sheet (Fairchild DS006420), note 2.
  CHECK(note_lines(make_table(circuit(cells::nor_latch), {})) ==
        Lines{"s and r fall together: left undecided"});
  CHECK(note_lines(make_table(circuit(cells::nand_latch), {})) ==
        Lines{"sn and rn rise together: left undecided"});
}

TEST_CASE("gated set-reset latches: hold while the gate is 0, set, reset, and the forbidden input") {
  const Lines common{"-00 | q | qn", "0-- | q | qn", "101 | 0 | 1", "110 | 1 | 0"};
  const std::string closing = "v11 | indeterminate | indeterminate";  // closing on both sets the race free
  auto nand = Lines{closing};
  nand.insert(nand.end(), common.begin(), common.end());
  auto nor = nand;
  nand.push_back("111 | 1 | 1");
  nor.push_back("111 | 0 | 0");
  CHECK(table_of(cells::gated_latch) == nand);
  CHECK(table_of(R"(
cell and_nor_latch
  in  c s r
  out q qn
  and gs: s c -> sg
  and gr: r c -> rg
  nor q_gate:  rg qn -> q
  nor qn_gate: sg q  -> qn
end
)") == nor);
}

TEST_CASE("transparent latches: truth table of MM74HC75 (National TL/F/5303)") {
  const Lines two{"-0 | q | qn", "01 | 0 | 1", "11 | 1 | 0"};
  CHECK(table_of(cells::d_latch_4) == two);
  CHECK(table_of(cells::d_latch_5) == two);
  CHECK(table_of(cells::earle_latch) == Lines{"-0 | q", "01 | 0", "11 | 1"});
  // The multiplexer type has a hazard when it closes on a 1 (Unger; McCluskey; from memory).
  CHECK(table_of(cells::mux_latch) == Lines{"1v | indeterminate", "-0 | q", "01 | 0", "11 | 1"});
}

TEST_CASE("edge-triggered D flip-flop of six NAND gates") {
  CHECK(table_of(cells::six_nand) == Lines{"0^ | 0 | 1", "1^ | 1 | 0", "-- | q | qn"});
}

TEST_CASE("function table of 74HC74 (TI SCLS577A)") {
  const Lines rows = table_of(R"(
cell ff74
  in  pre clr clk d
  out q qn
  nand g1: pre n4 n2    -> n1
  nand g2: n1 clr clk   -> n2
  nand g3: n2 clk n4    -> n3
  nand g4: n3 clr d     -> n4
  nand g5: pre n2 qn    -> q
  nand g6: clr n3 q     -> qn
end
)");
  CHECK(rows == Lines{"11^0 | 0 | 1", "11^1 | 1 | 0", "00-- | 1 | 1", "01-- | 1 | 0", "10-- | 0 | 1",
                      "11-- | q | qn"});
}

TEST_CASE("master-slave and toggle flip-flops") {
  CHECK(table_of(R"(
cell d_master_slave
  in  d c
  out q qn
  not  d_inv: d -> dn
  not  c_inv: c -> cn
  nand ms: d c   -> a
  nand mr: dn c  -> b
  nand ma: a mn  -> m
  nand mb: b m   -> mn
  nand ss: m cn  -> e
  nand sr: mn cn -> f
  nand sa: e qn  -> q
  nand sb: f q   -> qn
end
)") == Lines{"0v | 0 | 1", "1v | 1 | 0", "-- | q | qn"});
  CHECK(table_of(R"(
cell toggle
  in  t
  out q qn
  nand g1: n4 n2   -> n1
  nand g2: n1 t    -> n2
  nand g3: n2 t n4 -> n3
  nand g4: n3 qn   -> n4
  nand g5: n2 qn   -> q
  nand g6: n3 q    -> qn
end
)") == Lines{"^ | q' | qn'", "- | q | qn"});
}

TEST_CASE("JK master-slave flip-flop: q takes the master at the falling edge, which caught ones before") {
  const Table table = make_table(circuit(cells::jk_master_slave), {});
  CHECK(table.inner == Lines{"m"});
  // Derived from the equations; ones catching: Wakerly 7.2.8 (from memory).
  CHECK(row_lines(table) == Lines{"--v | m | m' | m", "--0 | q | qn | m", "00- | q | qn | m",
                                  "011 | q | qn | q' m", "101 | q | qn | q' + m", "111 | q | qn | q'"});
  // The textbook table of J and K, clocked.
  const Lines notes = note_lines(table);
  REQUIRE(notes.size() >= 4);
  CHECK(Lines(notes.begin(), notes.begin() + 4) ==
        Lines{"a whole pulse of c (0, 1, 0) with j=0 k=0: q holds, qn holds",
              "a whole pulse of c (0, 1, 0) with j=0 k=1: q becomes 0, qn becomes 1",
              "a whole pulse of c (0, 1, 0) with j=1 k=0: q becomes 1, qn becomes 0",
              "a whole pulse of c (0, 1, 0) with j=1 k=1: q toggles, qn toggles"});
}

TEST_CASE("race-around of a level-triggered JK latch: common textbook matter") {
  // With NOR gates there is no state at all in which it could rest.
  const Table table = make_table(circuit(R"(
cell jk_and_nor
  in  j k c
  out q qn
  and gs: j c qn -> s
  and gr: k c q  -> r
  nor q_gate:  r qn -> q
  nor qn_gate: s q  -> qn
end
)"),
                                 {});
  CHECK(row_lines(table) == Lines{"--0 | q | qn", "00- | q | qn", "011 | 0 | 1", "101 | 1 | 0",
                                  "111 | oscillation | oscillation"});
  // With NAND gates both outputs may come to rest at 1, but equal gates chase each other.
  const Lines nand = table_of(cells::jk_latch);
  REQUIRE(nand.size() > 3);
  CHECK(nand[0] == "^11 | indeterminate | indeterminate");
  CHECK(nand[2] == "11^ | indeterminate | indeterminate");
}

TEST_CASE("C-element: Muller's table, derived") {
  CHECK(table_of(cells::c_element) == Lines{"00 | 0", "01 | c", "10 | c", "11 | 1"});
}

TEST_CASE("a ring that an input stops, and one without inputs") {
  CHECK(table_of(cells::gated_ring) == Lines{"0 | 1 | 0 | 1", "1 | oscillation | oscillation | oscillation"});
  const Table ring =
      make_table(circuit("cell ring\n out a\n not x: a -> b\n not y: b -> c\n not z: c -> a\nend\n"), {});
  CHECK(row_lines(ring) == Lines{" | oscillation"});
  CHECK(note_lines(ring) == Lines{"no stable state exists"});
}

TEST_CASE("c17 of the ISCAS-85 benchmarks: output vectors over all 32 inputs (derived from its netlist)") {
  // F. Brglez and H. Fujiwara, Int. Symposium on Circuits and Systems, 1985. Input 1 is the most
  // significant bit, the first character belongs to 00000.
  const Circuit c17 = circuit(R"(
cell c17
  in  i1 i2 i3 i6 i7
  out o22 o23
  nand g10: i1 i3   -> n10
  nand g11: i3 i6   -> n11
  nand g16: i2 n11  -> n16
  nand g19: n11 i7  -> n19
  nand g22: n10 n16 -> o22
  nand g23: n16 n19 -> o23
end
)");
  const auto truth = truth_table(c17);
  REQUIRE(truth);
  std::string o22, o23;
  for (std::uint32_t v = 0; v < 32; ++v) {
    o22 += to_char(truth->at(0, v));
    o23 += to_char(truth->at(1, v));
  }
  CHECK(o22 == "00000000111111000000111111111111");
  CHECK(o23 == "01010100111111000101010011111100");
  // The functions: 22 = 1 3 + 2 (3 6)', 23 = (3 6)' (2 + 7).
  const std::vector<std::string> names{"i1", "i2", "i3", "i6", "i7"};
  CHECK(equation_text(minimise(5, truth->ones[0]).cubes, names) == "i1 i3 + i2 i3' + i2 i6'");
  CHECK(equation_text(minimise(5, truth->ones[1]).cubes, names) == "i2 i3' + i2 i6' + i3' i7 + i6' i7");
}

TEST_CASE("characteristic equations: Mano and Ciletti (from memory)") {
  // Next state over the inputs and the state before, with the forbidden vectors as don't-cares.
  const auto equation = [](unsigned variables, const std::vector<std::uint32_t>& ones,
                           const std::vector<std::uint32_t>& free, const std::vector<std::string>& names) {
    FunctionBits on(1, 0), dont_care(1, 0);
    for (const auto v : ones) on[0] |= std::uint64_t{1} << v;
    for (const auto v : free) dont_care[0] |= std::uint64_t{1} << v;
    return equation_text(minimise(variables, on, dont_care).cubes, names);
  };
  CHECK(equation(3, {1, 4, 5}, {6, 7}, {"S", "R", "Q"}) == "S + R' Q");
  CHECK(equation(3, {1, 3, 6, 7}, {}, {"C", "D", "Q"}) == "C D + C' Q");
  CHECK(equation(3, {1, 4, 5, 6}, {}, {"J", "K", "Q"}) == "J Q' + K' Q");
  CHECK(equation(2, {1, 2}, {}, {"T", "Q"}) == "T Q' + T' Q");
}

}  // namespace
}  // namespace settle::testing
