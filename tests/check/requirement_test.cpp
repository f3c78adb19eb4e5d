// `require` lines: their words, and what is proved of them.
#include "settle/requirement.h"

#include "check/check_texts.h"
#include "settle/elaborate.h"
#include "support/catch.h"
#include "support/circuit_text.h"

using namespace settle;
using namespace settle::testing;

namespace {

const std::string head = "cell c\n  in s r d[1:0]\n  out q\n  nor a: r qn -> q\n  nor b: s q -> qn\n";

std::string messages_of(const std::string& demand) {
  MemoryFiles files{{"c.gates", head + "  require " + demand + "\nend\n"}};
  Sources sources;
  Diagnostics diagnostics;
  const Netlist netlist = parse_netlist("c.gates", files, sources, diagnostics);
  REQUIRE_FALSE(diagnostics.has_errors());
  const auto demands = parse_requirements(netlist, sources, diagnostics);
  CHECK(demands.size() == (diagnostics.has_errors() ? 0 : 1));
  return render(diagnostics, sources);
}

/// "holds", "broken: why" or "unjudged: why".
std::string judged(const std::string& netlist, const RequirementLimits& limits = {}) {
  MemoryFiles files{{"c.gates", netlist}};
  Sources sources;
  Diagnostics diagnostics;
  const Netlist parsed = parse_netlist("c.gates", files, sources, diagnostics);
  const auto demands = parse_requirements(parsed, sources, diagnostics);
  INFO(render(diagnostics, sources));
  REQUIRE(demands.size() == 1);
  ElaborateOptions options;
  options.cell = parsed.symbols->text(parsed.cells[demands[0].cell].name);
  const auto built = elaborate(parsed, options, sources, diagnostics);
  REQUIRE(built);
  const RequirementOutcome outcome = RequirementJudge(*built, limits).judge(demands[0]);
  using Answer = RequirementOutcome::Answer;
  if (outcome.answer == Answer::holds) return "holds";
  return (outcome.answer == Answer::broken ? "broken: " : "unjudged: ") + outcome.message;
}

std::string of_memory(const std::string& demand) {
  return judged("cell m\n in s r\n out q qn\n nor a: r qn -> q\n nor b: s q -> qn\n require " + demand +
                "\nend\n");
}

std::string latch(const std::string& demand) {
  return "cell m\n in s r\n out q qn\n nor a: r qn -> q\n nor b: s q -> qn\nend\n"
         "cell latch\n in d g\n out q qn\n nor i: d d -> dn\n and gs: d g -> s\n and gr: dn g -> r\n"
         " m keep: s r -> q qn\n require " +
         demand + "\nend\n";
}

}  // namespace

TEST_CASE("Demands that are understood bring no message") {
  for (const char* demand :
       {"stores 1", "stores 0", "no-memory", "kind \"transparent latch\"", "settles",
        "settles whatever delays", "power-up known after \"r=1; r=0\"",
        "power-up known after \"s=0 d=0b10 ; r=1\"", "power-up known after \"d[0]=1\""}) {
    INFO(demand);
    CHECK(messages_of(demand) == "");
  }
}

TEST_CASE("Wrong words of a demand are shown with the likely right ones") {
  struct Row {
    const char* demand;
    const char* message;  // from the column on
  };
  const std::string forms =
      "demands are: stores N, no-memory, kind \"NAME\", settles, settles whatever delays, "
      "power-up known after \"NET=VALUE; ...\"";
  const Row rows[] = {
      {"store 1",
       "11: error: 'store' is no demand on a cell\n    require store 1\n            ^\n"
       "  hint: did you mean 'stores'?\n"},
      {"stores", "17: error: a number of bits is missing\n    require stores\n                  ^\n"},
      {"stores one",
       "18: error: 'one' is not a number of bits\n    require stores one\n                   ^\n"
       "  hint: as in: require stores 1\n"},
      {"stores 1 bit", "20: error: unexpected 'bit' at the end of a demand\n"},
      {"kind latch", "16: error: the name of a kind must be in quotes\n"},
      {"kind \"latch", "16: error: the quotes are not closed\n"},
      {"settles always", "19: error: 'always' stands where 'whatever' is wanted\n"},
      {"power-up known after \"x=1\"", "33: error: cell 'c' has no input 'x'\n"},
      {"power-up known after \"s=1; r=x\"", "40: error: a step puts inputs at 0 or 1\n"},
      {"power-up known after \" \"", "32: error: there is nothing between the quotes\n"},
      {"power-up known after \"s 1\"", "error: "},
      {"beauty", "11: error: 'beauty' is no demand on a cell\n"},
  };
  for (const Row& row : rows) {
    INFO(row.demand);
    const std::string message = messages_of(row.demand);
    CAPTURE(message);
    CHECK(message.find("c.gates:6:") == 0);
    CHECK(message.find(row.message) != std::string::npos);
  }
  CHECK(messages_of("beauty").find(forms) != std::string::npos);
}

TEST_CASE("stores and no-memory") {
  CHECK(of_memory("stores 1") == "holds");
  CHECK(of_memory("stores 2") == "broken: cell 'm' stores 1 bit, not 2 bits");
  CHECK(of_memory("no-memory") == "broken: cell 'm' stores 1 bit, not nothing");
  CHECK(judged("cell c\n in a b\n out y\n and g: a b -> y\n require no-memory\nend\n") == "holds");
  // A loop that stores nothing.
  CHECK(judged("cell c\n in a\n out q qn\n nor x: a a -> an\n nor f: an qn -> q\n nor g: a q -> qn\n"
               " require no-memory\nend\n") == "holds");
  CHECK(judged("cell m\n in s r\n out q qn\n nor a: r qn -> q\n nor b: s q -> qn\nend\n"
               "cell two\n in s[1:0] r[1:0]\n out q[1:0]\n m k[1:0]: s[1:0] r[1:0] -> q[1:0] _\n require "
               "stores 2\nend\n") == "holds");
}

TEST_CASE("kind is the name that explain gives, or its beginning up to a comma") {
  CHECK(judged(latch("kind \"transparent latch\"")) == "holds");
  CHECK(of_memory("kind \"set-reset latch\"") == "holds");
  CHECK(of_memory("kind \"set-reset latch, set and reset active high\"") == "holds");
  CHECK(of_memory("kind \"set\"") ==
        "broken: cell 'm' is 'set-reset latch, set and reset active high', not 'set'");
}

TEST_CASE("settles looks at single input changes from every stable state") {
  CHECK(of_memory("settles") == "holds");
  CHECK(of_memory("settles whatever delays") == "holds");
  CHECK(judged("cell c\n in a\n out y\n not g: a -> y\n require settles whatever delays\nend\n") == "holds");
  // The data of the latch may fall just as the gate opens: only single changes count, and those settle.
  CHECK(judged(latch("settles")) == "holds");
  CHECK(
      judged("cell ring\n out y\n not a: y -> b\n not c: b -> d\n not e: d -> y\n require settles\nend\n") ==
      "broken: no state is stable");
  // Set and reset from one input without delay between: undecided when it falls.
  const std::string both =
      judged("cell c\n in a\n out q qn\n nor f: a qn -> q\n nor g: a q -> qn\n require settles\nend\n");
  CHECK(both == "broken: when a falls from a=1, while q=0 qn=0, it is left undecided (f, g race)");
  // A missing product term: q = d g + q g'. The slower way of d hides it while all delays are equal.
  const std::string hazard =
      "cell c\n in d g\n out q\n not i: g -> gn\n and x: d g -> s0\n buf w: s0 -> s\n and y: q gn -> h\n"
      " or o: s h -> q\n require settles";
  CHECK(judged(hazard + "\nend\n") == "holds");
  CHECK(judged(hazard + " whatever delays\nend\n").find("broken: when g falls from d=1 g=1, while") == 0);
}

TEST_CASE("power-up known follows the steps from every stable state") {
  CHECK(of_memory("power-up known after \"s=0 r=1; r=0\"") == "holds");
  CHECK(of_memory("power-up known after \"s=0 r=0\"") ==
        "broken: after these steps, with s=0 r=0, 2 states are possible: q=0 qn=1 | q=1 qn=0");
  CHECK(of_memory("power-up known after \"s=1 r=1; s=0 r=0\"")
            .find("broken: when the inputs become s=0 r=0, it may hang") == 0);
  // An input that is not named may be either.
  CHECK(of_memory("power-up known after \"r=1\"") == "holds");
  // Two independent memories, of which only one is reset.
  const std::string two =
      "cell m\n in s r\n out q qn\n nor a: r qn -> q\n nor b: s q -> qn\nend\n"
      "cell two\n in s[1:0] r[1:0]\n out q[1:0]\n m k[1:0]: s[1:0] r[1:0] -> q[1:0] _\n require power-up "
      "known after ";
  CHECK(judged(two + "\"s=0 r=0b11; r=0\"\nend\n") == "holds");
  CHECK(judged(two + "\"s=0 r=0b10; r=0\"\nend\n").find("broken: after these steps") == 0);
}

TEST_CASE("A limit leaves a demand unjudged") {
  // A loop with more inputs than are tried.
  const std::string wide =
      "cell c\n in s[9:0] r[9:0]\n out q qn\n nor a: r[0] r[1] r[2] r[3] r[4] r[5] r[6] r[7] r[8] r[9] qn -> "
      "q\n"
      " nor b: s[0] s[1] s[2] s[3] s[4] s[5] s[6] s[7] s[8] s[9] q -> qn\n require ";
  CHECK(judged(wide + "settles\nend\n").find("unjudged: ") == 0);
  CHECK(judged(wide + "power-up known after \"s[0]=1\"\nend\n").find("unjudged: the steps leave 19 inputs") ==
        0);
}

TEST_CASE("A wire without a level leaves a demand unjudged") {
  const std::string open = "cell c\n in s\n out q qn\n nor a: r qn -> q\n nor b: s q -> qn\n require ";
  CHECK(judged(open + "stores 1\nend\n").find("unjudged: with some inputs a gate may read") == 0);
  CHECK(judged(open + "no-memory\nend\n").find("unjudged: ") == 0);
  CHECK(judged(open + "kind \"set-reset latch\"\nend\n").find("unjudged: ") == 0);
  CHECK(judged(open + "settles\nend\n").find("unjudged: with some inputs") == 0);
  // Without a loop, too: a function of a wire that nothing drives.
  for (const char* demand : {"stores 0", "no-memory", "settles whatever delays", "power-up known after \"a=0\"", "kind \"no storage\""}) {
    CAPTURE(demand);
    CHECK(judged(std::string("cell c\n in a\n out y\n not g: u -> y\n require ") + demand + "\nend\n").find("unjudged: ") == 0);
  }
  // The state with q = 1 is stable; with q = 0 the driver is off.
  const std::string own = "cell c\n in d\n out q\n bufif1 b: d q -> w\n and a: w q -> q\n require ";
  CHECK(judged(own + "power-up known after \"d=1\"\nend\n").find("unjudged: at power-up with d=1 a gate may read") == 0);
}

TEST_CASE("Demands on times are read with their nets and limits") {
  CHECK(messages_of("delay s -> q <= 3") == "");
  CHECK(messages_of("setup d[1] before s <= 30ns") == "");
  CHECK(messages_of("hold r after s <= 0") == "");
  CHECK(messages_of("recovery r before s <= 1 us") == "");
  CHECK(messages_of("pulse s <= 2") == "");
  CHECK(messages_of("delay s -> p <= 3").find("cell 'c' has no output 'p'") != std::string::npos);
  CHECK(messages_of("setup q before s <= 3").find("cell 'c' has no input 'q'") != std::string::npos);
  CHECK(messages_of("pulse s >= 3").find("'>=' stands where '<=' is wanted") != std::string::npos);
  CHECK(messages_of("pulse s <=").find("a time is missing") != std::string::npos);
  CHECK(messages_of("pulse s <= soon").find("error") != std::string::npos);
}

TEST_CASE("Demands on times are compared with the worst row") {
  CHECK(of_memory("delay s -> q <= 2") == "holds");
  CHECK(of_memory("delay s -> q <= 1") == "broken: q rises comes after s rises, by way of s, qn, q: 2");
  CHECK(of_memory("pulse s <= 2") == "holds");
  CHECK(of_memory("pulse s <= 1") == "broken: a high pulse of s must be at least 2");
  CHECK(of_memory("recovery r before s <= 1") == "holds");
  CHECK(of_memory("setup s before r <= 9") == "broken: s and r have no such times to observe");
  CHECK(of_memory("pulse s <= 2ns") == "broken: the limit 2 ns cannot be compared with gates whose delays have no unit");
  CHECK(judged(latch("setup d before g <= 3")) == "holds");
  CHECK(judged(latch("hold d after g <= 0")) == "holds");
  CHECK(judged(latch("setup d before g <= 0")).find("broken: the setup of d=") == 0);
}

TEST_CASE("Demands on times take the most delays and any finer unit") {
  const auto gate = [](const std::string& demand) {
    return judged("cell g\n in a\n out y\n not n: a -> y {delay=2..9..18ns}\n require " + demand + "\nend\n");
  };
  CHECK(gate("delay a -> y <= 18ns") == "holds");
  CHECK(gate("delay a -> y <= 18999ps") == "holds");
  CHECK(gate("delay a -> y <= 17999ps") == "broken: y rises comes after a falls, by way of a, y: 18 ns");
  CHECK(gate("delay a -> y <= 20") == "holds");  // a bare number counts ticks, here nanoseconds
}
