// What the wiring shows: each kind of finding with its whole message, and its near misses.
#include <string>

#include "support/lint_text.h"

namespace settle {
namespace {

using testing::check_rows;
using testing::lint_text;
using testing::LintRow;

void lint_wiring(const Netlist& netlist, const Circuit& circuit, Diagnostics& diagnostics) {
  lint_circuit(netlist, circuit, {}, diagnostics);
}

const std::string keep = "cell keep\n in s r\n out q p\n nor a: r p -> q\n nor b: s q -> p\nend\n";

// clang-format off
TEST_CASE("gates whose output never changes") {
  check_rows({
    {"a pin that decides", "cell t\n in a\n out y\n and g: a 0 -> y\nend\n",
     "test.gates:4:6: warning: the output of gate 'g' is always 0: its input 2 is always 0\n"
     "   and g: a 0 -> y\n"
     "       ^\n"
     "  hint: take the gate out and use the constant, or connect the input that was meant\n"},
    {"all pins together, and what follows", "cell t\n in a\n out y z\n xor g: 1 1 0 -> n\n not h: n -> y\n or k: a n -> z\nend\n",
     "test.gates:4:6: warning: the output of gate 'g' is always 0: all its inputs are constant\n"
     "   xor g: 1 1 0 -> n\n"
     "       ^\n"
     "  hint: take the gate out and use the constant, or connect the input that was meant\n"
     "test.gates:5:6: warning: the output of gate 'h' is always 1: its input is constant\n"
     "   not h: n -> y\n"
     "       ^\n"
     "  hint: take the gate out and use the constant, or connect the input that was meant\n"},
    {"pins that cancel out", "cell t\n in a b\n out y\n xnor g: a b a b -> y\nend\n",
     "test.gates:4:7: warning: the output of gate 'g' is always 1: its inputs cancel each other out\n"
     "   xnor g: a b a b -> y\n"
     "        ^\n"
     "  hint: an exclusive or of a net with itself is no gate; was another net meant?\n"},
    {"through a loop", keep + "cell t\n in s\n out q\n keep k: s 1 -> q _\nend\n",
     "test.gates:4:6: warning: the output of gate 'a' is always 0: its input 1 is always 1\n"
     "   nor a: r p -> q\n"
     "       ^\n"
     "  hint: take the gate out and use the constant, or connect the input that was meant\n"},
    // Near misses.
    {"a spare pin tied", "cell t\n in a\n out y\n and g: a 1 -> y\nend\n", ""},
    {"a spare gate tied off", "cell t\n in a\n out y\n buf g: a -> y\n nor spare: 0 0 -> _\nend\n", ""},
    {"pins that do not cancel out", "cell t\n in a b\n out y\n xor g: a a b -> y\nend\n", ""},
    {"a pulse former", "cell t\n in a\n out y\n not i: a -> n\n and g: a n -> y\nend\n", ""},
    {"a pull gate", "cell t\n out y\n pullup g: -> y\nend\n", ""},
    {"constant in one of two uses", "cell c\n in a b\n out y\n and g: a b -> y\nend\n"
     "cell t\n in a b\n out y z\n c one: a b -> y\n c two: a 0 -> z\nend\n", ""},
  }, lint_wiring);
}

TEST_CASE("gates that do the same") {
  check_rows({
    {"in another order", "cell t\n in a b\n out y z\n nand g: a b -> y\n nand h: b a -> z\nend\n",
     "test.gates:5:7: note: gates 'g' and 'h' do the same: nand of the same inputs\n"
     "   nand h: b a -> z\n"
     "        ^\n"
     "  hint: one gate can feed both nets, unless the load is shared on purpose\n"},
    {"in all uses of a cell, told once", "cell c\n in a\n out y z\n not g: a -> y\n not h: a -> z\nend\n"
     "cell t\n in a[1:0]\n out y[1:0] z[1:0]\n c k[1:0]: a[1:0] -> y[1:0] z[1:0]\nend\n",
     "test.gates:5:6: note: gates 'g' and 'h' do the same: not of the same inputs\n"
     "   not h: a -> z\n"
     "       ^\n"
     "  hint: one gate can feed both nets, unless the load is shared on purpose\n"},
    // Near misses.
    {"another kind", "cell t\n in a b\n out y z\n nand g: a b -> y\n nor h: b a -> z\nend\n", ""},
    {"a pin more", "cell t\n in a b\n out y z\n nand g: a b -> y\n nand h: b a a -> z\nend\n", ""},
    {"a pin twice, the other once", "cell t\n in a b\n out y z\n nand g: a b b -> y\n nand h: b a a -> z\nend\n", ""},
    {"buffers for the load", "cell t\n in a\n out y z\n buf g: a -> y\n buf h: a -> z\nend\n", ""},
    {"elements of an array", "cell t\n in a\n out y[1:0]\n not g[1:0]: a -> y[1:0]\nend\n", ""},
    {"in two parts", "cell c\n in a\n out y\n not g: a -> y\nend\n"
     "cell t\n in a\n out y z\n c k: a -> y\n c l: a -> z\nend\n", ""},
    {"alike in one of two uses", "cell c\n in a b\n out y z\n not g: a -> y\n not h: b -> z\nend\n"
     "cell t\n in a b\n out w x y z\n c k: a b -> w x\n c l: a a -> y z\nend\n", ""},
  }, lint_wiring);
}

std::string row_of_inverters(int count, const std::string& from) {
  std::string text, nets;
  for (int i = 0; i < count; ++i) nets += " y" + std::to_string(i);
  text = " out" + nets + "\n";
  for (int i = 0; i < count; ++i) {
    text += " nand g" + std::to_string(i) + ": " + from + " b" + std::to_string(i) + " -> y" + std::to_string(i) + "\n";
  }
  return text;
}

std::string second_inputs(int count) {
  std::string text = " in a";
  for (int i = 0; i < count; ++i) text += " b" + std::to_string(i);
  return text + "\n";
}

TEST_CASE("nets with many readers") {
  check_rows({
    {"an input", "cell t\n" + second_inputs(11) + row_of_inverters(11, "a") + "end\n",
     "test.gates:2:5: note: net 'a' feeds 11 gate inputs, more than 10\n"
     "   in a b0 b1 b2 b3 b4 b5 b6 b7 b8 b9 b10\n"
     "      ^\n"
     "  hint: each input adds load and delay: share them among buffers, or check the drive of the chip\n"},
    {"a gate", "cell t\n" + second_inputs(12) + " not n: a -> c\n" + row_of_inverters(12, "c") + "end\n",
     "test.gates:3:6: note: net 'c' feeds 12 gate inputs, more than 10\n"
     "   not n: a -> c\n"
     "       ^\n"
     "  hint: each input adds load and delay: share them among buffers, or check the drive of the chip\n"},
    {"no more than is allowed", "cell t\n" + second_inputs(10) + row_of_inverters(10, "a") + "end\n", ""},
    {"a constant has no driver", "cell t\n" + second_inputs(11) + " buf k: a -> z\n out z\n" + row_of_inverters(11, "1") + "end\n", ""},
  }, lint_wiring);
  const auto strict = [](const Netlist& netlist, const Circuit& circuit, Diagnostics& diagnostics) {
    LintOptions options;
    options.fan_out = 1;
    lint_circuit(netlist, circuit, options, diagnostics);
  };
  CHECK(lint_text("cell t\n in a b[1:0]\n out y z\n and g: b[1] b[0] -> y\n or h: b[1] a -> z\nend\n", strict) ==
        "test.gates:2:7: note: net 'b[1]' feeds 2 gate inputs, more than 1\n"
        "   in a b[1:0]\n"
        "        ^\n"
        "  hint: each input adds load and delay: share them among buffers, or check the drive of the chip\n");
}

TEST_CASE("loops that nothing sets or resets") {
  const std::string pair = "cell t\n in en\n out q p\n ";
  check_rows({
    {"two inverters", "cell t\n out q p\n not a: p -> q\n not b: q -> p\nend\n",
     "test.gates:3:6: warning: no input sets or resets the loop of 'a' and 'b'\n"
     "   not a: p -> q\n"
     "       ^\n"
     "  hint: what it holds after power-up is unknown; give one of its gates an input that forces it\n"},
    {"a toggle without reset",
     "cell t\n in clk\n out q p\n nand g1: clk p -> ms\n nand g2: clk q -> mr\n nand g3: ms mb -> m\n"
     " nand g4: mr m -> mb\n nand g5: clk clk -> cn\n nand g6: m cn -> ss\n nand g7: mb cn -> sr\n"
     " nand g8: ss p -> q\n nand g9: sr q -> p\nend\n",
     "test.gates:4:7: warning: no input sets or resets the loop of 'g3', 'g4', 'g8' and 'g9'\n"
     "   nand g1: clk p -> ms\n"
     "        ^\n"
     "  hint: what it holds after power-up is unknown; give one of its gates an input that forces it\n"},
    {"a reset that is tied off", keep + "cell t\n in s\n out q p\n keep k: 0 0 -> q p\n buf u: s -> _\nend\n",
     "test.gates:4:6: warning: no input sets or resets the loop of 'a' and 'b'\n"
     "   nor a: r p -> q\n"
     "       ^\n"
     "  hint: what it holds after power-up is unknown; give one of its gates an input that forces it\n"},
    {"an exclusive or is no way in", pair + "xor a: en p -> q\n buf b: q -> p\nend\n",
     "test.gates:4:6: warning: no input sets or resets the loop of 'a' and 'b'\n"
     "   xor a: en p -> q\n"
     "       ^\n"
     "  hint: what it holds after power-up is unknown; give one of its gates an input that forces it\n"},
    // Near misses.
    {"set and reset", keep, ""},
    {"reset alone", pair + "nor a: en p -> q\n not b: q -> p\nend\n", ""},
    {"a gated latch", "cell t\n in d en\n out q p\n not i: d -> n\n and gs: d en -> s\n and gr: n en -> r\n"
     " nor a: r p -> q\n nor b: s q -> p\nend\n", ""},
    {"a latch around a selector", "cell t\n in d en\n out q\n not i: en -> h\n and g: d en -> x\n and k: h q -> y\n"
     " or m: x y -> q\nend\n", ""},
    {"a toggle with reset",
     "cell t\n in clk rn\n out q p\n nand g1: clk p rn -> ms\n nand g2: clk q -> mr\n nand g3: ms mb -> m\n"
     " nand g4: mr m rn -> mb\n nand g5: clk clk -> cn\n nand g6: m cn -> ss\n nand g7: mb cn -> sr\n"
     " nand g8: ss p -> q\n nand g9: sr q rn -> p\nend\n", ""},
    {"a ring that oscillates", "cell t\n out a b c\n not g: a -> b\n nand h: b b -> c\n nor k: c 0 -> a\nend\n", ""},
    {"a bus keeper behind a three-state driver", "cell t\n in d en\n out q\n bufif1 g: d en -> w\n bufif0 h: q en -> w\n"
     " buf k: w -> q\nend\n", ""},
    {"tied off in one of two uses", keep + "cell t\n in s r\n out q p w v\n keep k: 0 0 -> q p\n keep l: s r -> w v\nend\n", ""},
  }, lint_wiring);
}

TEST_CASE("gates without a path to an output") {
  check_rows({
    {"in front of a net that nothing reads", "cell t\n in a\n out y\n buf g: a -> y\n not h: a -> n\n buf k: n -> m\nend\n",
     "test.gates:5:6: warning: no path leads from gate 'h' to an output of cell 't'\n"
     "   not h: a -> n\n"
     "       ^\n"
     "  hint: it changes nothing that can be seen: take it out, or connect what it was meant for\n"},
    {"a loop for itself", "cell t\n in a b\n out y\n buf g: a -> y\n nor h: a m -> n\n nor k: b n -> m\nend\n",
     "test.gates:5:6: warning: no path leads from gate 'h' to an output of cell 't'\n"
     "   nor h: a m -> n\n"
     "       ^\n"
     "  hint: it changes nothing that can be seen: take it out, or connect what it was meant for\n"
     "test.gates:6:6: warning: no path leads from gate 'k' to an output of cell 't'\n"
     "   nor k: b n -> m\n"
     "       ^\n"
     "  hint: it changes nothing that can be seen: take it out, or connect what it was meant for\n"},
    {"onto a wire that nothing needs", "cell t\n in a e\n out y\n buf g: a -> y\n bufif1 h: a e -> w\n bufif0 k: a e -> w\n"
     " not m: w -> n\nend\n",
     "test.gates:5:9: warning: no path leads from gate 'h' to an output of cell 't'\n"
     "   bufif1 h: a e -> w\n"
     "          ^\n"
     "  hint: it changes nothing that can be seen: take it out, or connect what it was meant for\n"
     "test.gates:6:9: warning: no path leads from gate 'k' to an output of cell 't'\n"
     "   bufif0 k: a e -> w\n"
     "          ^\n"
     "  hint: it changes nothing that can be seen: take it out, or connect what it was meant for\n"},
    // Near misses.
    {"an output of a part left open", "cell c\n in a\n out y z\n not g: a -> n\n not h: n -> y\n buf k: a -> z\nend\n"
     "cell t\n in a\n out z\n c k: a -> _ z\nend\n", ""},
    {"a test point", "cell t\n in a\n out y\n buf g: a -> y\n not h: a -> n\n buf probe: n -> _\nend\n", ""},
    {"used elsewhere", "cell c\n in a\n out y\n not g: a -> n\n not h: n -> y\nend\n"
     "cell t\n in a\n out y\n c k: a -> y\n c l: a -> m\n buf u: m -> v\nend\n", ""},
  }, lint_wiring);
}

TEST_CASE("findings of one kind are bounded") {
  std::string text = "cell t\n in a\n out";
  for (int i = 0; i < 13; ++i) text += " y" + std::to_string(i);
  text += "\n";
  for (int i = 0; i < 13; ++i) text += " and g" + std::to_string(i) + ": a 0 -> y" + std::to_string(i) + "\n";
  const auto messages = lint_text(text + "end\n", lint_wiring);
  CHECK(messages.find("gate 'g9'") != std::string::npos);
  CHECK(messages.find("gate 'g10'") == std::string::npos);
  CHECK(messages.find("test.gates:14:6: warning: 3 more of the kind 'constant-gate' from here on\n"
                      "   and g10: a 0 -> y10\n"
                      "       ^\n") != std::string::npos);
}

std::string names_told(const std::string& text) {
  return lint_text(text, [](const Netlist& netlist, const Circuit&, Diagnostics& diagnostics) {
    lint_names(netlist, {}, {}, diagnostics);
  });
}

std::string unused_cells(const std::string& text, const std::vector<std::uint32_t>& used) {
  return lint_text(text, [&](const Netlist& netlist, const Circuit&, Diagnostics& diagnostics) {
    lint_unused_cells(netlist, 0, used, {}, diagnostics);
  }, "t");
}

TEST_CASE("names that are easy to mix up") {
  const auto cell = [](const std::string& a, const std::string& b) {
    return "cell t\n in " + a + " " + b + "\n out y\n and g: " + a + " " + b + " -> y\nend\n";
  };
  const std::string hint = "  hint: if they are meant to be one net, give them one name; if not, names that differ more help\n";
  CHECK(names_told(cell("lever", "lover")) ==
        "test.gates:2:11: note: nets 'lever' and 'lover' are easy to mix up\n"
        "   in lever lover\n"
        "            ^\n" + hint);
  for (const auto& [a, b] : std::vector<std::pair<std::string, std::string>>{
           {"lever", "levers"}, {"levver", "lever"}, {"Lever", "lever"}, {"l1", "ll"}, {"busO", "bus0"},
           {"lever_n", "levr_n"}}) {
    INFO(a << " " << b);
    CHECK(names_told(cell(a, b)).find("note: nets '" + a + "' and '" + b + "' are easy to mix up") != std::string::npos);
  }
  for (const auto& [a, b] : std::vector<std::pair<std::string, std::string>>{
           {"hold_a", "hold_b"}, {"gate_a_n", "gate_b_n"}, {"q1", "q2"}, {"lever", "lever_n"}, {"set", "sets"},
           {"rowa", "rowb"}, {"seen", "seenn"}, {"data1", "data11"}, {"north", "south"}, {"s", "r"}, {"nset", "set"},
           {"lever", "elver"}}) {
    INFO(a << " " << b);
    CHECK(names_told(cell(a, b)) == "");
  }
}

TEST_CASE("cells that are never used") {
  const std::string two = "cell extra\n in a\n out y\n not g: a -> y\nend\n"
                          "cell part\n in a\n out y\n not g: a -> y\nend\n"
                          "cell t\n in a\n out y\n part p: a -> y\nend\n";
  CHECK(unused_cells(two, {2}) ==
        "test.gates:1:6: note: no cell that is run uses cell 'extra'\n"
        "  cell extra\n"
        "       ^\n"
        "  hint: take it out, or give it a stimulus of its own, unless another file includes it for this cell\n");
  CHECK(unused_cells(two, {0, 2}) == "");
}
// clang-format on

TEST_CASE("the kinds are in order and have different names") {
  const auto kinds = lint_kinds();
  for (std::size_t i = 1; i < kinds.size(); ++i) {
    INFO(kinds[i].name);
    const bool is_ordered = kinds[i - 1].subject == kinds[i].subject ? kinds[i - 1].name < kinds[i].name
                                                                     : kinds[i - 1].subject < kinds[i].subject;
    CHECK(is_ordered);
    CHECK(!kinds[i].meaning.empty());
  }
}

}  // namespace
}  // namespace settle
