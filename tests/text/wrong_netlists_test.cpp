// Wrong netlists and everything that is said about them, whole messages.
#include <string>
#include <string_view>

#include "settle/netlist.h"
#include "support/catch.h"
#include "support/memory_files.h"

using namespace settle;

namespace {

struct Row {
  const char* what;
  std::string_view text;
  std::string_view messages;
};

const Row rows[] = {
    {"chips",
     "cell c\n"
     "  chip\n"
     "  chip U1\n"
     "  chip U1 74HC02 1=a\n"
     "  chip U1 74HC02: 1=a 2=b 1=c\n"
     "  chip U2 74HC02: 0=a\n"
     "  chip U8 74HC02: a=1\n"
     "  chip U3 74HC02: 1=\n"
     "  chip U4 74HC02: 1=a[3:0]\n"
     "  chip U5 74HC02: 1=2\n"
     "  chip U6 74HC02: 1=a {part=7402}\n"
     "  chip nor 74HC02: 1=a\n"
     "  chip U7 74HC02: 1=a\n"
     "  nor U7: a b -> q\n"
     "end\n",
     "cabin.gates:2:7: error: the name after 'chip' is missing\n"
     "    chip\n"
     "        ^\n"
     "  hint: for example: chip U1 74HC02: 1=occupied 2=leave 3=clear 7=0 14=1\n"
     "cabin.gates:3:10: error: the part number of chip 'U1' is missing\n"
     "    chip U1\n"
     "           ^\n"
     "  hint: for example: chip U1 74HC02: 1=occupied 2=leave 3=clear 7=0 14=1\n"
     "cabin.gates:4:18: error: expected ':' after the part '74HC02', not '1'\n"
     "    chip U1 74HC02 1=a\n"
     "                   ^\n"
     "  hint: for example: chip U1 74HC02: 1=occupied 2=leave 3=clear 7=0 14=1\n"
     "cabin.gates:5:27: error: pin 1 of chip 'U1' is given twice, first at line 5\n"
     "    chip U1 74HC02: 1=a 2=b 1=c\n"
     "                            ^\n"
     "  hint: wires that meet at one pin are one net: give them one name\n"
     "cabin.gates:6:19: error: '0' is no pin number\n"
     "    chip U2 74HC02: 0=a\n"
     "                    ^\n"
     "  hint: pins are counted from 1\n"
     "cabin.gates:7:19: error: expected a pin number, not 'a'\n"
     "    chip U8 74HC02: a=1\n"
     "                    ^\n"
     "  hint: for example: chip U1 74HC02: 1=occupied 2=leave 3=clear 7=0 14=1\n"
     "cabin.gates:8:21: error: no net after '1='\n"
     "    chip U3 74HC02: 1=\n"
     "                      ^\n"
     "  hint: write '1=NET', or '1=_' for a pin that is not connected\n"
     "cabin.gates:9:22: error: a pin has one wire, but 'a' names several\n"
     "    chip U4 74HC02: 1=a[3:0]\n"
     "                       ^\n"
     "  hint: choose one bit, as in 'a[3]'\n"
     "cabin.gates:10:21: error: '2' is no net\n"
     "    chip U5 74HC02: 1=2\n"
     "                      ^\n"
     "  hint: 0 is the ground, 1 the supply\n"
     "cabin.gates:11:23: error: expected a pin number, not '{'\n"
     "    chip U6 74HC02: 1=a {part=7402}\n"
     "                        ^\n"
     "  hint: a chip has no attributes\n"
     "cabin.gates:12:8: error: 'nor' is a gate kind and cannot be the name of a chip\n"
     "    chip nor 74HC02: 1=a\n"
     "         ^\n"
     "  hint: choose another name, for example 'nor_1'\n"
     "cabin.gates:14:7: error: the name 'U7' is already used at line 13\n"
     "    nor U7: a b -> q\n"
     "        ^\n"
     "  hint: each gate and each cell inside a cell has its own name\n"},
    {"a gate without a name",
      "cell c\n"
      "  nor : a b -> c\n"
      "end\n",
      "cabin.gates:2:7: error: the name after 'nor' is missing\n"
      "    nor : a b -> c\n"
      "        ^\n"
      "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"},
    {"a gate without a name or colon",
      "cell c\n"
      "  nor a b -> c\n"
      "end\n",
      "cabin.gates:2:9: error: expected ':' after the name 'a', not 'b'\n"
      "    nor a b -> c\n"
      "          ^\n"
      "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"},
    {"a missing colon at the line end",
      "cell c\n"
      "  nor keep\n"
      "end\n",
      "cabin.gates:2:11: error: expected ':' after the name 'keep', not the end of the line\n"
      "    nor keep\n"
      "            ^\n"
      "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"},
    {"a kind alone",
      "cell c\n"
      "  nor\n"
      "end\n",
      "cabin.gates:2:6: error: the name after 'nor' is missing\n"
      "    nor\n"
      "       ^\n"
      "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"},
    {"a misspelt end",
      "cell c\n"
      "  nor g: a b -> c\n"
      "edn\n"
      "end\n",
      "cabin.gates:3:1: error: 'edn' is no statement\n"
      "  edn\n"
      "  ^\n"
      "  hint: did you mean 'end'?\n"},
    {"a pin line with another word",
      "cell c\n"
      "  input a b\n"
      "end\n",
      "cabin.gates:2:3: error: 'input' is no statement\n"
      "    input a b\n"
      "    ^\n"
      "  hint: did you mean 'in'?\n"},
    {"a missing arrow",
      "cell c\n"
      "  nor g: a b\n"
      "end\n",
      "cabin.gates:2:13: error: '->' is missing between the inputs and the outputs\n"
      "    nor g: a b\n"
      "              ^\n"
      "  hint: nor NAME: INPUT... -> OUTPUT\n"},
    {"a missing arrow before attributes",
      "cell c\n"
      "  nor g: a b {delay=3}\n"
      "end\n",
      "cabin.gates:2:14: error: '->' is missing between the inputs and the outputs\n"
      "    nor g: a b {delay=3}\n"
      "               ^\n"
      "  hint: nor NAME: INPUT... -> OUTPUT\n"},
    {"two arrows",
      "cell c\n"
      "  nor g: a -> b -> c\n"
      "end\n",
      "cabin.gates:2:17: error: a second '->' in one statement\n"
      "    nor g: a -> b -> c\n"
      "                  ^\n"
      "  hint: write one statement on each line\n"},
    {"an arrow from the keyboard of another trade",
      "cell c\n"
      "  nor g: a b => c\n"
      "end\n",
      "cabin.gates:2:14: error: '=>' cannot be used here\n"
      "    nor g: a b => c\n"
      "               ^\n"
      "  hint: the arrow between inputs and outputs is written '->'\n"},
    {"an arrow sign",
      "cell c\n"
      "  nor g: a b \342\206\222 c\n"
      "end\n",
      "cabin.gates:2:14: error: '\342\206\222' cannot be used here\n"
      "    nor g: a b \342\206\222 c\n"
      "               ^\n"
      "  hint: the arrow between inputs and outputs is written '->'\n"},
    {"half an arrow",
      "cell c\n"
      "  nor g: a b - c\n"
      "end\n",
      "cabin.gates:2:14: error: '-' cannot be used here\n"
      "    nor g: a b - c\n"
      "               ^\n"
      "  hint: the arrow between inputs and outputs is written '->'\n"},
    {"commas",
      "cell c\n"
      "  nor g: a, b -> c\n"
      "end\n",
      "cabin.gates:2:11: error: ',' cannot be used here\n"
      "    nor g: a, b -> c\n"
      "            ^\n"
      "  hint: separate names with blanks\n"},
    {"two statements on a line",
      "cell c\n"
      "  nor g: a b -> c; nor h: c a -> b\n"
      "end\n",
      "cabin.gates:2:18: error: ';' cannot be used here\n"
      "    nor g: a b -> c; nor h: c a -> b\n"
      "                   ^\n"
      "  hint: write one statement on each line\n"},
    {"another language's comment",
      "cell c\n"
      "  nor g: a b -> c // keep\n"
      "end\n",
      "cabin.gates:2:19: error: '/' cannot be used here\n"
      "    nor g: a b -> c // keep\n"
      "                    ^\n"
      "  hint: a comment starts with '#'\n"},
    {"a bang as inverter",
      "cell c\n"
      "  nor g: !a b -> c\n"
      "end\n",
      "cabin.gates:2:10: error: '!' cannot be used here\n"
      "    nor g: !a b -> c\n"
      "           ^\n"
      "  hint: invert a net with a gate: 'not NAME: INPUT -> OUTPUT'\n"},
    {"a path as a net",
      "cell c\n"
      "  nor g: keep.q b -> c\n"
      "end\n",
      "cabin.gates:2:14: error: '.' cannot be used here\n"
      "    nor g: keep.q b -> c\n"
      "               ^\n"
      "  hint: names in a netlist have no dots; use the name inside its own cell\n"},
    {"round brackets",
      "cell c\n"
      "  nor g: a(3) b -> c\n"
      "end\n",
      "cabin.gates:2:11: error: '(' cannot be used here\n"
      "    nor g: a(3) b -> c\n"
      "            ^\n"
      "  hint: bits are written with brackets, as in 'lever[3]'\n"},
    {"a letter outside ASCII",
      "cell c\n"
      "  nor g: gr\303\266\303\237e b -> c\n"
      "end\n",
      "cabin.gates:2:12: error: '\303\266' cannot be used here\n"
      "    nor g: gr\303\266\303\237e b -> c\n"
      "             ^\n"
      "  hint: names are made of A-Z, a-z, 0-9 and '_'\n"},
    {"a no-break blank",
      "cell c\n"
      "  nor g:\302\240a b -> c\n"
      "end\n",
      "cabin.gates:2:9: error: a no-break blank (U+00A0) in the line\n"
      "    nor g:\302\240a b -> c\n"
      "          ^\n"
      "  hint: replace it by an ordinary blank\n"},
    {"a NUL byte",
      std::string_view("cell c\n"
      "  nor g: a \000 b -> c\n"
      "end\n", 31),
      "cabin.gates:2:12: error: control character 0x00 in the text\n"
      "    nor g: a \\x00 b -> c\n"
      "             ^\n"
      "  hint: is this a text file?\n"},
    {"a control character in a comment",
      "cell c\n"
      "  nor g: a b -> c # \007\n"
      "end\n",
      "cabin.gates:2:21: error: control character 0x07 in the text\n"
      "    nor g: a b -> c # \\x07\n"
      "                      ^\n"
      "  hint: delete it in your editor\n"},
    {"a CR inside a line",
      "cell c\n"
      "  nor g: a b\015-> c\n"
      "end\n",
      "cabin.gates:2:13: error: control character 0x0d in the text\n"
      "    nor g: a b\\x0d-> c\n"
      "              ^\n"
      "  hint: lines end with LF or CR LF, never with CR alone\n"},
    {"a byte that is not UTF-8",
      "cell c\n"
      "  # gr\366\337er\n"
      "end\n",
      "cabin.gates:2:7: error: byte 0xf6 is not valid UTF-8\n"
      "    # gr\\xf6\\xdfer\n"
      "        ^\n"
      "  hint: save the file as UTF-8 in your editor\n"},
    {"UTF-16",
      std::string_view("\377\376c\000e\000l\000l\000", 10),
      "cabin.gates:1:1: error: the file is not UTF-8 text; its first two bytes look like UTF-16\n"
      "  \\xff\\xfec\\x00e\\x00l\\x00l\\x00\n"
      "  ^\n"
      "  hint: save it as UTF-8 in your editor\n"},
    {"blanks behind a continuation",
      "cell c\n"
      "  nor g: a b \\  \n"
      "    -> c\n"
      "end\n",
      "cabin.gates:2:14: error: '\\' must be the very last character of a line\n"
      "    nor g: a b \\\n"
      "               ^\n"
      "  hint: delete the blanks behind it\n"},
    {"a comment behind a continuation",
      "cell c\n"
      "  nor g: a b \\ # inputs\n"
      "    -> c\n"
      "end\n",
      "cabin.gates:2:14: error: '\\' must be the very last character of a line\n"
      "    nor g: a b \\ # inputs\n"
      "               ^\n"
      "  hint: a continued line cannot have a comment\n"},
    {"a backslash inside a line",
      "cell c\n"
      "  nor g: a\\b -> c\n"
      "end\n",
      "cabin.gates:2:11: error: '\\' must be the very last character of a line\n"
      "    nor g: a\\b -> c\n"
      "            ^\n"
      "  hint: it joins a line to the next one and has no other use\n"},
    {"a backslash at the end of the file",
      "cell c\n"
      "end\n"
      "\\",
      "cabin.gates:3:1: error: '\\' continues a line, but the file ends here\n"
      "  \\\n"
      "  ^\n"
      "  hint: delete it\n"},
    {"a name that starts with a digit",
      "cell c\n"
      "  nor 2nd: a b -> c\n"
      "end\n",
      "cabin.gates:2:7: error: '2nd' cannot be the name of a gate\n"
      "    nor 2nd: a b -> c\n"
      "        ^\n"
      "  hint: names start with a letter or '_'\n"},
    {"a net that starts with a digit",
      "cell c\n"
      "  nor g: 2a b -> c\n"
      "end\n",
      "cabin.gates:2:10: error: '2a' cannot be the name of a net\n"
      "    nor g: 2a b -> c\n"
      "           ^\n"
      "  hint: names start with a letter or '_'\n"},
    {"a keyword as a gate name",
      "cell c\n"
      "  nor out: a b -> c\n"
      "end\n",
      "cabin.gates:2:7: error: 'out' is a keyword and cannot be the name of a gate\n"
      "    nor out: a b -> c\n"
      "        ^\n"
      "  hint: choose another name, for example 'out_1'\n"},
    {"a gate kind as a net",
      "cell c\n"
      "  nor g: and b -> c\n"
      "end\n",
      "cabin.gates:2:10: error: 'and' is a gate kind and cannot be the name of a net\n"
      "    nor g: and b -> c\n"
      "           ^\n"
      "  hint: choose another name, for example 'and_1'\n"},
    {"a gate kind as a cell",
      "cell nand\n"
      "  in a\n"
      "end\n",
      "cabin.gates:1:6: error: 'nand' is a gate kind and cannot be the name of a cell\n"
      "  cell nand\n"
      "       ^\n"
      "  hint: choose another name, for example 'nand_1'\n"},
    {"an underscore as a name",
      "cell c\n"
      "  nor _: a b -> c\n"
      "end\n",
      "cabin.gates:2:7: error: '_' cannot be the name of a gate\n"
      "    nor _: a b -> c\n"
      "        ^\n"
      "  hint: '_' alone leaves an output open\n"},
    {"an underscore as a kind",
      "cell c\n"
      "  _ g: a b -> c\n"
      "end\n",
      "cabin.gates:2:3: error: '_' is neither a gate kind nor a cell\n"
      "    _ g: a b -> c\n"
      "    ^\n"
      "  hint: KIND NAME: INPUT... -> OUTPUT...\n"},
    {"a cell without a name",
      "cell\n"
      "  in a\n"
      "end\n",
      "cabin.gates:1:5: error: 'cell' needs a name\n"
      "  cell\n"
      "      ^\n"
      "  hint: for example: cell lever_latch\n"},
    {"too much behind a cell",
      "cell lever latch\n"
      "end\n",
      "cabin.gates:1:12: error: 'latch' is too much after the name of the cell\n"
      "  cell lever latch\n"
      "             ^\n"
      "  hint: write one statement on each line\n"},
    {"too much behind end",
      "cell c\n"
      "end c\n",
      "cabin.gates:2:5: error: 'c' is too much after 'end'\n"
      "  end c\n"
      "      ^\n"
      "  hint: write one statement on each line\n"},
    {"a cell defined twice",
      "cell c\n"
      "end\n"
      "\n"
      "cell c\n"
      "end\n",
      "cabin.gates:4:6: error: cell 'c' is already defined at line 1\n"
      "  cell c\n"
      "       ^\n"
      "  hint: give one of the two another name\n"},
    {"a cell inside a cell",
      "cell outer\n"
      "  in a\n"
      "  cell inner\n"
      "  end\n"
      "end\n",
      "cabin.gates:3:3: error: a cell starts inside cell 'outer', which starts at line 1\n"
      "    cell inner\n"
      "    ^\n"
      "  hint: cells cannot stand inside cells; is an 'end' missing above this line?\n"},
    {"a file that ends inside a cell",
      "cell keep\n"
      "  in a\n",
      "cabin.gates:3:1: error: the file ends inside cell 'keep', which starts at line 1\n"
      "  hint: close the cell with 'end'\n"},
    {"end without a cell",
      "end\n",
      "cabin.gates:1:1: error: 'end' without a cell to end\n"
      "  end\n"
      "  ^\n"
      "  hint: each 'end' closes one 'cell NAME' line\n"},
    {"statements outside cells, reported once",
      "nor g: a b -> c\n"
      "nor h: a c -> b\n"
      "cell c\n"
      "end\n"
      "in x\n",
      "cabin.gates:1:1: error: 'nor' stands outside a cell\n"
      "  nor g: a b -> c\n"
      "  ^\n"
      "  hint: start a cell with 'cell NAME' in front of it\n"
      "cabin.gates:5:1: error: 'in' stands outside a cell\n"
      "  in x\n"
      "  ^\n"
      "  hint: start a cell with 'cell NAME' in front of it\n"},
    {"a misspelt cell line",
      "cel c\n",
      "cabin.gates:1:1: error: 'cel' stands outside a cell\n"
      "  cel c\n"
      "  ^\n"
      "  hint: did you mean 'cell'?\n"},
    {"include inside a cell",
      "cell c\n"
      "  include \"a.gates\"\n"
      "end\n",
      "cabin.gates:2:3: error: 'include' stands inside a cell\n"
      "    include \"a.gates\"\n"
      "    ^\n"
      "  hint: move it in front of cell 'c' (line 1)\n"},
    {"include without quotes",
      "include latches.gates\n",
      "cabin.gates:1:9: error: 'include' needs a file name in double quotes, not 'latches'\n"
      "  include latches.gates\n"
      "          ^\n"
      "  hint: for example: include \"latches.gates\"\n"},
    {"include without its closing quote",
      "include \"latches.gates\n",
      "cabin.gates:1:9: error: the closing '\"' is missing\n"
      "  include \"latches.gates\n"
      "          ^\n"
      "  hint: the name ends on the same line: include \"latches.gates\"\n"},
    {"include of nothing",
      "include \"\"\n",
      "cabin.gates:1:9: error: the file name is empty\n"
      "  include \"\"\n"
      "          ^\n"
      "  hint: for example: include \"latches.gates\"\n"},
    {"two names behind include",
      "include \"a.gates\" \"b.gates\"\n",
      "cabin.gates:1:19: error: '\"b.gates\"' is too much after the file name\n"
      "  include \"a.gates\" \"b.gates\"\n"
      "                    ^\n"
      "  hint: write one statement on each line\n"},
    {"a file that is not there",
      "include \"latches.gates\"\n",
      "cabin.gates:1:9: error: cannot read 'latches.gates': no such file\n"
      "  include \"latches.gates\"\n"
      "          ^\n"
      "  hint: the path is relative to the folder of this file\n"},
    {"pins without names",
      "cell c\n"
      "  in\n"
      "  out   # none\n"
      "end\n",
      "cabin.gates:2:5: error: no pin names after 'in'\n"
      "    in\n"
      "      ^\n"
      "  hint: for example: in  lever read\n"
      "cabin.gates:3:9: error: no pin names after 'out'\n"
      "    out   # none\n"
      "          ^\n"
      "  hint: for example: out seen seen_n\n"},
    {"pins with an arrow",
      "cell c\n"
      "  in a -> b\n"
      "end\n",
      "cabin.gates:2:8: error: '->' in a list of pins\n"
      "    in a -> b\n"
      "         ^\n"
      "  hint: 'in' declares pins; write only their names: 'in NAME...'\n"},
    {"a pin declared twice",
      "cell c\n"
      "  in  a b\n"
      "  out q a\n"
      "end\n",
      "cabin.gates:3:9: error: pin 'a' is already declared at line 2\n"
      "    out q a\n"
      "          ^\n"
      "  hint: each pin of a cell has its own name\n"},
    {"a constant as a pin",
      "cell c\n"
      "  in a 1\n"
      "end\n",
      "cabin.gates:2:8: error: '1' cannot be the name of a pin\n"
      "    in a 1\n"
      "         ^\n"
      "  hint: names start with a letter or '_'\n"},
    {"a bus with one end",
      "cell c\n"
      "  in lever[8]\n"
      "end\n",
      "cabin.gates:2:11: error: the range of bus 'lever' needs two ends\n"
      "    in lever[8]\n"
      "            ^\n"
      "  hint: write 'lever[7:0]' for 8 bits\n"},
    {"a bus without numbers",
      "cell c\n"
      "  in lever[n:0]\n"
      "end\n",
      "cabin.gates:2:12: error: expected a bit number in lever[...], not 'n'\n"
      "    in lever[n:0]\n"
      "             ^\n"
      "  hint: a bit is written 'lever[3]', a range 'lever[7:0]'\n"},
    {"a bus with an open bracket",
      "cell c\n"
      "  in lever[7:0 read\n"
      "end\n",
      "cabin.gates:2:16: error: expected ']', not 'read'\n"
      "    in lever[7:0 read\n"
      "                 ^\n"
      "  hint: a bit is written 'lever[3]', a range 'lever[7:0]'\n"},
    {"a bus that is too wide",
      "cell c\n"
      "  in lever[4000000000:0]\n"
      "end\n",
      "cabin.gates:2:11: error: [4000000000:0] is 4000000001 wide; at most 1048576 are possible\n"
      "    in lever[4000000000:0]\n"
      "            ^\n"
      "  hint: --limit-array allows more (now 1048576)\n"},
    {"a bit number that is too large",
      "cell c\n"
      "  nor g: a[99999999999] b -> c\n"
      "end\n",
      "cabin.gates:2:12: error: bit number '99999999999' is too large\n"
      "    nor g: a[99999999999] b -> c\n"
      "             ^\n"
      "  hint: bit numbers go up to 4294967295\n"},
    {"an array with one end",
      "cell c\n"
      "  buf g[8]: a -> c\n"
      "end\n",
      "cabin.gates:2:8: error: the range of array 'g' needs two ends\n"
      "    buf g[8]: a -> c\n"
      "         ^\n"
      "  hint: write 'g[7:0]' for 8 elements\n"},
    {"bits of a constant",
      "cell c\n"
      "  nor g: 0[1] b -> c\n"
      "end\n",
      "cabin.gates:2:11: error: only nets have bits to choose\n"
      "    nor g: 0[1] b -> c\n"
      "            ^\n"
      "  hint: write '0', '1' or '_' alone\n"},
    {"another constant",
      "cell c\n"
      "  nor g: 2 b -> c\n"
      "end\n",
      "cabin.gates:2:10: error: '2' is no constant\n"
      "    nor g: 2 b -> c\n"
      "           ^\n"
      "  hint: the constants are 0 and 1\n"},
    {"a constant as an output",
      "cell c\n"
      "  nor g: a b -> 1\n"
      "end\n",
      "cabin.gates:2:17: error: the constant '1' cannot be an output\n"
      "    nor g: a b -> 1\n"
      "                  ^\n"
      "  hint: write a net, or '_' to leave the output open\n"},
    {"an open input of a gate",
      "cell c\n"
      "  nor g: a _ -> c\n"
      "end\n",
      "cabin.gates:2:12: error: an input of a gate cannot be left open\n"
      "    nor g: a _ -> c\n"
      "             ^\n"
      "  hint: connect it to a net, or to 0 or 1; only outputs may be '_'\n"},
    {"no output",
      "cell c\n"
      "  nor g: a b ->\n"
      "end\n",
      "cabin.gates:2:3: error: this 'nor' gate has no output\n"
      "    nor g: a b ->\n"
      "    ^\n"
      "  hint: write a net behind '->', or '_' to leave it open\n"},
    {"two outputs",
      "cell c\n"
      "  nor g: a b -> c d\n"
      "end\n",
      "cabin.gates:2:19: error: a 'nor' gate has 1 output, but 2 are connected\n"
      "    nor g: a b -> c d\n"
      "                    ^\n"
      "  hint: let the nets behind it share that output, or use one gate for each\n"},
    {"a not with two inputs",
      "cell c\n"
      "  not g: a b -> c\n"
      "end\n",
      "cabin.gates:2:12: error: a 'not' gate has 1 input, but 2 are connected\n"
      "    not g: a b -> c\n"
      "             ^\n"
      "  hint: 'nand' and 'nor' take several inputs\n"},
    {"a buf without inputs",
      "cell c\n"
      "  buf g: -> c\n"
      "end\n",
      "cabin.gates:2:3: error: a 'buf' gate needs 1 input, but none is connected\n"
      "    buf g: -> c\n"
      "    ^\n"},
    {"a nand without inputs",
      "cell c\n"
      "  nand g: -> c\n"
      "end\n",
      "cabin.gates:2:3: error: a 'nand' gate needs at least 1 input, but none is connected\n"
      "    nand g: -> c\n"
      "    ^\n"},
    {"a three-state gate without control",
      "cell c\n"
      "  bufif1 g: a -> c\n"
      "end\n",
      "cabin.gates:2:3: error: a 'bufif1' gate needs 2 inputs, but only 1 is connected\n"
      "    bufif1 g: a -> c\n"
      "    ^\n"
      "  hint: its inputs are data and control, in this order\n"},
    {"a three-state gate with too many inputs",
      "cell c\n"
      "  notif0 g: a b d -> c\n"
      "end\n",
      "cabin.gates:2:17: error: a 'notif0' gate has 2 inputs, but 3 are connected\n"
      "    notif0 g: a b d -> c\n"
      "                  ^\n"
      "  hint: its inputs are data and control, in this order\n"},
    {"a pull with an input",
      "cell c\n"
      "  pullup g: a -> c\n"
      "end\n",
      "cabin.gates:2:13: error: a 'pullup' has no inputs, but 1 is connected\n"
      "    pullup g: a -> c\n"
      "              ^\n"
      "  hint: write 'pullup NAME: -> NET'\n"},
    {"a gate with pin names",
      "cell c\n"
      "  nor g: a=s b=r -> q=c\n"
      "end\n",
      "cabin.gates:2:10: error: the pins of a 'nor' gate have no names\n"
      "    nor g: a=s b=r -> q=c\n"
      "           ^\n"
      "  hint: give the nets by position: INPUT... -> OUTPUT\n"},
    {"positions and names mixed",
      "cell c\n"
      "  block_memory keep: enter=s r -> occupied=q\n"
      "end\n",
      "cabin.gates:2:30: error: connections by position and by name in one statement\n"
      "    block_memory keep: enter=s r -> occupied=q\n"
      "                               ^\n"
      "  hint: write 'PIN=NET' for all of them or for none\n"},
    {"names and positions mixed over the arrow",
      "cell c\n"
      "  block_memory keep: s r -> occupied=q\n"
      "end\n",
      "cabin.gates:2:29: error: connections by position and by name in one statement\n"
      "    block_memory keep: s r -> occupied=q\n"
      "                              ^\n"
      "  hint: write 'PIN=NET' for all of them or for none\n"},
    {"a pin connected twice",
      "cell c\n"
      "  block_memory keep: enter=s enter=r -> occupied=q\n"
      "end\n",
      "cabin.gates:2:30: error: pin 'enter' is connected twice\n"
      "    block_memory keep: enter=s enter=r -> occupied=q\n"
      "                               ^\n"
      "  hint: each pin is named once\n"},
    {"a pin without a net",
      "cell c\n"
      "  block_memory keep: enter= leave=r -> occupied=q\n"
      "end\n",
      "cabin.gates:2:22: error: no net after 'enter='\n"
      "    block_memory keep: enter= leave=r -> occupied=q\n"
      "                       ^\n"
      "  hint: write 'enter=NET', or 'enter=_' to leave the pin open\n"},
    {"a pin connected by bits",
      "cell c\n"
      "  route_register keep: lever[3]=s -> route=q\n"
      "end\n",
      "cabin.gates:2:24: error: pin 'lever' is connected bit by bit\n"
      "    route_register keep: lever[3]=s -> route=q\n"
      "                         ^\n"
      "  hint: connect the whole pin: 'lever=BUS'\n"},
    {"a name used twice",
      "cell c\n"
      "  nor g: a b -> c\n"
      "  nand h: a b -> d\n"
      "  nor g: c d -> e\n"
      "end\n",
      "cabin.gates:4:7: error: the name 'g' is already used at line 2\n"
      "    nor g: c d -> e\n"
      "        ^\n"
      "  hint: each gate and each cell inside a cell has its own name\n"},
    {"an unknown attribute",
      "cell c\n"
      "  nor g: a b -> c {dealy=3}\n"
      "end\n",
      "cabin.gates:2:20: error: unknown attribute 'dealy'\n"
      "    nor g: a b -> c {dealy=3}\n"
      "                     ^\n"
      "  hint: did you mean 'delay'?\n"},
    {"an attribute far from all others",
      "cell c\n"
      "  nor g: a b -> c {colour=red}\n"
      "end\n",
      "cabin.gates:2:20: error: unknown attribute 'colour'\n"
      "    nor g: a b -> c {colour=red}\n"
      "                     ^\n"
      "  hint: the attributes are delay, rise, fall, part and place\n"},
    {"an attribute twice",
      "cell c\n"
      "  nor g: a b -> c {delay=3 delay=4}\n"
      "end\n",
      "cabin.gates:2:28: error: 'delay' is given twice\n"
      "    nor g: a b -> c {delay=3 delay=4}\n"
      "                             ^\n"},
    {"an attribute without a value",
      "cell c\n"
      "  nor g: a b -> c {part= place=U1.1}\n"
      "end\n",
      "cabin.gates:2:20: error: no value after 'part='\n"
      "    nor g: a b -> c {part= place=U1.1}\n"
      "                     ^\n"
      "  hint: for example: part=74HC02\n"},
    {"an attribute without a sign",
      "cell c\n"
      "  nor g: a b -> c {delay 3}\n"
      "end\n",
      "cabin.gates:2:26: error: expected '=' after 'delay', not '3'\n"
      "    nor g: a b -> c {delay 3}\n"
      "                           ^\n"},
    {"an attribute list left open",
      "cell c\n"
      "  nor g: a b -> c {delay=3\n"
      "end\n",
      "cabin.gates:2:27: error: the closing '}' is missing on this line\n"
      "    nor g: a b -> c {delay=3\n"
      "                            ^\n"},
    {"an attribute list left open before a comment",
      "cell c\n"
      "  nor g: a b -> c {  # slow\n"
      "end\n",
      "cabin.gates:2:20: error: the closing '}' is missing on this line\n"
      "    nor g: a b -> c {  # slow\n"
      "                     ^\n"},
    {"words behind the attributes",
      "cell c\n"
      "  nor g: a b -> c {delay=3} d\n"
      "end\n",
      "cabin.gates:2:29: error: expected an output or the end of the line, not 'd'\n"
      "    nor g: a b -> c {delay=3} d\n"
      "                              ^\n"},
    {"a delay of nothing",
      "cell c\n"
      "  nor g: a b -> c {delay=0}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '0': a gate has a delay of at least 1\n"
      "    nor g: a b -> c {delay=0}\n"
      "                           ^\n"},
    {"a delay that is no number",
      "cell c\n"
      "  nor g: a b -> c {delay=fast}\n"
      "end\n",
      "cabin.gates:2:26: error: delay 'fast': it is not a whole number\n"
      "    nor g: a b -> c {delay=fast}\n"
      "                           ^\n"
      "  hint: for example: delay=3, delay=9ns, delay=2..3..5\n"},
    {"a delay that is too large",
      "cell c\n"
      "  nor g: a b -> c {delay=99999999999999999999}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '99999999999999999999': the number is too large\n"
      "    nor g: a b -> c {delay=99999999999999999999}\n"
      "                           ^\n"},
    {"a delay that is too large in the finer unit",
      "cell c\n"
      "  nor g: a b -> c {rise=99999999s fall=1fs}\n"
      "end\n",
      "cabin.gates:2:25: error: rise '99999999s': the number is too large\n"
      "    nor g: a b -> c {rise=99999999s fall=1fs}\n"
      "                          ^\n"},
    {"a fraction",
      "cell c\n"
      "  nor g: a b -> c {delay=1.5ns}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '1.5ns': delays are whole numbers\n"
      "    nor g: a b -> c {delay=1.5ns}\n"
      "                           ^\n"
      "  hint: use a finer unit, for example 1500ps for 1.5ns\n"},
    {"an unknown unit",
      "cell c\n"
      "  nor g: a b -> c {delay=9nn}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '9nn': 'nn' is no unit of time\n"
      "    nor g: a b -> c {delay=9nn}\n"
      "                           ^\n"
      "  hint: the units are fs, ps, ns, us, ms and s\n"},
    {"a unit apart from its number",
      "cell c\n"
      "  nor g: a b -> c {delay=9 ns}\n"
      "end\n",
      "cabin.gates:2:28: error: 'ns' stands alone\n"
      "    nor g: a b -> c {delay=9 ns}\n"
      "                             ^\n"
      "  hint: write the unit directly behind its number, as in 9ns\n"},
    {"two numbers in a delay",
      "cell c\n"
      "  nor g: a b -> c {delay=2..5}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '2..5': it has two numbers\n"
      "    nor g: a b -> c {delay=2..5}\n"
      "                           ^\n"
      "  hint: write one number, or min..typical..max\n"},
    {"four numbers in a delay",
      "cell c\n"
      "  nor g: a b -> c {delay=2..3..4..5}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '2..3..4..5': it has more than three numbers\n"
      "    nor g: a b -> c {delay=2..3..4..5}\n"
      "                           ^\n"
      "  hint: write min..typical..max\n"},
    {"a delay that falls",
      "cell c\n"
      "  nor g: a b -> c {delay=5..3..2}\n"
      "end\n",
      "cabin.gates:2:26: error: delay '5..3..2': the three numbers must not fall\n"
      "    nor g: a b -> c {delay=5..3..2}\n"
      "                           ^\n"
      "  hint: write min..typical..max\n"},
    {"units on some numbers",
      "cell c\n"
      "  nor g: a b -> c {rise=4ns fall=6}\n"
      "end\n",
      "cabin.gates:2:25: error: rise '4ns': some numbers have a unit of time and some have none\n"
      "    nor g: a b -> c {rise=4ns fall=6}\n"
      "                          ^\n"
      "  hint: give all of them a unit, or none\n"},
    {"rise without fall",
      "cell c\n"
      "  nor g: a b -> c {rise=4}\n"
      "end\n",
      "cabin.gates:2:25: error: 'rise' without 'fall'\n"
      "    nor g: a b -> c {rise=4}\n"
      "                          ^\n"
      "  hint: add 'fall=...', or write 'delay=4' for both edges\n"},
    {"fall without rise",
      "cell c\n"
      "  nor g: a b -> c {fall=2..3..4ns}\n"
      "end\n",
      "cabin.gates:2:25: error: 'fall' without 'rise'\n"
      "    nor g: a b -> c {fall=2..3..4ns}\n"
      "                          ^\n"
      "  hint: add 'rise=...', or write 'delay=2..3..4ns' for both edges\n"},
    {"delay beside rise and fall",
      "cell c\n"
      "  nor g: a b -> c {delay=4 rise=4 fall=6}\n"
      "end\n",
      "cabin.gates:2:33: error: 'delay' and 'rise' or 'fall' in one statement\n"
      "    nor g: a b -> c {delay=4 rise=4 fall=6}\n"
      "                                  ^\n"
      "  hint: 'delay' is for both edges; 'rise' and 'fall' are for one each\n"},
    {"a delay on a pull",
      "cell c\n"
      "  pullup g: -> c {delay=4}\n"
      "end\n",
      "cabin.gates:2:25: error: a 'pullup' has no delay\n"
      "    pullup g: -> c {delay=4}\n"
      "                          ^\n"
      "  hint: it holds its net at one level all the time\n"},
    {"a delay on a cell",
      "cell c\n"
      "  block_memory keep: s r -> q _ {delay=4}\n"
      "end\n",
      "cabin.gates:2:40: error: a cell has no delay of its own\n"
      "    block_memory keep: s r -> q _ {delay=4}\n"
      "                                         ^\n"
      "  hint: give delays to the gates inside the cell\n"},
    {"require without words",
      "cell c\n"
      "  require   # what?\n"
      "end\n",
      "cabin.gates:2:3: error: 'require' says nothing\n"
      "    require   # what?\n"
      "    ^\n"
      "  hint: write what the cell must fulfil behind it\n"},
    {"a line that starts with a sign",
      "cell c\n"
      "  -> c\n"
      "end\n",
      "cabin.gates:2:3: error: a line starts with a word, not with '->'\n"
      "    -> c\n"
      "    ^\n"
      "  hint: a statement is 'KIND NAME: INPUT... -> OUTPUT...'\n"},
    {"a line that starts with a number",
      "cell c\n"
      "  74 g: a -> c\n"
      "end\n",
      "cabin.gates:2:3: error: a line starts with a word, not with '74'\n"
      "    74 g: a -> c\n"
      "    ^\n"
      "  hint: a statement is 'KIND NAME: INPUT... -> OUTPUT...'\n"},
    {"several errors in one file",
      "cell c\n"
      "  nor : a b -> c\n"
      "  nor g: a, b -> c\n"
      "  nor h: a b -> d\n"
      "  nor h: a b -> e\n"
      "end\n",
      "cabin.gates:2:7: error: the name after 'nor' is missing\n"
      "    nor : a b -> c\n"
      "        ^\n"
      "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"
      "cabin.gates:3:11: error: ',' cannot be used here\n"
      "    nor g: a, b -> c\n"
      "            ^\n"
      "  hint: separate names with blanks\n"
      "cabin.gates:5:7: error: the name 'h' is already used at line 4\n"
      "    nor h: a b -> e\n"
      "        ^\n"
      "  hint: each gate and each cell inside a cell has its own name\n"},
};

}  // namespace

TEST_CASE("each wrong netlist gets its message") {
  for (const Row& row : rows) {
    testing::MemoryFiles files{{"cabin.gates", std::string(row.text)}};
    Sources sources;
    Diagnostics diagnostics;
    parse_netlist("cabin.gates", files, sources, diagnostics);
    INFO(row.what);
    CHECK(render(diagnostics, sources) == row.messages);
  }
}

TEST_CASE("CR LF and a byte order mark change no message of a wrong netlist") {
  for (const Row& row : rows) {
    if (row.text.starts_with("\xff")) continue;
    std::string text = "\xef\xbb\xbf";
    for (const char c : row.text) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
    testing::MemoryFiles files{{"cabin.gates", text}};
    Sources sources;
    Diagnostics diagnostics;
    parse_netlist("cabin.gates", files, sources, diagnostics);
    INFO(row.what);
    CHECK(render(diagnostics, sources) == row.messages);
  }
}
