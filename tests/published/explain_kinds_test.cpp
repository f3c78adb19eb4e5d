// Every textbook cell is recognised, with its characteristic equation. Function tables and equations:
// Mano and Ciletti, Digital Design, 5.3-5.5; Wakerly, Digital Design: Principles and Practices, 7.2;
// both from memory. Arbiter and three-way latch: derived from the equations. 74HC74 with preset and
// clear: TI SCLS577A, function table. Earle latch: J. Earle, IBM Technical Disclosure Bulletin 7 (10),
// 1965, from memory.
#include <string>
#include <vector>

#include "settle/explain.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/storage_cells.h"

namespace settle {
namespace {

using testing::circuit;
namespace cells = testing::cells;

struct Expected {
  const char* text;
  const char* kind;
  std::uint64_t bits;
  const char* equation;   // of the first output; empty: not compared
};

const std::vector<Expected>& textbook() {
  static const std::vector<Expected> all = {
      {cells::nor_latch, "set-reset latch, set and reset active high", 1, "q+ = s r' + r' q"},
      {cells::nand_latch, "set-reset latch, set and reset active low", 1, "q+ = sn' + rn q"},
      {cells::gated_latch, "gated set-reset latch", 1, "q+ = c s + c' q + r' q"},
      {cells::d_latch_4, "transparent latch", 1, "q+ = d c + c' q"},
      {cells::d_latch_5, "transparent latch", 1, "q+ = d c + c' q"},
      {cells::mux_latch, "transparent latch", 1, "q+ = d c + c' q"},
      {cells::earle_latch, "transparent latch", 1, "q+ = d c + c' q"},
      {cells::six_nand, "rising-edge D flip-flop", 1, "q+ = d"},
      {cells::six_nand_preset_clear, "rising-edge D flip-flop, asynchronous set and reset active low", 1, "q+ = d clr + pre'"},
      {cells::master_slave_d, "rising-edge D flip-flop", 1, "q+ = d"},
      {cells::d_enable, "rising-edge D flip-flop with enable", 1, "q+ = d en + en' q"},
      {cells::jk_edge, "rising-edge JK flip-flop", 1, "q+ = j q' + k' q"},
      {cells::jk_master_slave, "pulse-triggered JK flip-flop, output at the falling edge", 2, "q+ = j q' + k' q"},
      {cells::jk_latch, "level-triggered JK latch", 1, ""},
      {cells::t_plain, "rising-edge T flip-flop", 1, "q+ = q'"},
      {cells::t_enable, "rising-edge T flip-flop with enable", 1, "q+ = t q' + t' q"},
      {cells::c_element, "C-element", 1, "c+ = a b + a c + b c"},
      {cells::arbiter, "arbiter for two requests", 1, "g1+ = r1 r2' + r1 g1"},
      {cells::three_way, "latch with 3 stable states, one of 3 outputs at 1", 2, "p+ = a' b c + a' p"},
      {cells::ring, "oscillator", 0, ""},
      {cells::gated_ring, "gated oscillator", 0, ""},
      {cells::stores_nothing, "no storage", 0, "q = s"},
  };
  return all;
}

TEST_CASE("Textbook cells are recognised") {
  for (const Expected& expected : textbook()) {
    const Explanation e = explain(circuit(expected.text));
    INFO(expected.text);
    CHECK(e.kind == expected.kind);
    CHECK(e.bits_stored == expected.bits);
    CHECK(e.complete);
    if (*expected.equation != 0) CHECK(e.outputs.at(0).equation == expected.equation);
  }
}

TEST_CASE("Recognition does not depend on names nor on any order") {
  for (const Expected& expected : textbook()) {
    for (std::uint32_t seed = 1; seed <= 6; ++seed) {
      const std::string text = cells::disguised(expected.text, seed);
      const Explanation e = explain(circuit(text));
      INFO(text);
      CHECK(e.kind == expected.kind);
      CHECK(e.bits_stored == expected.bits);
    }
  }
}

TEST_CASE("An inverter in front of a pin shows in the kind as polarity") {
  const struct {
    const char* text;
    const char* pin;
    const char* kind;
    const char* mirrored;   // the same with Q and Q' in each other's place, so S and R, J and K, too
  } cases[] = {
      {cells::nor_latch, "s", "set-reset latch, reset active high, set active low", "set-reset latch, set active high, reset active low"},
      {cells::nand_latch, "sn", "set-reset latch, set active high, reset active low", "set-reset latch, reset active high, set active low"},
      {cells::gated_latch, "c", "gated set-reset latch, gate active low", ""},
      {cells::d_latch_5, "c", "transparent latch, gate active low", ""},
      {cells::six_nand, "c", "falling-edge D flip-flop", ""},
      {cells::six_nand_preset_clear, "clr", "rising-edge D flip-flop, asynchronous reset active high, set active low", ""},
      {cells::d_enable, "en", "rising-edge D flip-flop with enable, enable active low", ""},
      {cells::jk_edge, "c", "falling-edge JK flip-flop", ""},
      {cells::jk_edge, "k", "rising-edge JK flip-flop, K active low", "rising-edge JK flip-flop, J active low"},
      {cells::jk_master_slave, "c", "pulse-triggered JK flip-flop, output at the rising edge", ""},
      {cells::t_plain, "c", "falling-edge T flip-flop", ""},
      {cells::t_enable, "t", "rising-edge T flip-flop with enable, enable active low", ""},
      {cells::c_element, "a", "C-element, one input inverted", ""},
  };
  for (const auto& c : cases) {
    for (std::uint32_t seed = 1; seed <= 3; ++seed) {
      const std::string text = cells::disguised(c.text, seed, c.pin);
      INFO(text);
      const std::string kind = explain(circuit(text)).kind;
      CAPTURE(kind);
      CHECK((kind == c.kind || (*c.mirrored != 0 && kind == c.mirrored)));
    }
  }
}

}  // namespace
}  // namespace settle
