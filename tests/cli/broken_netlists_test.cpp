// Netlists of the signal cabin, each with one mistake of a beginner: the message alone must say what to mend.
#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

const std::string cabin_memory =
    "cell block_memory\n"
    "  in  enter leave\n"
    "  out occupied clear\n"
    "  nor hold_a: leave clear -> occupied\n"
    "  nor hold_b: enter occupied -> clear\n"
    "end\n";
const std::string cabin_latch =
    "cell lever_latch\n"
    "  in  lever read\n"
    "  out seen seen_n\n"
    "  nor invert: lever lever -> lever_n\n"
    "  and gate_s: lever read -> s\n"
    "  and gate_r: lever_n read -> r\n"
    "  block_memory keep: s r -> seen seen_n\n"
    "end\n";

/// The text with its first `what` as `instead`.
std::string with_mistake(std::string text, const std::string& what, const std::string& instead) {
  const auto at = text.find(what);
  REQUIRE(at != std::string::npos);
  return text.replace(at, what.size(), instead);
}

struct BrokenNetlist {
  const char* mistake;
  std::string text;
  const char* messages;
};

}  // namespace

TEST_CASE("Ten broken netlists are mended from the message alone") {
  const BrokenNetlist rows[] = {
      {"a misspelt net", with_mistake(cabin_memory, "leave clear ->", "leave claer ->"),
       "x.gates:4:21: warning: nothing drives net 'claer'\n"
       "    nor hold_a: leave claer -> occupied\n"
       "                      ^\n"
       "  hint: did you mean 'clear'?\n"},
      {"a misspelt gate", with_mistake(cabin_memory, "nor hold_b", "nro hold_b"),
       "x.gates:5:3: error: unknown gate or cell 'nro'\n"
       "    nro hold_b: enter occupied -> clear\n"
       "    ^\n"
       "  hint: did you mean 'nor'?\n"},
      {"no arrow", with_mistake(cabin_memory, "occupied -> clear", "occupied clear"),
       "x.gates:5:35: error: '->' is missing between the inputs and the outputs\n"
       "    nor hold_b: enter occupied clear\n"
       "                                    ^\n"
       "  hint: nor NAME: INPUT... -> OUTPUT\n"},
      {"no colon", with_mistake(cabin_memory, "hold_a:", "hold_a"),
       "x.gates:4:14: error: expected ':' after the name 'hold_a', not 'leave'\n"
       "    nor hold_a leave clear -> occupied\n"
       "               ^\n"
       "  hint: every gate has a name: nor NAME: INPUT... -> OUTPUT\n"},
      {"commas", with_mistake(cabin_memory, "leave clear ->", "leave, clear ->"),
       "x.gates:4:20: error: ',' cannot be used here\n"
       "    nor hold_a: leave, clear -> occupied\n"
       "                     ^\n"
       "  hint: separate names with blanks\n"},
      {"two cells run together", with_mistake(cabin_memory, "end\n", "") + cabin_latch,
       "x.gates:6:1: error: a cell starts inside cell 'block_memory', which starts at line 1\n"
       "  cell lever_latch\n"
       "  ^\n"
       "  hint: cells cannot stand inside cells; is an 'end' missing above this line?\n"},
      {"two outputs on one net", with_mistake(cabin_memory, "-> clear", "-> occupied"),
       "x.gates:3:16: warning: nothing drives output 'clear'\n"
       "    out occupied clear\n"
       "                 ^\n"
       "  hint: end a gate with '-> clear'\n"
       "x.gates:5:7: error: contention: gates 'hold_a' (x.gates:4) and 'hold_b' both drive net 'occupied'\n"
       "    nor hold_b: enter occupied -> occupied\n"
       "        ^\n"
       "  hint: only three-state and pull gates can share a net; nothing drives 'clear': was one of them meant for it?\n"},
      {"an input as output", with_mistake(cabin_memory, "-> clear", "-> leave"),
       "x.gates:5:33: error: 'hold_b' drives 'leave', which is an input of this cell\n"
       "    nor hold_b: enter occupied -> leave\n"
       "                                  ^\n"
       "  hint: only the outside of a cell may drive its inputs\n"},
      {"a pin forgotten", cabin_memory + with_mistake(cabin_latch, "keep: s r ->", "keep: s ->"),
       "x.gates:13:3: error: cell 'block_memory' has 2 inputs and 2 outputs, but 'keep' connects 1 input and 2 outputs\n"
       "    block_memory keep: s -> seen seen_n\n"
       "    ^\n"
       "  hint: its pins are enter leave -> occupied clear\n"},
      {"an include forgotten", cabin_latch,
       "x.gates:7:3: error: unknown gate or cell 'block_memory'\n"
       "    block_memory keep: s r -> seen seen_n\n"
       "    ^\n"
       "  hint: a cell of another file needs a line: include \"FILE\"\n"},
  };
  const ScratchFolder folder;
  for (const BrokenNetlist& row : rows) {
    INFO(row.mistake << "\n" << row.text);
    folder.put("x.gates", row.text);
    CHECK(run_shell("settle table x.gates 2>&1 > out.txt", folder.path().string()).output == row.messages);
  }
}
