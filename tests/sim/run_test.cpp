// What statements mean, when they act, and what a run says about the steps in it.
#include <algorithm>

#include "settle/run.h"
#include "settle/text_reader.h"
#include "support/catch.h"
#include "support/run_text.h"

using namespace settle;
using namespace settle::testing;

namespace {

const std::string memory = R"(cell block_memory
  in enter leave
  out occupied clear
  nor hold_a: leave clear -> occupied
  nor hold_b: enter occupied -> clear
end
)";

const std::string follower = "cell f\n in a\n out y\n buf g: a -> y\nend\n";

// The failures as "time net want got", one a line.
std::string failures_of(const RunResult& r) {
  std::string text;
  for (const ExpectationFailure& f : r.failures) {
    text += std::to_string(f.time) + " " + f.net + " " + f.want + " " + f.got + "\n";
  }
  return text;
}

// The findings as "kind@time", in order.
std::string findings_of(const RunResult& r) {
  std::string text;
  for (const Finding& f : r.findings) {
    if (!text.empty()) text += ' ';
    text += std::string(name_of(f.kind)) + '@' + std::to_string(f.time);
  }
  return text;
}

}  // namespace

TEST_CASE("A latch powers up unknown, is set, holds and is reset") {
  const RunResult r = run_ok(memory,
                             "set enter=0 leave=0\nsettle\nexpect occupied=x clear=x\n"
                             "set enter=1\nsettle\nset enter=0\nwait 5\nexpect occupied=1 clear=0\n"
                             "set leave=1\nsettle\nset leave=0\nsettle\nexpect occupied=0 clear=1\n");
  CHECK(failures_of(r) == "");
  CHECK(r.passed == 6);
  CHECK(findings_of(r) == "");
  CHECK(changes_of(r, "enter") == "0@0 1@1 0@3");
}

TEST_CASE("Sets of one instant act together, and expectations see the instant as it is then") {
  const RunResult r = run_ok(follower,
                             "set a=0\nexpect a=0 y=x\nwait 1\nexpect y=0\nset a=1\nexpect a=1 y=0\nwait 1\nexpect y=1\n");
  CHECK(failures_of(r) == "");
  CHECK(changes_of(r, "a") == "0@0 1@1");
  CHECK(changes_of(r, "y") == "x@0 0@1 1@2");
}

TEST_CASE("settle takes one unit when nothing changes, so that each value set is seen") {
  const RunResult r = run_ok(follower, "set a=0\nsettle\nset a=0\nsettle\nsettle\nset a=1\nsettle\n");
  CHECK(changes_of(r, "a") == "0@0 1@3");
  CHECK(r.waveform.end == 4);
}

TEST_CASE("The values at the end time count") {
  const RunResult r = run_ok(follower, "set a=1\nwait 1\n");
  CHECK(changes_of(r, "y") == "x@0 1@1");
  CHECK(r.waveform.end == 1);
}

TEST_CASE("expect for holds up to the gate changes at its end, not the inputs set then") {
  const std::string start = "set a=0\nwait 10\n";
  CHECK(run_ok(follower, start + "expect a=0 y=0 for 5\nset a=1\nwait 3\n").failed == 0);
  const RunResult r = run_ok(follower, start + "expect y=0 for 5 ; wait 1\n");
  CHECK(failures_of(r) == "");
  const RunResult edge = run_ok(follower, "set a=0\nwait 4\nset a=1\nexpect y=0 for 1\n");
  CHECK(failures_of(edge) == "5 y 0 1\n");
}

TEST_CASE("expect changes counts from the given time on, without the value at the start") {
  const RunResult r = run_ok(follower,
                             "set a=0 ; wait 10\nset a=1 ; wait 10\nset a=0 ; wait 10\n"
                             "expect y changes 2 since 10\nexpect y changes 1 since 12\nexpect a changes 2 since 10\n"
                             "expect y changes 9 since 0\n");
  CHECK(failures_of(r) == "30 y 9 changes since 0 3 changes since 0\n");
}

TEST_CASE("pulse goes back to the value before, repeat repeats, at goes on to a time") {
  const RunResult r = run_ok(follower,
                             "set a=0\nwait 2\nrepeat 2\n pulse a=1 for 3\n wait 4\nend\nat 30 set a=1\nwait 1\n");
  CHECK(changes_of(r, "a") == "0@0 1@2 0@5 1@9 0@12 1@30");
}

TEST_CASE("A clock is low first, and changes no more from its end on") {
  const RunResult r = run_ok(follower, "clock a period 10 high 4 until 30\nwait 100\n");
  CHECK(changes_of(r, "a") == "0@0 1@6 0@10 1@16 0@20 1@26");
  const RunResult ends_low = run_ok(follower, "clock a period 10 high 4 until 31\nwait 100\n");
  CHECK(changes_of(ends_low, "a") == "0@0 1@6 0@10 1@16 0@20 1@26 0@30");
}

TEST_CASE("bounce has its number of edges, ends at its value, and depends on the seed only") {
  const std::string stimulus = "set a=0\nwait 5\nbounce a=1 edges 5 within 12 seed 3\nwait 2\n";
  const RunResult r = run_ok(follower, stimulus);
  const Signal& a = r.waveform.signals[0];
  REQUIRE(a.changes.size() == 6);
  CHECK(a.changes[1] == Change{5, Value::one});
  CHECK(a.changes.back().value == Value::one);
  CHECK(a.changes.back().time <= 17);
  CHECK(r.waveform.end == 19);
  CHECK(changes_of(run_ok(follower, stimulus), "a") == changes_of(r, "a"));
  RunOptions other;
  other.seed = 4;
  CHECK(changes_of(run_ok(follower, stimulus, other), "a") != changes_of(r, "a"));
}

TEST_CASE("A clock in the background goes on while the circuit settles, and does not keep settle waiting") {
  const RunResult r = run_ok(follower, "clock a period 10 high 5\nsettle\nwait 12\nsettle\n");
  CHECK(changes_of(r, "y") == "x@0 0@1 1@6 0@11");
  CHECK(r.waveform.end == 14);  // the settle at 13 takes one unit
}

TEST_CASE("Releasing a latch from both inputs high is indeterminate with exactly two outcomes") {
  const RunResult r = run_ok(memory, "set enter=1 leave=1\nwait 10\nset enter=0 leave=0\nsettle\n");
  REQUIRE(findings_of(r) == "indeterminate@10");
  const Finding& f = r.findings[0];
  CHECK(f.severity == FindingSeverity::warning);
  CHECK(f.gates == std::vector<std::string>{"hold_a", "hold_b"});
  CHECK(f.nets == std::vector<std::string>{"occupied", "clear"});
  CHECK(f.outcome_count == 2);
  CHECK(f.outcomes == std::vector<std::vector<Value>>{{Value::zero, Value::one}, {Value::one, Value::zero}});
  CHECK(f.period == Time{2});
  CHECK(f.may_hang);
  CHECK_FALSE(r.passes());
  // 00 at 10, 11 at 11, 00 again at 12: unknown from there on.
  CHECK(f.since == Time{12});
  CHECK(changes_of(r, "occupied") == "x@0 0@1 1@11 x@12");
  SECTION("definite inputs clear it again") {
    const RunResult cleared =
        run_ok(memory, "set enter=1 leave=1\nwait 10\nset enter=0 leave=0\nsettle\nset enter=1\nsettle\nexpect occupied=1 clear=0\n");
    CHECK(cleared.failed == 0);
  }
  SECTION("an expectation claims it, before or after the time it comes") {
    CHECK(run_ok(memory, "set enter=1 leave=1\nwait 10\nset enter=0 leave=0\nsettle\nexpect warning indeterminate\n").passes());
    CHECK(run_ok(memory, "set enter=1 leave=1\nwait 10\nset enter=0 leave=0\nexpect warning indeterminate\nsettle\n").passes());
    const RunResult twice = run_ok(memory,
                                   "repeat 2\nset enter=1 leave=1\nwait 10\nset enter=0 leave=0\nsettle\n"
                                   "expect warning indeterminate\nend\n");
    CHECK(twice.passes());
    CHECK(twice.findings.size() == 2);
    const RunResult none = run_ok(memory, "set enter=1 leave=0\nsettle\nexpect warning indeterminate\n");
    CHECK(failures_of(none) == "2  warning indeterminate none\n");
  }
}

TEST_CASE("Rings of inverters: odd ones oscillate with period 2N, even ones are bistable") {
  for (int n = 1; n <= 9; ++n) {
    std::string netlist = "cell ring\n out r0\n";
    for (int i = 0; i < n; ++i) {
      netlist += " not g" + std::to_string(i) + ": r" + std::to_string((i + n - 1) % n) + " -> r" + std::to_string(i) + "\n";
    }
    netlist += "end\n";
    INFO(netlist);
    std::string chosen = "power-up";
    for (int i = 0; i < n; ++i) chosen += " r" + std::to_string(i) + "=" + std::to_string(i % 2);
    const RunResult r = run_ok(netlist, chosen + "\nsettle\n");
    if (n % 2 == 0) {
      CHECK(findings_of(r) == "");
      CHECK(changes_of(r, "r0") == "0@0");
    } else {
      REQUIRE(findings_of(r) == "oscillation@0");
      CHECK(r.findings[0].period == Time(2 * n));
      CHECK(r.findings[0].gates.size() == std::size_t(n));
      CHECK(r.waveform.signals[0].changes.back().value == Value::x);
    }
  }
}

TEST_CASE("A long ring is called an oscillation without a cap being met") {
  const int n = 12001;  // its period of 24002 units is far beyond any patience
  std::string netlist = "cell ring\n in go\n out r0\n nand g0: go r" + std::to_string(n - 1) + " -> r0\n";
  for (int i = 1; i < n; ++i) {
    netlist += " not g" + std::to_string(i) + ": r" + std::to_string(i - 1) + " -> r" + std::to_string(i) + "\n";
  }
  const RunResult r = run_ok(netlist + "end\n", "set go=0\nsettle\nset go=1\nsettle\n");
  REQUIRE(r.findings.size() == 1);
  CHECK(r.findings[0].period == Time(2 * n));
}

TEST_CASE("power-up random gives a stable state, the same for the same seed") {
  std::string first;
  bool differs = false;
  for (int seed = 1; seed <= 12; ++seed) {
    const std::string stimulus = "power-up random seed " + std::to_string(seed) + "\nset enter=0 leave=0\nwait 5\n";
    const RunResult r = run_ok(memory, stimulus);
    CHECK(findings_of(r) == "");
    const std::string state = changes_of(r, "occupied") + changes_of(r, "clear");
    CHECK((state == "0@01@0" || state == "1@00@0"));
    CHECK(state == changes_of(run_ok(memory, stimulus), "occupied") + changes_of(run_ok(memory, stimulus), "clear"));
    if (first.empty()) first = state;
    differs = differs || state != first;
  }
  CHECK(differs);
}

TEST_CASE("power-up every runs each stable state, and an expectation must hold in all of them") {
  const RunResult r = run_ok(memory,
                             "power-up every\nset enter=0 leave=0\nwait 1\nexpect occupied=1\nset enter=1\nsettle\n"
                             "expect occupied=1 clear=0\n");
  CHECK(r.lanes == 2);
  CHECK(r.passed == 2);
  CHECK(failures_of(r) == "1 occupied 1 0\n");
  CHECK(r.failures[0].lane == 0);
  const Ran unset = try_run(memory, "power-up every\nset enter=0\nwait 1\n");
  CHECK_FALSE(unset.result);
  CHECK(unset.messages.find("test.stim:1:1: error: 'power-up every' needs all inputs to be 0 or 1 from the start, "
                            "but 'leave' is x") != std::string::npos);
}

TEST_CASE("Chosen power-up values are held while the rest is worked out from them") {
  const std::string gated = R"(cell gated
  in lever read
  out seen seen_n
  not  inv: lever -> lever_n
  and  gate_s: lever read -> s
  and  gate_r: lever_n read -> r
  nor hold_a: r seen_n -> seen
  nor hold_b: s seen -> seen_n
end
)";
  const RunResult r = run_ok(gated, "power-up seen=1 seen_n=0\nset lever=0 read=0\nexpect seen=1\nwait 10\nexpect seen=1 seen_n=0\n");
  CHECK(failures_of(r) == "");
  CHECK(changes_of(r, "seen") == "1@0");
}

TEST_CASE("A transparent latch: no warning in use, a note when data and gate change at once") {
  const std::string latch = R"(cell lever_latch
  in lever read
  out seen
  not  inv: lever -> lever_n
  and  gate_s: lever read -> s
  and  gate_r: lever_n read -> r
  nor hold_a: r seen_n -> seen
  nor hold_b: s seen -> seen_n
end
)";
  CHECK(findings_of(run_ok(latch, "set lever=0 read=1\nsettle\nset lever=1\nsettle\nset read=0\nsettle\nset lever=0\nsettle\n"
                                  "set read=1\nsettle\nexpect seen=0\n")) == "");
  const RunResult r = run_ok(latch, "set lever=0 read=1\nwait 20\nset lever=1 read=0\nwait 20\n");
  REQUIRE(findings_of(r) == "skew@20");
  CHECK(r.findings[0].severity == FindingSeverity::note);
  CHECK(r.findings[0].skewed_verdict == Verdict::delay_dependent);
  CHECK(r.passes());
}

TEST_CASE("An input that changes while the circuit settles is reported and judged from there") {
  const RunResult r = run_ok(memory, "set enter=0 leave=1\nwait 10\nset leave=0 enter=1\nwait 1\nset enter=0\nwait 20\n");
  CHECK(findings_of(r).find("unsettled-change@11") != std::string::npos);
  const RunResult calm = run_ok(memory, "set enter=0 leave=1\nwait 10\nset leave=0\nwait 1\nset enter=1\nwait 20\n");
  CHECK(findings_of(calm) == "");
}

TEST_CASE("Two three-state drivers that disagree are reported") {
  const std::string wire = "cell w\n in a b en\n out y\n bufif1 p: a en -> y\n bufif1 q: b en -> y\nend\n";
  const RunResult r = run_ok(wire, "set a=0 b=1 en=0\nwait 5\nexpect y=z\nset en=1\nwait 5\nexpect y=x\nset b=0\nwait 5\nexpect y=0\n");
  CHECK(failures_of(r) == "");
  REQUIRE(findings_of(r) == "contention@6");
  CHECK(r.findings[0].gates == std::vector<std::string>{"p", "q"});
}

TEST_CASE("A run stops with an honest word at its limits") {
  // A ring of 5 with a counter-like long transient would do; here the limit is simply tiny.
  std::string chain = "cell c\n in a\n out n30\n buf g1: a -> n1\n";
  for (int i = 2; i <= 30; ++i) {
    chain += " buf g" + std::to_string(i) + ": n" + std::to_string(i - 1) + " -> n" + std::to_string(i) + "\n";
  }
  RunOptions options;
  options.time_limit = 10;
  const RunResult r = run_ok(chain + "end\n", "set a=1\nsettle\n", options);
  CHECK_FALSE(r.complete);
  CHECK(r.incomplete_reason == "not settled within 10 units since time 0: --limit-time allows more (now 10)");
  CHECK(findings_of(r) == "not-settled@0");
  RunOptions few;
  few.change_limit = 3;
  CHECK_FALSE(run_ok(follower, "clock a period 2 high 1\nwait 100\n", few).complete);
  std::atomic<bool> stop{true};
  RunOptions stopped;
  stopped.stop = &stop;
  CHECK(run_ok(follower, "clock a period 2 high 1\nrepeat 5\nwait 10000\nend\n", stopped).incomplete_reason == "stopped from outside at time 0");
}

TEST_CASE("Waveforms do not depend on the order of statements in the netlist") {
  const std::string turned = R"(cell block_memory
  in enter leave
  out occupied clear
  nor hold_b: enter occupied -> clear
  nor hold_a: leave clear -> occupied
end
)";
  const std::string stimulus = "set enter=1 leave=1\nwait 10\nset enter=0 leave=0\nwait 4\nset leave=1\nwait 4\n";
  const RunResult a = run_ok(memory, stimulus), b = run_ok(turned, stimulus);
  for (const Signal& s : a.waveform.signals) CHECK(changes_of(a, s.name) == changes_of(b, s.name));
}

TEST_CASE("Physical delays: times with units in ticks of the finest one") {
  const std::string slow = "cell f\n in a\n out y\n buf g: a -> y {delay=9ns}\nend\n";
  const RunResult r = run_ok(slow, "set a=0\nwait 20ns\nset a=1\nwait 500 ps\nexpect y=0\nwait 9ns\nexpect y=1\n");
  CHECK(failures_of(r) == "");
  CHECK(r.waveform.time_unit == TimeUnit::ps);
  CHECK(changes_of(r, "y") == "x@0 0@9000 1@29000");
}

TEST_CASE("A failed expectation shows the last changes of the net and of what drives it") {
  const RunResult r = run_ok(memory, "set enter=1 leave=0\nwait 5\nset enter=0\nwait 5\nexpect occupied=0\n");
  REQUIRE(r.failures.size() == 1);
  CHECK(r.failures[0].history ==
        std::vector<std::string>{"occupied (nor hold_a): x at 0, 1 at 2", "leave (input): 0 at 0",
                                 "clear (nor hold_b): x at 0, 0 at 1"});
}

TEST_CASE("A pattern that no net matches is an error") {
  const Circuit c = circuit("cell b\n in d[1:0]\n out clear[1:0]\n not g[1:0]: d[1:0] -> n[1:0]\n not h[1:0]: n[1:0] -> clear[1:0]\nend\n");
  Sources sources;
  TextReader text("settle\n");
  Diagnostics diagnostics;
  const Stimulus stimulus = parse_stimulus("test.stim", text, sources, diagnostics);
  RunOptions options;
  options.patterns = {"d", "clear[1:0]", "n[*]", "?[0]"};
  CHECK(run(c, stimulus, options, diagnostics));
  CHECK(render(diagnostics, sources).empty());
  options.patterns = {"d", "claer", "nope*"};
  CHECK_FALSE(run(c, stimulus, options, diagnostics));
  CHECK(render(diagnostics, sources) == "settle: error: no net matches 'claer'\n  hint: did you mean 'clear'?\n"
                                        "settle: error: no net matches 'nope*'\n  hint: '*' stands for any characters, '?' for one\n");
}

TEST_CASE("Names and values that do not fit are errors in the stimulus") {
  struct Row {
    const char* stimulus;
    const char* message;
  };
  const std::string bus = "cell b\n in d[3:0] en\n out q[3:0]\n and g[3:0]: d[3:0] en -> q[3:0]\nend\n";
  const Row rows[] = {
      {"set entr=1\n", "test.stim:1:5: error: cell 'b' has no net 'entr'"},
      {"set eb=1\n", "test.stim:1:5: error: cell 'b' has no net 'eb'"},
      {"set q=1\n", "test.stim:1:5: error: 'q' is not an input of cell 'b'"},
      {"set d=16\n", "test.stim:1:7: error: the value needs 5 bits, but 'd' has 4"},
      {"expect q[3:2]=7\n", "error: the value needs 3 bits, but 'q[3:2]' has 2"},
      {"expect q[4]=1\n", "error: cell 'b' has no net 'q[4]'"},
      {"wait 5ns\n", "test.stim:1:6: error: '5ns' has a unit, but the gates have unit delays"},
      {"clock d period 4 high 2\n", "error: 'd' is 4 bits wide; one net is meant here"},
      {"clock q[1] period 4 high 2\n", "error: 'q[1]' is not an input of cell 'b'"},
      {"bounce d=1 edges 3 within 9\n", "error: 'd' is 4 bits wide; one contact bounces"},
      {"power-up d=1\nwait 1\n", "error: 'd' is an input; power-up values are for gate outputs"},
      {"expect q changes 1 since 0\n", "error: 'q' is 4 bits wide; one net is meant here"},
  };
  for (const Row& row : rows) {
    const Ran ran = try_run(bus, row.stimulus);
    INFO(row.stimulus << ran.messages);
    CHECK_FALSE(ran.result);
    CHECK(ran.messages.find(row.message) != std::string::npos);
  }
  CHECK(failures_of(run_ok(bus, "set d=0b1x0 en=1\nwait 3\nexpect q=0b01x0 q[1:0]=0bx0 d[3]=0\n")) == "");
}
