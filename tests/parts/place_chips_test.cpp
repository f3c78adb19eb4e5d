// Boards as netlists: what becomes of chips, and all that is said about their wiring.
#include "settle/board.h"

#include "settle/compare.h"
#include "settle/elaborate.h"
#include "settle/formats.h"
#include "support/board_text.h"
#include "support/catch.h"

namespace settle {
namespace {

using testing::load_board;

constexpr const char* block_board =
    "cell b\n  in enter leave\n  out occupied clear\n"
    "  chip U1 74HC02: 1=occupied 2=leave 3=clear 4=clear 5=enter 6=occupied 7=0 8=0 9=0 11=0 12=0 14=1\nend\n";

TEST_CASE("A board is its gates") {
  const auto board = load_board(block_board);
  CHECK(board.messages == "");
  REQUIRE(board.circuit);
  CHECK(board.circuit->dump() == "U1_1 nor leave clear -> occupied\nU1_2 nor enter occupied -> clear\n");
  CHECK(write_gates(board.tree) ==
        "cell b\n  in  enter leave\n  out occupied clear\n"
        "  nor U1_1: leave clear -> occupied {part=74HC02 place=U1.1}\n"
        "  nor U1_2: enter occupied -> clear {part=74HC02 place=U1.2}\nend\n");
}

TEST_CASE("The pins of a board lead back to the circuit") {
  const auto board = load_board("cell half\n  in a b\n  out q\n"
                                "  chip U1 SN74LS00N: 1=a 2=b 3=q 7=0 14=1\nend\n"
                                "cell two\n  in a b c\n  out q\n  half x: a b -> m\n  half y: m c -> q\nend\n");
  CHECK(board.messages == "");
  REQUIRE(board.circuit);
  const Catalogue catalogue = built_in_catalogue();
  const Board found = board_of(board.tree, *board.circuit, catalogue);
  REQUIRE(found.chips.size() == 2);
  CHECK(found.chips[0].name == "x.U1");
  CHECK(found.chips[1].name == "y.U1");
  CHECK(found.chips[0].floats_high);
  CHECK(board.circuit->net_name(found.chips[0].pins[2].net) == "m");
  CHECK(board.circuit->net_name(found.chips[1].pins[0].net) == "m");
  CHECK(found.chips[1].pins[0].role == BoardPin::Role::input);
  CHECK(found.chips[1].pins[2].role == BoardPin::Role::output);
  CHECK(found.chips[1].pins[13].net == board.circuit->const_one());
  CHECK(found.chips[1].pins[8].net == no_id);
  CHECK(found.chips[1].gates == std::vector<GateId>{1, no_id, no_id, no_id});
}

TEST_CASE("Open inputs read as their family has it") {
  const std::string rest = " 2=b 3=q 4=0 5=0 7=0 9=0 10=0 12=0 13=0 14=1\nend\n";
  const auto cmos = load_board("cell c\n  in b\n  out q\n  chip U1 74HC00:" + rest);
  REQUIRE(cmos.circuit);
  CHECK(cmos.circuit->dump() == "U1_1 nand U1_pin1 b -> q\n");
  CHECK(cmos.messages == "test.gates:4:8: warning: pin 1 of 'U1', an input of its gate 1, is not connected\n"
                         "    chip U1 74HC00: 2=b 3=q 4=0 5=0 7=0 9=0 10=0 12=0 13=0 14=1\n"
                         "         ^\n"
                         "  hint: it reads as unknown: connect it to a net, to 0 or to 1\n");
  const auto bipolar = load_board("cell c\n  in b\n  out q\n  chip U1 74LS00:" + rest);
  REQUIRE(bipolar.circuit);
  CHECK(bipolar.circuit->dump() == "U1_1 nand 1 b -> q\n");
}

TEST_CASE("Open-collector outputs share a net with a pull-up") {
  const auto board = load_board("cell c\n  in a b\n  out q\n"
                                "  chip U1 74LS266: 1=a 2=b 3=q 5=a 6=0 4=q 7=0 14=1\n  pullup r: -> q\nend\n");
  REQUIRE(board.circuit);
  CHECK(board.circuit->resolved_count() == 1);
}

struct Row {
  const char* what;
  std::string chips;
  std::string messages;  // without source lines and hints
};

const Row rows[] = {
    {"an unknown part", "chip U1 74HC99: 1=q", "4:11: error: there is no part '74HC99' in the catalogue"},
    {"a family that is not listed", "chip U1 74AHC02: 2=a 3=b 1=q 5=0 6=0 7=0 8=0 9=0 11=0 12=0 14=1",
     "4:11: warning: '74AHC02': a 7402 is listed in the families LS, HC, HCT and AC, not in 'AHC'"},
    {"no such pin", "chip U1 74LS02: 15=a 7=0 14=1", "4:19: error: a 74LS02 has 14 pins, so there is no pin 15"},
    {"supply exchanged", "chip U1 74LS02: 7=1 14=0",
     "4:23: error: supply and ground of 'U1' are exchanged: of a 74LS02, pin 14 is the supply and pin 7 the ground"},
    {"two outputs", "chip U1 74LS00: 1=a 2=b 3=q 4=a 5=b 6=q 7=0 14=1",
     "4:39: error: pin 6 of 'U1', the output of its gate 2, is joined to pin 3 of 'U1', an output too, by net 'q'"},
    {"an output on an input of the cell", "chip U1 74LS02: 1=a 2=b 3=q 7=0 14=1",
     "4:19: error: pin 1 of 'U1', the output of its gate 1, is on net 'a', an input of the cell"},
    {"an output on the ground", "chip U1 74LS00: 1=a 2=b 3=0 7=0 14=1",
     "4:27: error: pin 3 of 'U1', the output of its gate 1, is joined to the ground"},
    {"an output on the supply", "chip U1 74LS00: 1=a 2=b 3=1 7=0 14=1",
     "4:27: error: pin 3 of 'U1', the output of its gate 1, is joined to the supply"},
    {"no power", "chip U1 74LS00: 1=a 2=b 3=q 14=b",
     "4:31: warning: pin 14 of 'U1', the supply of the 74LS00, is on net 'b'|"
     "4:8: warning: pin 7 of 'U1', the ground of the 74LS00, is not connected"},
    {"inputs at rest", "chip U1 74HC00: 1=a 2=b 3=q 7=0 9=0 10=_ 14=1",
     "4:8: warning: pins 4, 5, 10, 12 and 13 of 'U1' are not connected: inputs of gates that are not used"},
    {"a net with one end", "chip U1 74LS00: 1=a 2=bb 3=q 6=other 4=a 5=b 7=0 14=1",
     "4:23: warning: net 'bb' is on pin 2 of 'U1' and nowhere else|"
     "4:32: warning: net 'other' is on pin 6 of 'U1' and nowhere else"},
    {"a pin without function", "chip U1 74LS20: 1=a 2=b 3=a 4=1 5=1 6=q 7=0 14=1",
     "4:27: warning: pin 3 of 'U1' has no function in a 74LS20, but net 'a' is on it"},
};

TEST_CASE("Everything wrong with the wiring is told with its pin") {
  for (const Row& row : rows) {
    INFO(row.what);
    const auto board = load_board("cell c\n  in a b\n  out q\n  " + row.chips + "\nend\n");
    std::string heads;
    std::istringstream lines(board.messages);
    for (std::string line; std::getline(lines, line);) {
      if (line.rfind("test.gates:", 0) == 0) heads += (heads.empty() ? "" : "|") + line.substr(11);
    }
    CHECK(heads == row.messages);
    CHECK(board.circuit.has_value() == (row.messages.find("error") == std::string::npos));
  }
}

TEST_CASE("Pins that the part has, and names that carry no power") {
  const std::string text = "cell c\n  in a\n  out q\n  chip U1 74HC02: 2=a 3=a 1=q 5=0 6=0 8=0 9=0 11=0 12=0 ";
  CHECK(load_board(text + "7=0 14=1 15=a\nend\n").messages.find("  hint: its pins are 1 to 14\n") != std::string::npos);
  const auto named = load_board(text + "7=Gnd 14=vcc\nend\n").messages;
  CHECK(named.find("  hint: 'Gnd' is an ordinary name: write 7=0; without it the chip drives nothing\n") != std::string::npos);
  CHECK(named.find("  hint: 'vcc' is an ordinary name: write 14=1; without it the chip drives nothing\n") != std::string::npos);
  CHECK(load_board(text + "7=a 14=1\nend\n").messages.find("  hint: write 7=0; without it the chip drives nothing\n") !=
        std::string::npos);
}

TEST_CASE("A likely part is hinted at") {
  CHECK(load_board("cell c\n chip U1 74HC022: 1=q\nend\n").messages.find("hint: did you mean '74HC02'?") != std::string::npos);
}

TEST_CASE("Without a catalogue a board is no circuit") {
  testing::MemoryFiles files{{"test.gates", block_board}};
  Sources sources;
  Diagnostics diagnostics;
  CHECK(!load_circuit("test.gates", files, {}, sources, diagnostics));
  CHECK(render(diagnostics, sources).find("no catalogue of parts is at hand to say what a 74HC02 is") != std::string::npos);
}

}  // namespace
}  // namespace settle
