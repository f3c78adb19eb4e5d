// Values of ternary simulation after algorithms A and B for the textbook cells.
// Algorithms: E. B. Eichelberger, IBM J. Res. Develop. 9 (2), 1965; J. A. Brzozowski and C.-J. Seger,
// Asynchronous Circuits, 1995. The values are derived from the equations of the cells.
#include <string>

#include "settle/step_analysis.h"
#include "support/circuit_text.h"
#include "support/step_cases.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

struct Row {
  const char* cell;
  const char* from;   // inputs before
  const char* to;     // inputs after
  const char* gates;  // stable start state
  const char* nets;   // nets compared, as gate numbers
  const char* after_a;
  const char* after_b;
};

// Gate orders: see support/textbook_cells.h. D latches and flip-flops list d before c.
const Row rows[] = {
    {cells::nor_latch, "11", "00", "00", "01", "xx", "xx"},
    {cells::nor_latch, "10", "00", "10", "01", "10", "10"},
    {cells::nor_latch, "01", "10", "01", "01", "xx", "10"},
    {cells::nor_latch, "00", "11", "10", "01", "xx", "00"},
    {cells::mux_latch, "11", "10", "0101", "3", "x", "x"},
    {cells::mux_latch, "01", "00", "0000", "3", "0", "0"},
    {cells::earle_latch, "11", "10", "01011", "4", "1", "1"},
    {cells::earle_latch, "10", "11", "10111", "4", "1", "1"},
    {cells::d_latch_5, "11", "10", "00110", "3", "1", "1"},
    {cells::d_latch_4, "11", "10", "0110", "2", "x", "x"},
    {cells::d_latch_4, "01", "00", "1001", "2", "0", "0"},
    {cells::d_latch_4, "10", "11", "1101", "2", "x", "1"},
    {cells::six_nand, "10", "11", "111001", "4", "x", "1"},
    {cells::six_nand, "00", "01", "011110", "4", "x", "0"},
    {cells::six_nand, "11", "10", "101010", "4", "1", "1"},
    {cells::six_nand, "01", "00", "010101", "4", "0", "0"},
    {cells::six_nand, "11", "10", "010101", "4", "x", "x"},
    {cells::six_nand, "01", "00", "101110", "4", "x", "x"},
    {cells::six_nand, "00", "11", "011101", "012345", "xxxxxx", "xxxxxx"},
    {cells::jk_latch, "110", "111", "1101", "2", "x", "x"},
    {cells::gated_ring, "0", "1", "101", "012", "xxx", "xxx"},
};

}  // namespace

TEST_CASE("Ternary simulation of the textbook cells") {
  for (const Row& row : rows) {
    const Circuit c = circuit(row.cell);
    CAPTURE(row.cell, row.from, row.to, row.gates);
    const StepCase s = step_case(c, row.from, row.to, row.gates);
    StepAnalyzer analyzer(c);
    REQUIRE(analyzer.ternary({s.values, {}}).active.empty());  // the start state is stable
    const auto pick = [&](const std::string& all) {
      std::string picked;
      for (const char* n = row.nets; *n != 0; ++n) picked += all[static_cast<std::size_t>(*n - '0')];
      return picked;
    };
    CHECK(pick(gate_text(c, analyzer.ternary_values(s.step(), true))) == row.after_a);
    CHECK(pick(gate_text(c, analyzer.ternary_values(s.step(), false))) == row.after_b);
  }
}

}  // namespace settle::testing
