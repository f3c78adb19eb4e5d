// What a stimulus leaves alone and asks for in vain: whole messages and near misses.
#include <string>

#include "settle/lint.h"
#include "support/circuit_text.h"

namespace settle {
namespace {

using testing::circuit;
using testing::MemoryFiles;

const std::string latch =
    "cell t\n in enter leave\n out occupied clear tied\n nor a: leave clear -> occupied\n"
    " nor b: enter occupied -> clear\n and c: enter 0 -> tied\nend\n";

std::string lint_stim(const std::string& stimulus, const std::string& netlist = latch) {
  const auto built = circuit(netlist);
  MemoryFiles files{{"test.stim", stimulus}};
  Sources sources;
  Diagnostics diagnostics, found;
  const auto parsed = parse_stimulus("test.stim", files, sources, diagnostics);
  INFO(stimulus << render(diagnostics, sources));
  REQUIRE(!diagnostics.has_errors());
  lint_stimulus(parsed, built, {}, found);
  return render(found, sources);
}

TEST_CASE("inputs that a stimulus never sets") {
  CHECK(lint_stim("cell t\nset enter=1\nsettle\nexpect clear=0\n") ==
        "test.stim:1:6: warning: the stimulus never sets input 'leave', which is x all the time\n"
        "  cell t\n"
        "       ^\n"
        "  hint: set it at the start, even if it does not change\n");
  const std::string bus = "cell t\n in d[3:0] e[1:0]\n out y\n and g: d[3] d[2] d[1] d[0] e[1] e[0] -> y\nend\n";
  CHECK(lint_stim("set d[3]=1 d[0]=0 e[1]=1\nwait\nexpect y=0\n", bus) ==
        "test.stim:1:1: warning: the stimulus never sets input 'd[2]' and 1 bit of 'd' more, which is x all the time\n"
        "  set d[3]=1 d[0]=0 e[1]=1\n"
        "  ^\n"
        "  hint: set it at the start, even if it does not change\n"
        "test.stim:1:1: warning: the stimulus never sets input 'e[0]', which is x all the time\n"
        "  set d[3]=1 d[0]=0 e[1]=1\n"
        "  ^\n"
        "  hint: set it at the start, even if it does not change\n");
  CHECK(lint_stim("clock enter period 4 high 2 until 20\nbounce leave=1 edges 3 within 6\nexpect clear=x\n") == "");
  CHECK(lint_stim("pulse enter=1 leave=0 for 4\nexpect clear=0\n") == "");
  CHECK(lint_stim("repeat 2 ; set enter=1 leave=0 ; wait 3 ; end\nexpect clear=0\n") == "");
}

TEST_CASE("a stimulus that expects nothing") {
  CHECK(lint_stim("set enter=1 leave=0\nsettle\n") ==
        "test.stim:1:1: note: this stimulus expects nothing: it passes whatever the circuit does\n"
        "  set enter=1 leave=0\n"
        "  ^\n"
        "  hint: state with 'expect' what must come out\n");
  CHECK(lint_stim("set enter=1 leave=0\nexpect warning oscillation\nsettle\n") == "");
}

TEST_CASE("expectations that cannot fail") {
  const std::string start = "set enter=0 leave=0\nsettle\n";
  SECTION("on inputs") {
    CHECK(lint_stim(start + "set enter=1\nexpect enter=1\n") ==
          "test.stim:4:8: warning: 'enter' is an input that was set to this value: the expectation cannot fail\n"
          "  expect enter=1\n"
          "         ^\n"
          "  hint: expect something of an output\n");
    const std::string idle = "'leave' is an input that was set to this value";
    const auto is_told = [&](const std::string& text) {
      return lint_stim(start + text).find(idle) != std::string::npos;
    };
    CHECK(is_told("expect clear=x leave=0 for 5\n"));
    CHECK(is_told("pulse leave=1 for 4\nexpect leave=0\n"));
    CHECK(is_told("expect leave=1 ; set leave=1\nwait\n"));  // one instant
    CHECK(is_told("repeat 2\nset leave=1\nwait 2\nexpect leave=1\nend\n"));
    // Near misses: the values depend on the moment, or on the round.
    CHECK_FALSE(is_told("expect leave=0 ; set leave=1\nwait\n"));
    CHECK_FALSE(is_told("repeat 2\nwait 2\nexpect leave=0\nset leave=1\nend\n"));
    CHECK_FALSE(is_told("repeat 2\nset leave=1\nwait 2\nset leave=0\nend\nexpect leave=0\n"));
    CHECK_FALSE(is_told("clock leave period 4 high 2\nwait 3\nexpect leave=0\n"));
    CHECK_FALSE(is_told("bounce leave=0 edges 3 within 8\nexpect leave=0\n"));
    CHECK_FALSE(is_told("expect clear=0\n"));
  }
  SECTION("on nets that are constant") {
    CHECK(lint_stim(start + "expect tied=0\n") ==
          "test.stim:3:8: warning: 'tied' never has another value: the expectation cannot fail\n"
          "  expect tied=0\n"
          "         ^\n"
          "  hint: see the lint of the netlist for what makes it constant\n");
    CHECK(lint_stim(start + "expect tied=1\n") == "");  // fails, and the run says so
  }
  SECTION("before time goes on") {
    CHECK(lint_stim("set enter=0 leave=0\nexpect clear=x\nwait 1\nexpect clear=x\n") ==
          "test.stim:2:8: warning: 'clear' is x at power-up: the expectation cannot fail before time goes on\n"
          "  expect clear=x\n"
          "         ^\n"
          "  hint: let the circuit answer first, with 'settle' or 'wait'\n");
    CHECK(lint_stim("power-up clear=0 occupied=1\nset enter=0 leave=0\nexpect clear=x\n") == "");
    CHECK(lint_stim("set enter=0 leave=0\nexpect clear=0\n") == "");
    CHECK(lint_stim("set enter=0 leave=0\nat 0\nwait 0\nexpect clear=x\n") != "");
    CHECK(lint_stim("set enter=0 leave=0\nat 3\nexpect clear=x\n") == "");
  }
  SECTION("on changes to come") {
    CHECK(lint_stim(start + "at 20\nwait 5\nexpect clear changes 0 since 26\n") ==
          "test.stim:5:1: warning: no change of 'clear' can come after the present time: the expectation cannot fail\n"
          "  expect clear changes 0 since 26\n"
          "  ^\n"
          "  hint: put it behind the time in which the changes count, or start 'since' earlier\n");
    CHECK(lint_stim(start + "at 20\nwait 5\nexpect clear changes 0 since 25\n") == "");
    CHECK(lint_stim(start + "expect clear changes 0 since 26\n") == "");  // the time is not known
    CHECK(lint_stim(start + "at 20\nexpect clear changes 1 since 26\n") == "");
  }
}

TEST_CASE("a stimulus that does not fit is left to the run") {
  CHECK(lint_stim("set entre=1\nsettle\nexpect clear=0\n") == "");
}

}  // namespace
}  // namespace settle
