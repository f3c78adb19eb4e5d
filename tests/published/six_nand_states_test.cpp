// Stable states of the six-NAND D flip-flop (the logic of the bipolar 7474), in the order n1 n2 n3 n4 Q Q'.
// Source: derived from the equations n1 = NAND(n4,n2), n2 = NAND(n1,C), n3 = NAND(n2,C,n4),
// n4 = NAND(n3,D), Q = NAND(n2,Q'), Q' = NAND(n3,Q), all 64 states tried; circuit from memory.
#include <string>

#include "settle/state_space.h"
#include "support/circuit_text.h"
#include "support/textbook_cells.h"

namespace settle::testing {

TEST_CASE("Stable states of the six-NAND flip-flop are those of the table") {
  struct Row {
    const char* inputs;   // D C
    const char* states;
  };
  const Row table[] = {{"00", "011101 011110"}, {"10", "111001 111010"}, {"01", "010101 101110"}, {"11", "010101 101010"}};
  const StateSpace space = explore(circuit(cells::six_nand));
  REQUIRE(space.complete);
  for (const Row& row : table) {
    std::string found;
    for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
      if (vector_text(space.stable[s].inputs, 2) != row.inputs) continue;
      if (!found.empty()) found += ' ';
      for (const Value v : space.nodes_of(s)) found += to_char(v);
    }
    INFO("D C = " << row.inputs);
    CHECK(found == row.states);
  }
  CHECK(space.stable.size() == 8);
  // Before the rising edge one Q is stored and n2 = n3 = 1; after it exactly one of n2 and n3 is 0.
  for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
    const auto nodes = space.nodes_of(s);
    const bool clock = (space.stable[s].inputs & 1u) != 0;
    CHECK((nodes[1] == Value::one && nodes[2] == Value::one) == !clock);
    if (clock) CHECK(nodes[1] != nodes[2]);
  }
}

}  // namespace settle::testing
