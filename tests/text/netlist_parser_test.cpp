#include <string>
#include <utility>

#include "settle/netlist.h"
#include "support/catch.h"
#include "support/memory_files.h"
#include "support/netlist_dump.h"

using namespace settle;

namespace {

/// The tree of a netlist, and what was said about it in front.
std::string parsed(testing::MemoryFiles files, const ParseLimits& limits = {}) {
  Sources sources;
  Diagnostics diagnostics;
  const Netlist netlist = parse_netlist("cabin.gates", files, sources, diagnostics, limits);
  return render(diagnostics, sources) + testing::dump(netlist);
}

std::string parsed(std::string text) { return parsed(testing::MemoryFiles{{"cabin.gates", std::move(text)}}); }

std::string statement(const std::string& line) {
  const std::string all = parsed("cell c\n" + line + "\nend\n");
  const std::string head = "cell c(->)\n  ";
  if (!all.starts_with(head)) return all;
  return all.substr(head.size(), all.size() - head.size() - 1);
}

}  // namespace

TEST_CASE("a whole netlist becomes a tree") {
  CHECK(parsed("# the signal cabin\n"
               "cell block_memory                     # a cell starts ...\n"
               "  in  enter leave\n"
               "  out occupied clear\n"
               "\n"
               "  nor hold_a: leave clear    -> occupied\n"
               "  nor hold_b: enter occupied -> clear\n"
               "end\n"
               "cell route_register\n"
               "  lever_latch bit[7:0]: lever[7:0] read -> route[7:0] _\n"
               "  in  lever[7:0] read\n"
               "  out route[7:0]\n"
               "  in  spare\n"
               "end") ==
        "cell block_memory(enter leave -> occupied clear)\n"
        "  nor* hold_a: leave clear -> occupied\n"
        "  nor* hold_b: enter occupied -> clear\n"
        "cell route_register(lever[7:0] read spare -> route[7:0])\n"
        "  lever_latch bit[7:0]: lever[7:0] read -> route[7:0] _\n");
}

TEST_CASE("connections") {
  CHECK(statement("nor g:a b->c") == "nor* g: a b -> c");
  CHECK(statement("block_memory keep: enter=s leave=0 -> occupied=_ clear=q[3]") ==
        "block_memory keep: enter=s leave=0 -> occupied=_ clear=q[3]");
  CHECK(statement("nand g: 0 1 a[0] b[2:5] -> _") == "nand* g: 0 1 a[0] b[2:5] -> _");
  CHECK(statement("pullup up: -> bus") == "pullup* up: -> bus");
  CHECK(statement("ring r: -> q") == "ring r: -> q");
  CHECK(statement("lamp l: q ->") == "lamp l: q ->");
  CHECK(statement("half keep: s _ -> q") == "half keep: s _ -> q");
  CHECK(statement("bufif1 b[1:0]: a[1:0] en -> y[1:0]") == "bufif1* b[1:0]: a[1:0] en -> y[1:0]");
  // Nets and gates have names of their own; case counts.
  CHECK(statement("nor q: Nor q -> q") == "nor* q: Nor q -> q");
}

TEST_CASE("every built-in kind is known") {
  for (const char* kind : {"and", "nand", "or", "nor", "xor", "xnor"}) {
    CHECK(statement(std::string(kind) + " g: a b c d e -> y") == std::string(kind) + "* g: a b c d e -> y");
    CHECK(statement(std::string(kind) + " g: a -> y") == std::string(kind) + "* g: a -> y");
  }
  for (const char* kind : {"buf", "not"}) {
    CHECK(statement(std::string(kind) + " g: a -> y") == std::string(kind) + "* g: a -> y");
  }
  for (const char* kind : {"bufif0", "bufif1", "notif0", "notif1"}) {
    CHECK(statement(std::string(kind) + " g: a en -> y") == std::string(kind) + "* g: a en -> y");
  }
}

TEST_CASE("lines may be continued and end in LF or CR LF") {
  CHECK(statement("nor g: a \\\n  b \\\r\n -> c  # hold \\") == "nor* g: a b -> c");
  CHECK(parsed("\xef\xbb\xbf"
               "cell c\r\n in a\r\n out q\r\n buf g: a -> q\r\nend\r\n") == "cell c(a -> q)\n  buf* g: a -> q\n");
  CHECK(statement("nor g: a b -> c # gr\xc3\xb6\xc3\x9f""er") == "nor* g: a b -> c");
}

TEST_CASE("attributes") {
  CHECK(statement("nor g: a b -> c {delay=3}") == "nor* g: a b -> c {rise=3..3..3 fall=3..3..3}");
  CHECK(statement("nor g: a b -> c {rise=4 fall=6}") == "nor* g: a b -> c {rise=4..4..4 fall=6..6..6}");
  CHECK(statement("nor g: a b -> c {delay=2..3..5}") == "nor* g: a b -> c {rise=2..3..5 fall=2..3..5}");
  CHECK(statement("nor g: a b -> c {delay=9ns}") == "nor* g: a b -> c {rise=9..9..9 fall=9..9..9ns}");
  CHECK(statement("nor g: a b -> c {delay=2..3..5us}") == "nor* g: a b -> c {rise=2..3..5 fall=2..3..5us}");
  CHECK(statement("nor g: a b -> c {rise=900ps..1ns..2ns fall=1ns}") ==
        "nor* g: a b -> c {rise=900..1000..2000 fall=1000..1000..1000ps}");
  CHECK(statement("nor g: a b -> c { place=U1.2  part = 74HC02 }") == "nor* g: a b -> c { part=74HC02 place=U1.2}");
  CHECK(statement("nor g: a b -> c {delay=18446744073709551615}") ==
        "nor* g: a b -> c {rise=18446744073709551615..18446744073709551615..18446744073709551615 "
        "fall=18446744073709551615..18446744073709551615..18446744073709551615}");
  CHECK(statement("block_memory keep: s r -> q _ {part=74HC279}") == "block_memory keep: s r -> q _ { part=74HC279}");
  CHECK(statement("nor g: a b -> c {}") == "nor* g: a b -> c");
}

TEST_CASE("require keeps its words") {
  CHECK(parsed("cell a\nend\ncell c\n  require   hold q >= 2 ns \\\n for all  # comment\nend\n") ==
        "cell a(->)\ncell c(->)\n  require hold q >= 2 ns   for all\n");
}

TEST_CASE("chips keep their pins") {
  const std::string text =
      "cell c\n  in a[1:0]\n  out q\n"
      "  chip U1 74HC02: 1=q 2 = a[1] 3=a[0] \\\n    4=_ 7=0 14=1  # nor\n"
      "  chip U2 CD4001BE: 14=1\n  nor u: a[1] a[0] -> q\nend\n";
  CHECK(parsed(text) ==
        "cell c(a[1:0] -> q)\n  nor* u: a[1] a[0] -> q\n"
        "  chip U1 74HC02: 1=q 2=a[1] 3=a[0] 4=_ 7=0 14=1\n  chip U2 CD4001BE: 14=1\n");
  CHECK(parsed("cell c\n  chip U1 7400:\nend\n") == "cell c(->)\n  chip U1 7400:\n");
}

TEST_CASE("included files come first and are read once") {
  testing::MemoryFiles files{{"yard/cabin.gates", "include \"a.gates\"\ninclude \"../parts/b.gates\"\ncell top\nend\n"},
                             {"yard/a.gates", "include \"./../parts/latch.gates\" # first\ncell a\nend\n"},
                             {"yard/../parts/b.gates", "include \"latch.gates\"\ncell b\nend"},
                             {"yard/./../parts/latch.gates", "cell latch\nend\n"},
                             {"yard/../parts/latch.gates", "cell latch\nend\n"}};
  Sources sources;
  Diagnostics diagnostics;
  const Netlist netlist = parse_netlist("yard/cabin.gates", files, sources, diagnostics);
  CHECK(render(diagnostics, sources) == "");
  CHECK(testing::dump(netlist) == "cell latch(->)\ncell a(->)\ncell b(->)\ncell top(->)\n");
  CHECK(files.reads().size() == 4);
  CHECK(netlist.find_cell(netlist.symbols->find("b")) == 2);
  CHECK(netlist.find_cell(no_symbol) == -1);
  CHECK(sources.path(netlist.cells[2].place.file) == "yard/../parts/b.gates");
  CHECK(sources.locate(netlist.cells[2].place).line == 2);
}

TEST_CASE("messages about several files") {
  CHECK(parsed(testing::MemoryFiles{{"cabin.gates", "include \"a.gates\"\n"},
                                    {"a.gates", "include \"b.gates\"\n"},
                                    {"b.gates", "\ninclude \"./a.gates\"\n"}}) ==
        "b.gates:2:9: error: this include is a cycle: a.gates -> b.gates -> a.gates\n"
        "  include \"./a.gates\"\n"
        "          ^\n"
        "  hint: take the cells that both files need into a third file\n");
  CHECK(parsed(testing::MemoryFiles{{"cabin.gates", "include \"old/lib.v\"\n"}}) ==
        "cabin.gates:1:9: error: only files in this language can be included\n"
        "  include \"old/lib.v\"\n"
        "          ^\n"
        "  hint: 'settle convert old/lib.v -o old/lib.gates' writes one; include \"old/lib.gates\"\n");
  CHECK(parsed(testing::MemoryFiles{{"cabin.gates", "include \"cabin.gates\"\n"}}) ==
        "cabin.gates:1:9: error: this include is a cycle: cabin.gates -> cabin.gates\n"
        "  include \"cabin.gates\"\n"
        "          ^\n"
        "  hint: take the cells that both files need into a third file\n");
  CHECK(parsed(testing::MemoryFiles{{"cabin.gates", "include \"a.gates\"\ncell keep\nend\n"},
                                    {"a.gates", "cell keep\nend\n"}}) ==
        "cabin.gates:2:6: error: cell 'keep' is already defined at a.gates, line 1\n"
        "  cell keep\n"
        "       ^\n"
        "  hint: give one of the two another name\n"
        "cell keep(->)\ncell keep(->)\n");
  CHECK(parsed(testing::MemoryFiles{{"cabin.gates", "include \"a.gates\"\ncell top\nend\n"},
                                    {"a.gates", "cell keep\n"}}) ==
        "a.gates:2:1: error: the file ends inside cell 'keep', which starts at line 1\n"
        "  hint: close the cell with 'end'\n"
        "cell keep(->)\ncell top(->)\n");
  CHECK(parsed(testing::MemoryFiles{}) == "settle: error: cannot read 'cabin.gates': no such file\n");
}

TEST_CASE("the depth of includes is limited") {
  testing::MemoryFiles files;
  files.put("cabin.gates", "include \"1.gates\"\n");
  files.put("1.gates", "include \"2.gates\"\n");
  files.put("2.gates", "cell c\nend\n");
  ParseLimits limits;
  limits.include_depth = 3;
  CHECK(parsed(files, limits) == "cell c(->)\n");
  limits.include_depth = 2;
  CHECK(parsed(files, limits) ==
        "1.gates:1:9: error: includes are nested more than 2 files deep\n"
        "  include \"2.gates\"\n"
        "          ^\n"
        "  hint: --limit-depth allows more (now 2)\n");
}

TEST_CASE("names may be used again in another cell") {
  CHECK(parsed("cell a\n in p\n nor g: p p -> q\nend\ncell b\n in p\n nor g: p p -> q\nend\n") ==
        "cell a(p ->)\n  nor* g: p p -> q\ncell b(p ->)\n  nor* g: p p -> q\n");
}

TEST_CASE("a wrong statement leaves nothing behind") {
  CHECK(parsed("cell c\n  k g: a=x[1] b=y[2] b=z -> q=q\n  k h: a=x[1] b=y[2] -> q=q\nend\n") ==
        "cabin.gates:2:22: error: pin 'b' is connected twice\n"
        "    k g: a=x[1] b=y[2] b=z -> q=q\n"
        "                       ^\n"
        "  hint: each pin is named once\n"
        "cell c(->)\n  k h: a=x[1] b=y[2] -> q=q\n");
}

TEST_CASE("errors are bounded") {
  std::string text = "cell c\n";
  for (int i = 0; i < 100; ++i) text += "  nor : a b -> c\n";
  testing::MemoryFiles files{{"cabin.gates", text + "end\n"}};
  Sources sources;
  Diagnostics diagnostics(10);
  parse_netlist("cabin.gates", files, sources, diagnostics);
  CHECK(diagnostics.all().size() == 10);
  CHECK(diagnostics.is_full());
}

TEST_CASE("every beginning of a netlist is parsed without harm") {
  const std::string text =
      "include \"a.gates\"\ncell c\n in lever[7:0] read\n out q\n"
      " latch bit[7:0]: d=lever[7:0] read=read -> q=q \\\n {part=74HC02 place=U1.2}\n"
      " nor g: a 1 -> _ {rise=4ns fall=2..3..5ns}\n require q # x\nend\n";
  const std::size_t bare = text.find(" {rise");        // the second statement is complete here,
  const std::size_t full = text.find("\n require");    // is not while its attributes come, and is again
  for (std::size_t length = 0; length <= text.size(); ++length) {
    testing::MemoryFiles files{{"cabin.gates", text.substr(0, length)}, {"a.gates", ""}};
    Sources sources;
    Diagnostics diagnostics;
    const Netlist netlist = parse_netlist("cabin.gates", files, sources, diagnostics);
    INFO(length);
    CHECK(netlist.cells.size() <= 1);
    CHECK((netlist.statements.size() == 2) == (length == bare || length == bare + 1 || length >= full));
    CHECK(diagnostics.has_errors() == (length != 0 && length != 17 && length != 18 && length + 1 < text.size()));
  }
}

TEST_CASE("reserved words") {
  for (const char* word : {"cell", "end", "in", "include", "out", "require", "chip", "nor", "bufif0", "pulldown"}) {
    CHECK(is_reserved(word));
  }
  for (const char* word : {"", "_", "Nor", "cells", "delay", "x"}) CHECK(!is_reserved(word));
}
