// Every error and warning of the circuit layer, with its whole message as printed.
#include <string>
#include <vector>

#include "support/circuit_text.h"

namespace settle {
namespace {

const std::string latch = "cell keep\n in s r\n out q p\n nor a: r p -> q\n nor b: s q -> p\nend\n";

struct Row {
  const char* title;
  const char* cell;  // --cell
  std::string text;
  const char* messages;
};

// clang-format off
const std::vector<Row> rows = {
    {"no cell", "",
     "# nothing\n",
     "test.gates:1:1: error: there is no cell in this file\n"
     "  # nothing\n"
     "  ^\n"
     "  hint: a cell starts with 'cell NAME' and ends with 'end'\n"},
    {"unknown cell asked for, near", "kepp",
     latch,
     "settle: error: there is no cell 'kepp'\n"
     "  hint: did you mean 'keep'?\n"},
    {"unknown cell asked for, far", "lamp",
     latch,
     "settle: error: there is no cell 'lamp'\n"
     "  hint: the cells are 'keep'\n"},
    {"several candidates", "",
     latch + "cell other\n in a\n out y\n buf g: a -> y\nend\n",
     "settle: error: 2 cells could be the circuit: 'keep', 'other'\n"
     "  hint: choose one, as in --cell other\n"},
    {"more candidates than are listed", "",
     "cell c0\n out y\n not g: y -> y\nend\ncell c1\n out y\n not g: y -> y\nend\ncell c2\n"
     " out y\n not g: y -> y\nend\ncell c3\n out y\n not g: y -> y\nend\ncell c4\n out y\n"
     " not g: y -> y\nend\ncell c5\n out y\n not g: y -> y\nend\ncell c6\n out y\n"
     " not g: y -> y\nend\ncell c7\n out y\n not g: y -> y\nend\ncell c8\n out y\n"
     " not g: y -> y\nend\ncell c9\n out y\n not g: y -> y\nend\n",
     "settle: error: 10 cells could be the circuit: 'c0', 'c1', 'c2', 'c3', 'c4', 'c5', 'c6', 'c7' and 2 more\n"
     "  hint: choose one, as in --cell c9\n"},
    {"a cell in itself", "",
     "cell a\n in x\n out y\n a k: x -> y\nend\n",
     "test.gates:4:2: error: cell 'a' contains itself: a -> a\n"
     "   a k: x -> y\n"
     "   ^\n"
     "  hint: a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others\n"},
    {"a cell in itself beside another", "",
     "cell other\n in x\n out y\n buf g: x -> y\nend\ncell a\n in x\n out y\n a k: x -> y\nend\n",
     "test.gates:9:2: error: cell 'a' contains itself: a -> a\n"
     "   a k: x -> y\n"
     "   ^\n"
     "  hint: a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others\n"},
    {"cells in a ring", "",
     "cell a\n in x\n out y\n b k: x -> y\nend\ncell b\n in x\n out y\n c k: x -> y\nend\n"
     "cell c\n in x\n out y\n a k: x -> y\nend\n",
     "test.gates:14:2: error: cell 'a' contains itself: a -> b -> c -> a\n"
     "   a k: x -> y\n"
     "   ^\n"
     "  hint: a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others\n"},
    {"a long ring is cut", "",
     "cell c0\n c1 k: ->\nend\ncell c1\n c2 k: ->\nend\ncell c2\n c3 k: ->\nend\ncell c3\n"
     " c4 k: ->\nend\ncell c4\n c5 k: ->\nend\ncell c5\n c6 k: ->\nend\ncell c6\n c7 k: ->\n"
     "end\ncell c7\n c8 k: ->\nend\ncell c8\n c9 k: ->\nend\ncell c9\n c10 k: ->\nend\n"
     "cell c10\n c11 k: ->\nend\ncell c11\n c0 k: ->\nend\n",
     "test.gates:35:2: error: cell 'c0' contains itself: c0 -> c1 -> c2 -> c3 -> ... -> c8 -> c9 -> c10 -> c11 -> c0\n"
     "   c0 k: ->\n"
     "   ^\n"
     "  hint: a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others\n"},
    {"recursion below the top", "",
     "cell top\n b k: ->\nend\ncell b\n b k: ->\nend\n",
     "test.gates:5:2: error: cell 'b' contains itself: b -> b\n"
     "   b k: ->\n"
     "   ^\n"
     "  hint: a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others\n"},
    {"unknown kind near a gate", "",
     "cell c\n in a b\n out y\n nro g: a b -> y\nend\n",
     "test.gates:4:2: error: unknown gate or cell 'nro'\n"
     "   nro g: a b -> y\n"
     "   ^\n"
     "  hint: did you mean 'nor'?\n"},
    {"unknown kind near a cell", "",
     latch + "cell c\n in a b\n out y\n kep k: a b -> y _\nend\n",
     "test.gates:10:2: error: unknown gate or cell 'kep'\n"
     "   kep k: a b -> y _\n"
     "   ^\n"
     "  hint: did you mean 'keep'?\n"},
    {"unknown kind near nothing", "",
     "cell c\n in a b\n out y\n flipflop g: a b -> y\nend\n",
     "test.gates:4:2: error: unknown gate or cell 'flipflop'\n"
     "   flipflop g: a b -> y\n"
     "   ^\n"
     "  hint: a flip-flop is a cell made of gates ('settle help timing' shows one of six, 'settle help cabin' a toggle); "
     "a cell of another file needs a line: include \"FILE\"\n"},
    {"unknown kind of no meaning", "",
     "cell c\n in a b\n out y\n signalbox g: a b -> y\nend\n",
     "test.gates:4:2: error: unknown gate or cell 'signalbox'\n"
     "   signalbox g: a b -> y\n"
     "   ^\n"
     "  hint: a cell of another file needs a line: include \"FILE\"\n"},
    {"a gate in capitals", "",
     "cell c\n in a b\n out y\n NAND g: a b -> y\nend\n",
     "test.gates:4:2: error: unknown gate or cell 'NAND'\n"
     "   NAND g: a b -> y\n"
     "   ^\n"
     "  hint: did you mean 'nand'?\n"},
    {"too few pins", "c",
     latch + "cell c\n in a\n out y\n keep k: a -> y _\nend\n",
     "test.gates:10:2: error: cell 'keep' has 2 inputs and 2 outputs, but 'k' connects 1 input and 2 outputs\n"
     "   keep k: a -> y _\n"
     "   ^\n"
     "  hint: its pins are s r -> q p\n"},
    {"too many pins", "c",
     "cell one\n in bus[3:0]\n out y\n buf g: bus[0] -> y\nend\ncell c\n in a\n out y z\n"
     " one k: a a -> y z\nend\n",
     "test.gates:9:2: error: cell 'one' has 1 input and 1 output, but 'k' connects 2 inputs and 2 outputs\n"
     "   one k: a a -> y z\n"
     "   ^\n"
     "  hint: its pins are bus[3:0] -> y\n"},
    {"no pin of this name, near", "c",
     latch + "cell c\n in a\n out y\n keep k: s=a rr=a -> q=y\nend\n",
     "test.gates:10:14: error: cell 'keep' has no pin 'rr'\n"
     "   keep k: s=a rr=a -> q=y\n"
     "               ^\n"
     "  hint: its pins are s r -> q p\n"},
    {"no pin of this name, far", "c",
     latch + "cell c\n in a\n out y\n keep k: s=a reset=a -> q=y\nend\n",
     "test.gates:10:14: error: cell 'keep' has no pin 'reset'\n"
     "   keep k: s=a reset=a -> q=y\n"
     "               ^\n"
     "  hint: its pins are s r -> q p\n"},
    {"an output among the inputs", "c",
     latch + "cell c\n in a\n out y\n keep k: s=a r=a q=y -> p=z\nend\n",
     "test.gates:10:18: error: 'q' is an output of cell 'keep'\n"
     "   keep k: s=a r=a q=y -> p=z\n"
     "                   ^\n"
     "  hint: write it after '->'\n"},
    {"an input among the outputs", "c",
     latch + "cell c\n in a\n out y\n keep k: s=a -> q=y r=a\nend\n",
     "test.gates:10:21: error: 'r' is an input of cell 'keep'\n"
     "   keep k: s=a -> q=y r=a\n"
     "                      ^\n"
     "  hint: write it before '->'\n"},
    {"array width, single-bit pins", "",
     latch + "cell c\n in lever[6:0] read\n out q[7:0]\n keep bit[7:0]: lever[6:0] read -> q _\nend\n",
     "test.gates:10:17: error: 'lever[6:0]' is 7 wide; 'bit[7:0]' needs 1 or 8\n"
     "   keep bit[7:0]: lever[6:0] read -> q _\n"
     "                  ^\n"
     "  hint: pin 's' of cell 'keep' is 1 wide\n"},
    {"array width of a gate", "",
     "cell c\n in a[3:0]\n out y[7:0]\n not g[7:0]: a -> y\nend\n",
     "test.gates:4:14: error: 'a' is 4 wide; 'g[7:0]' needs 1 or 8\n"
     "   not g[7:0]: a -> y\n"
     "               ^\n"},
    {"a bus on a gate", "",
     "cell c\n in a[1:0]\n out y\n not g: a -> y\nend\n",
     "test.gates:4:9: error: 'a' is 2 wide; 'g' needs 1\n"
     "   not g: a -> y\n"
     "          ^\n"},
    {"a single net on a bus pin", "",
     "cell two\n in a[1:0]\n out y\n and g: a[1] a[0] -> y\nend\ncell c\n in a\n out y\n"
     " two k: a -> y\nend\n",
     "test.gates:9:9: error: 'a' is 1 wide; 'k' needs 2\n"
     "   two k: a -> y\n"
     "          ^\n"
     "  hint: pin 'a' of cell 'two' is 2 wide\n"},
    {"the constant 1 on a bus pin", "",
     "cell two\n in a[1:0]\n out y\n and g: a[1] a[0] -> y\nend\ncell c\n out y\n"
     " two k: 1 -> y\nend\n",
     "test.gates:8:9: error: '1' is 1 wide; 'k' needs 2\n"
     "   two k: 1 -> y\n"
     "          ^\n"
     "  hint: pin 'a' of cell 'two' is 2 wide\n"},
    {"array width of a wide pin", "",
     "cell two\n in a[1:0]\n out y\n and g: a[1] a[0] -> y\nend\ncell c\n in a[6:0]\n"
     " out y[3:0]\n two k[3:0]: a -> y\nend\n",
     "test.gates:9:14: error: 'a' is 7 wide; 'k[3:0]' needs 2 or 8\n"
     "   two k[3:0]: a -> y\n"
     "               ^\n"
     "  hint: pin 'a' of cell 'two' is 2 wide\n"},
    {"a bit out of range", "",
     "cell c\n in a[3:0]\n out y\n buf g: a[4] -> y\nend\n",
     "test.gates:4:9: error: 'a[4]' is out of range: 'a' is declared as 'a[3:0]'\n"
     "   buf g: a[4] -> y\n"
     "          ^\n"},
    {"a slice out of range, upwards", "",
     "cell c\n in a[0:3]\n out y[1:0]\n buf g[1:0]: a[3:4] -> y\nend\n",
     "test.gates:4:14: error: 'a[3:4]' is out of range: 'a' is declared as 'a[0:3]'\n"
     "   buf g[1:0]: a[3:4] -> y\n"
     "               ^\n"},
    {"a slice out of range, wider than the bus", "",
     "cell c\n in a[3:0]\n out y[3:0]\n buf g[3:0]: a[4:0] -> y\nend\n",
     "test.gates:4:14: error: 'a[4:0]' is out of range: 'a' is declared as 'a[3:0]'\n"
     "   buf g[3:0]: a[4:0] -> y\n"
     "               ^\n"
     "  hint: write a[3:0]\n"},
    {"a bit of a single net", "",
     "cell c\n in a\n out y\n buf g: a[0] -> y\nend\n",
     "test.gates:4:9: error: 'a' is a single net, not a bus\n"
     "   buf g: a[0] -> y\n"
     "          ^\n"},
    {"an input driven by a gate", "",
     "cell c\n in a b\n out y\n buf g: b -> a\n buf h: a -> y\nend\n",
     "test.gates:4:14: error: 'g' drives 'a', which is an input of this cell\n"
     "   buf g: b -> a\n"
     "               ^\n"
     "  hint: only the outside of a cell may drive its inputs\n"},
    {"an input driven by an instance", "c",
     latch + "cell c\n in a b\n out y\n keep k: a b -> y b\nend\n",
     "test.gates:10:19: error: 'k' drives 'b', which is an input of this cell\n"
     "   keep k: a b -> y b\n"
     "                    ^\n"
     "  hint: only the outside of a cell may drive its inputs\n"},
    {"a bus too wide", "",
     "cell c\n in a\n out y\n buf g: a -> n[4000000]\n buf h: n[0] -> y\nend\n",
     "test.gates:4:14: error: bus 'n[4000000:0]' is wider than 1048576 bits\n"
     "   buf g: a -> n[4000000]\n"
     "               ^\n"
     "  hint: --limit-array allows more (now 1048576)\n"},
    {"contention", "",
     "cell c\n in a b\n out y\n buf g: a -> y\n not h: b -> y\nend\n",
     "test.gates:5:6: error: contention: gates 'g' (test.gates:4) and 'h' both drive net 'y'\n"
     "   not h: b -> y\n"
     "       ^\n"
     "  hint: only three-state and pull gates can share a net\n"},
    {"contention inside an array", "",
     "cell c\n in a[3:0]\n out y\n buf g[3:0]: a -> y\nend\n",
     "test.gates:4:6: error: contention: gates 'g[3]' (test.gates:4) and 'g[2]' both drive net 'y'\n"
     "   buf g[3:0]: a -> y\n"
     "       ^\n"
     "  hint: only three-state and pull gates can share a net\n"},
    {"contention through cells, once for all instances", "",
     latch + "cell c\n in a[2:0] b\n out y[2:0]\n keep k[2:0]: a b -> y y\nend\n",
     "test.gates:5:6: error: contention: gates 'k[2].a' (test.gates:4) and 'k[2].b' both drive net 'y[2]'\n"
     "   nor b: s q -> p\n"
     "       ^\n"
     "  hint: they meet in cell 'c'; only three-state and pull gates can share a net\n"},
    {"three-state beside push-pull", "",
     "cell c\n in a b e\n out y\n buf g: a -> y\n bufif1 h: b e -> y\nend\n",
     "test.gates:5:9: warning: 'h' drives net 'y' together with 'g' (test.gates:4), which never lets go of it\n"
     "   bufif1 h: b e -> y\n"
     "          ^\n"},
    {"a pull before push-pull", "",
     "cell c\n in a\n out y\n pullup h: -> y\n buf g: a -> y\nend\n",
     "test.gates:4:9: warning: 'h' drives net 'y' together with 'g' (test.gates:5), which never lets go of it\n"
     "   pullup h: -> y\n"
     "          ^\n"},
    {"an undriven net, near", "",
     "cell c\n in lever\n out y\n not g: lever -> lever_n\n buf h: lever_m -> y\n"
     " buf i: lever_n -> _\nend\n",
     "test.gates:5:9: warning: nothing drives net 'lever_m'\n"
     "   buf h: lever_m -> y\n"
     "          ^\n"
     "  hint: did you mean 'lever_n'?\n"},
    {"an undriven net, far", "",
     "cell c\n in a\n out y\n and g: a zebra -> y\nend\n",
     "test.gates:4:11: warning: nothing drives net 'zebra'\n"
     "   and g: a zebra -> y\n"
     "            ^\n"
     "  hint: end a gate with '-> zebra', or make it an input of the cell\n"},
    {"an undriven inverse is no misspelling", "",
     "cell c\n in lever read\n out y\n and g: lever read_n -> y\n buf invert_read: read -> _\nend\n",
     "test.gates:4:15: warning: nothing drives net 'read_n'\n"
     "   and g: lever read_n -> y\n"
     "                ^\n"
     "  hint: a gate must drive it, as in: not invert_read_: read -> read_n\n"},
    {"undriven inverses of bits", "",
     "cell c\n in d[3:0]\n out y[3:0]\n buf g[3:0]: d_n[3:0] -> y[3:0]\n buf h[3:0]: d[3:0] -> _\nend\n",
     "test.gates:4:14: warning: nothing drives net 'd_n'\n"
     "   buf g[3:0]: d_n[3:0] -> y[3:0]\n"
     "               ^\n"
     "  hint: a gate must drive it, as in: not invert_d[3:0]: d[3:0] -> d_n[3:0]\n"},
    {"the driven net has the mark of the inverse", "",
     "cell c\n in lever read_n\n out y\n and g: lever read -> y\n buf h: read_n -> _\nend\n",
     "test.gates:4:15: warning: nothing drives net 'read'\n"
     "   and g: lever read -> y\n"
     "                ^\n"
     "  hint: end a gate with '-> read', or make it an input of the cell\n"},
    {"the ground under its name", "",
     "cell c\n in a\n out y\n nor g: a GND -> y\nend\n",
     "test.gates:4:11: warning: nothing drives net 'GND'\n"
     "   nor g: a GND -> y\n"
     "            ^\n"
     "  hint: 'GND' is an ordinary name: write 0\n"},
    {"an output misspelt at its gate", "",
     "cell c\n in enter leave\n out occupied clear\n nor a: leave clear -> ocupied\n nor b: enter occupied -> clear\nend\n",
     "test.gates:4:24: warning: nothing drives output 'occupied', and nothing reads net 'ocupied'\n"
     "   nor a: leave clear -> ocupied\n"
     "                         ^\n"
     "  hint: did you mean 'occupied'?\n"},
    {"an undriven output near nets that are driven and read", "",
     "cell c\n in set_n\n out seen sees\n not g: set_n -> see\n buf h: see -> seen\nend\n",
     "test.gates:3:11: warning: nothing drives output 'sees'\n"
     "   out seen sees\n"
     "            ^\n"
     "  hint: end a gate with '-> sees'\n"},
    {"an undriven output that is the inverse of an input", "",
     "cell c\n in lever\n out lever_n y\n buf g: lever -> y\nend\n",
     "test.gates:3:6: warning: nothing drives output 'lever_n'\n"
     "   out lever_n y\n"
     "       ^\n"
     "  hint: a gate must drive it, as in: not invert_lever: lever -> lever_n\n"},
    {"two drivers of one output, none of its inverse", "",
     "cell c\n in s_n r_n\n out q q_n\n nand a: s_n q_n -> q\n nand b: r_n q -> q\nend\n",
     "test.gates:3:8: warning: nothing drives output 'q_n'\n"
     "   out q q_n\n"
     "         ^\n"
     "  hint: end a gate with '-> q_n'\n"
     "test.gates:5:7: error: contention: gates 'a' (test.gates:4) and 'b' both drive net 'q'\n"
     "   nand b: r_n q -> q\n"
     "        ^\n"
     "  hint: only three-state and pull gates can share a net; nothing drives 'q_n': was one of them meant for it?\n"},
    {"an undriven output", "",
     "cell c\n in a\n out y z\n buf g: a -> z\nend\n",
     "test.gates:3:6: warning: nothing drives output 'y'\n"
     "   out y z\n"
     "       ^\n"
     "  hint: end a gate with '-> y'\n"},
    {"undriven bits of a bus", "",
     "cell c\n in a\n out y[7:0]\n buf g[1:0]: a -> y[7:6]\n buf h: a -> y[1]\nend\n",
     "test.gates:3:6: warning: nothing drives output 'y[5:2]'\n"
     "   out y[7:0]\n"
     "       ^\n"
     "  hint: end a gate with '-> y[5:2]'\n"
     "test.gates:3:6: warning: nothing drives output 'y[0]'\n"
     "   out y[7:0]\n"
     "       ^\n"
     "  hint: end a gate with '-> y[0]'\n"},
    {"an input left out by name", "c",
     latch + "cell c\n in a\n out y\n keep k: s=a -> q=y\nend\n",
     "test.gates:10:7: warning: input 'r' of 'k' is not connected\n"
     "   keep k: s=a -> q=y\n"
     "        ^\n"
     "  hint: connect it to a net, to 0 or to 1\n"},
    {"an input left open", "c",
     latch + "cell c\n in a\n out y\n keep k: a _ -> y _\nend\n",
     "test.gates:10:12: warning: input 'r' of 'k' is not connected\n"
     "   keep k: a _ -> y _\n"
     "             ^\n"
     "  hint: connect it to a net, to 0 or to 1\n"},
    {"a net that nothing reads", "",
     "cell c\n in a\n out y\n buf g: a -> y\n not h: a -> spare\nend\n",
     "test.gates:5:14: warning: nothing reads net 'spare'\n"
     "   not h: a -> spare\n"
     "               ^\n"
     "  hint: write '_' to leave an output open\n"},
    {"bits that nothing reads", "",
     "cell c\n in a[3:0]\n out y\n not g[3:0]: a -> n[3:0]\n buf h: n[3] -> y\nend\n",
     "test.gates:4:19: warning: nothing reads net 'n[2:0]'\n"
     "   not g[3:0]: a -> n[3:0]\n"
     "                    ^\n"
     "  hint: write '_' to leave an output open\n"},
    {"an input that nothing reads", "",
     "cell c\n in a b\n out y\n buf g: a -> y\nend\n",
     "test.gates:2:7: warning: nothing reads input 'b'\n"
     "   in a b\n"
     "        ^\n"},
    {"findings of a cell come once, not once an instance", "",
     "cell one\n in a b\n out y\n buf g: a -> y\nend\ncell c\n in a[9:0]\n out y[9:0]\n"
     " one k[9:0]: a 0 -> y\nend\n",
     "test.gates:2:7: warning: nothing reads input 'b'\n"
     "   in a b\n"
     "        ^\n"},
    {"mixed delays", "",
     "cell c\n in a\n out y\n buf g: a -> n {delay=9ns}\n buf h: n -> y\nend\n",
     "test.gates:5:6: warning: gate 'h' has no delay, other gates have one; it gets 1 ns\n"
     "   buf h: n -> y\n"
     "       ^\n"
     "  hint: give all gates a delay, or none\n"},
    {"units and physical delays", "",
     "cell c\n in a\n out y\n buf g: a -> n {delay=9ns}\n buf h: n -> y {delay=3}\nend\n",
     "test.gates:5:16: error: a delay in units among delays in physical time\n"
     "   buf h: n -> y {delay=3}\n"
     "                 ^\n"
     "  hint: give all gates a unit such as ns\n"},
    {"a delay too long to count", "",
     "cell c\n in a\n out y\n buf g: a -> n {delay=9fs}\n buf h: n -> y {delay=9000000000s}\n"
     "end\n",
     "test.gates:5:16: error: this delay is too long to count in fs\n"
     "   buf h: n -> y {delay=9000000000s}\n"
     "                 ^\n"},
    {"all errors in one go", "c",
     latch + "cell c\n in a\n out y\n kepe k: a -> y\n buf g: b[1] -> a\n keep m: a -> y\n"
     " buf h: y -> a\nend\n",
     "test.gates:10:2: error: unknown gate or cell 'kepe'\n"
     "   kepe k: a -> y\n"
     "   ^\n"
     "  hint: did you mean 'keep'?\n"
     "test.gates:11:17: error: 'g' drives 'a', which is an input of this cell\n"
     "   buf g: b[1] -> a\n"
     "                  ^\n"
     "  hint: only the outside of a cell may drive its inputs\n"
     "test.gates:12:2: error: cell 'keep' has 2 inputs and 2 outputs, but 'm' connects 1 input and 1 output\n"
     "   keep m: a -> y\n"
     "   ^\n"
     "  hint: its pins are s r -> q p\n"
     "test.gates:13:14: error: 'h' drives 'a', which is an input of this cell\n"
     "   buf h: y -> a\n"
     "               ^\n"
     "  hint: only the outside of a cell may drive its inputs\n"},
};
// clang-format on

TEST_CASE("messages about circuits") {
  for (const auto& [title, cell, text, messages] : rows) {
    ElaborateOptions options;
    options.cell = cell;
    const auto loaded = testing::load_text(text, options);
    INFO(title);
    CHECK(loaded.messages == messages);
    const bool has_error = loaded.messages.find("error: ") != std::string::npos;
    CHECK(loaded.circuit.has_value() == !has_error);
  }
}

TEST_CASE("words of the trade lead to the gate, or to how it is made") {
  const auto hint_of = [](const std::string& kind) {
    const auto messages =
        testing::load_text("cell NOT_USED\n out y\n not g: y -> y\nend\ncell Inverter\n in a\n out y\n not g: a -> y\nend\n"
                           "cell c\n in a\n out y\n " + kind + " g: a -> y\nend\n", {.cell = "c"}).messages;
    const auto at = messages.find("hint: ");
    return at == std::string::npos ? messages : messages.substr(at + 6, messages.find('\n', at) - at - 6);
  };
  CHECK(hint_of("inv") == "did you mean 'not'?");
  CHECK(hint_of("INV") == "did you mean 'not'?");
  CHECK(hint_of("buffer") == "did you mean 'buf'?");
  CHECK(hint_of("driver") == "did you mean 'buf'?");
  CHECK(hint_of("tristate") == "did you mean 'bufif1'?");
  CHECK(hint_of("tri") == "did you mean 'bufif1'?");
  CHECK(hint_of("inverter") == "did you mean 'Inverter'?");  // a cell that is there
  CHECK(hint_of("latch").starts_with("a latch is a cell made of gates ('settle help cabin' builds some); "));
  CHECK(hint_of("DFF").starts_with("a flip-flop is a cell made of gates"));
  CHECK(hint_of("jk").starts_with("a flip-flop is a cell made of gates"));
  CHECK(hint_of("mux").starts_with("a multiplexer is a cell made of gates"));
}

TEST_CASE("warnings have the names of their kinds") {
  const auto kinds = [](const std::string& text) {
    testing::MemoryFiles files{{"test.gates", text}};
    Sources sources;
    Diagnostics diagnostics;
    REQUIRE(load_circuit("test.gates", files, {}, sources, diagnostics));
    std::string all;
    for (const auto& diagnostic : diagnostics.all()) all += diagnostic.kind + " ";
    return all;
  };
  CHECK(kinds("cell c\n in a b\n out y\n and g: a n -> y\n not h: a -> m\nend\n") ==
        "unused-input undriven-net unused-output ");
  CHECK(kinds("cell c\n in a\n out train\n not g: a -> tarin\nend\n") == "undriven-net ");
  CHECK(kinds("cell b\n in a\n out y\n not g: a -> y\nend\ncell c\n out y\n b k: _ -> y\nend\n") ==
        "floating-input ");
  CHECK(kinds("cell c\n in a\n out y\n not g: a -> n {delay=9ns}\n not h: n -> y\nend\n") == "mixed-delays ");
  CHECK(kinds("cell c\n in a\n out y\n buf g: a -> y\n pullup h: -> y\nend\n") == "mixed-drivers ");
}

TEST_CASE("the number of warnings about one cell is bounded") {
  std::string text = "cell c\n in a\n out y\n buf g: a -> y\n";
  for (int i = 0; i < 80; ++i) text += " not h" + std::to_string(i) + ": a -> n" + std::to_string(i) + "\n";
  const auto messages = testing::load_text(text + "end\n").messages;
  CHECK(messages.find("nothing reads net 'n49'") != std::string::npos);
  CHECK(messages.find("nothing reads net 'n50'") == std::string::npos);
  CHECK(messages.find("30 more nets of this cell have no driver or no reader") != std::string::npos);
}

TEST_CASE("the number of errors is bounded, and the rest is counted") {
  std::string text = "cell c\n in a\n out y\n";
  for (int i = 0; i < 40; ++i) text += " buf h" + std::to_string(i) + ": y -> a\n";
  const auto messages = testing::load_text(text + "end\n").messages;
  CHECK(messages.find("40 errors, 15 more not shown; --limit-errors shows more\n") != std::string::npos);
}

TEST_CASE("errors in an included cell are told in its own file") {
  testing::MemoryFiles files{{"part.gates", "cell part\n in a\n out y\n buf g: a[1] -> y\nend\n"}};
  const auto loaded =
      testing::load_text("include \"part.gates\"\ncell c\n in a\n out y\n part k: a -> y\nend\n", {}, files);
  CHECK(loaded.messages ==
        "part.gates:4:9: error: 'a' is a single net, not a bus\n"
        "   buf g: a[1] -> y\n"
        "          ^\n");
}

TEST_CASE("an included cell that nobody uses is not the circuit") {
  testing::MemoryFiles files{{"parts.gates", "cell one\n in a\n out y\n buf g: a -> y\nend\ncell two\n in a\n out y\n not g: a -> y\nend\n"}};
  const auto loaded = testing::load_text("include \"parts.gates\"\ncell c\n in a\n out y\n one k: a -> y\nend\n", {}, files);
  REQUIRE(loaded.circuit);
  CHECK(loaded.circuit->cell_name() == "c");
}

TEST_CASE("a text with errors of form gives no circuit, and of the further messages misspelt kinds only") {
  const auto loaded = testing::load_text(
      "cell c\n in a\n out y\n nor g a -> y\n nro h: a -> y\n elsewhere k: a -> w\n buf b: a[9] -> v\nend\n");
  CHECK_FALSE(loaded.circuit);
  CHECK(loaded.messages.find("test.gates:5:2: error: unknown gate or cell 'nro'") != std::string::npos);
  CHECK(loaded.messages.find("did you mean 'nor'?") != std::string::npos);
  CHECK(loaded.messages.find("elsewhere") == std::string::npos);
  CHECK(loaded.messages.find("a[9]") == std::string::npos);
}

}  // namespace
}  // namespace settle
