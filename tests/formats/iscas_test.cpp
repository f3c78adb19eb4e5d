// The benchmark netlist text.
#include "support/format_text.h"

namespace settle {
namespace {

using testing::read_text;

std::string iscas_messages(const std::string& text) { return read_text("c.bench", text).messages; }

TEST_CASE("An ISCAS text becomes a cell of gates, digits in front of names get a letter") {
  const auto c17 = read_text("c17.bench", "# c17\nINPUT(1)\nINPUT(2)\nOUTPUT(22)\n22 = nand(1, 10)\n10 = NOT(2)\n");
  CHECK(c17.messages.empty());
  REQUIRE(c17.circuit);
  CHECK(c17.circuit->cell_name() == "c17");
  CHECK(c17.circuit->dump() == "n22 nand n1 n10 -> n22\nn10 not n2 -> n10\n");
}

TEST_CASE("Names that are words of ours or meet another are changed") {
  const auto c = read_text("a.bench", "INPUT(in)\nINPUT(1)\nINPUT(n1)\nOUTPUT(out)\nout = AND(in, 1, n1)\n");
  CHECK(c.messages.empty());
  REQUIRE(c.circuit);
  CHECK(c.circuit->dump() == "out_ and in_ n1_2 n1 -> out_\n");
}

TEST_CASE("Flip-flops become six NAND gates, a master and a slave, or pins") {
  const std::string text = "INPUT(D)\nOUTPUT(Q)\nQ = DFF(N)\nN = NOT(D)\n";
  const auto nand = read_text("s.bench", text);
  REQUIRE(nand.circuit);
  CHECK(nand.messages.empty());
  CHECK(nand.circuit->gate_count() == 7);
  CHECK(nand.circuit->input_ports().size() == 3);
  CHECK(nand.circuit->input_ports()[1].name == "clock");
  CHECK(nand.circuit->input_ports()[2].name == "clear_n");
  const auto master = read_text("s.bench", text, FlipFlopForm::master_slave);
  REQUIRE(master.circuit);
  CHECK(master.circuit->gate_count() == 10);
  const auto pins = read_text("s.bench", text, FlipFlopForm::pins);
  REQUIRE(pins.circuit);
  CHECK(pins.messages.empty());
  CHECK(pins.circuit->loop_count() == 0);
  CHECK(pins.circuit->dump() == "Q_next buf N -> Q_next\nN not D -> N\nQ_out buf Q -> Q_out\n");
}

TEST_CASE("What is wrong in an ISCAS text is told with its place") {
  CHECK(iscas_messages("INPUT(a)\nOUTPUT(b)\nb = NADN(a, a)\n") ==
        "c.bench:3:5: error: 'NADN' is no kind of gate\n  b = NADN(a, a)\n      ^\n  hint: did you mean 'NAND'?\n");
  CHECK(iscas_messages("INPUT(a)\nOUTPUT(b)\nb = NOT(a, a)\n") ==
        "c.bench:3:5: error: NOT has exactly one input, not 2\n  b = NOT(a, a)\n      ^\n");
  CHECK(iscas_messages("INPUT(a)\nINPUT(a)\nOUTPUT(b)\nb = NOT(a)\n") ==
        "c.bench:2:7: error: a driver of 'a' again; the first is in line 1\n  INPUT(a)\n        ^\n");
  CHECK(iscas_messages("INPUT(a)\nOUTPUT(b)\nb = NOT(a\n") ==
        "c.bench:4:1: error: expected ')' after 'a', not the end of the file\n"
        "  hint: a line is INPUT(name), OUTPUT(name) or name = KIND(name, ...)\n");
  for (const auto* nothing : {"", "# a comment\n"}) {
    CHECK(iscas_messages(nothing).find("c.bench:1:1: error: there is no gate in this file\n") == 0);
  }
  const std::string undriven = iscas_messages("INPUT(a)\nOUTPUT(b)\nb = AND(a, c)\n");
  CHECK(undriven.find("c.bench:3:12: warning: nothing drives net 'c'") == 0);
}

}  // namespace
}  // namespace settle
