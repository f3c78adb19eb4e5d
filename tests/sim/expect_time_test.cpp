// expect delay, setup and hold: how far apart the last changes of two nets lie.
#include <string>

#include "support/catch.h"
#include "support/run_text.h"
#include "support/textbook_cells.h"

namespace settle {
namespace {

using testing::run_ok;
using testing::try_run;

// "passed", or what was wanted and found.
std::string outcome_of(const std::string& stimulus, const std::string& netlist = testing::cells::d_latch_4) {
  const RunResult result = run_ok(netlist, stimulus);
  REQUIRE(result.passed + result.failed == 1);
  if (result.failures.empty()) return "passed";
  const ExpectationFailure& failure = result.failures[0];
  return failure.net + ": " + failure.want + ", got " + failure.got;
}

const std::string start = "set d=0 c=1 ; settle\n";

TEST_CASE("expect delay: the last change of the output after the last change of the input") {
  // d rises at 4 and q two units later.
  CHECK(outcome_of(start + "set d=1 ; settle\nexpect delay d -> q <= 2\n") == "passed");
  CHECK(outcome_of(start + "set d=1 ; settle\nexpect delay d -> q <= 1\n") == "q: delay of at most 1, got 2");
  CHECK(outcome_of(start + "set d=1 ; wait 1\nexpect delay d -> q <= 5\n") ==
        "q: delay of at most 5, got no change of q since d changed");
  CHECK(outcome_of("set c=1 d=0 ; settle\nexpect delay c -> q <= 9\n") != "passed");
}

TEST_CASE("expect setup and hold around an edge") {
  const std::string edge = start + "wait 5 ; set d=1 ; wait 3 ; set c=0 ; wait 4 ; set d=0 ; wait 2\n";
  CHECK(outcome_of(edge + "expect setup d before c >= 3\n") == "passed");
  CHECK(outcome_of(edge + "expect setup d before c falls >= 4\n") == "d: setup of at least 4, got 3");
  CHECK(outcome_of(edge + "expect hold d after c >= 4\n") == "passed");
  CHECK(outcome_of(edge + "expect hold d after c >= 5\n") == "d: hold of at least 5, got 4");
  CHECK(outcome_of(edge + "expect setup d before c rises >= 1\n").find("no such change of c") != std::string::npos);
  const std::string back = edge + "set c=1 ; wait 1\n";
  CHECK(outcome_of(back + "expect hold d after c falls >= 4\n") == "passed");
  CHECK(outcome_of(back + "expect hold d after c >= 4\n") == "d: hold of at least 4, got 1 so far");
}

TEST_CASE("Changes in the instant of the edge count on both sides") {
  const std::string together = start + "set d=1 c=0 ; settle ; wait 9\n";
  CHECK(outcome_of(together + "expect setup d before c >= 0\n") == "passed");
  CHECK(outcome_of(together + "expect setup d before c >= 1\n") == "d: setup of at least 1, got 0");
  CHECK(outcome_of(together + "expect hold d after c >= 1\n") == "d: hold of at least 1, got 0");
}

TEST_CASE("Nets called delay, setup and hold are nets still") {
  const std::string text = "cell names\n  in delay\n  out hold\n  buf b: delay -> hold\nend\n";
  CHECK(outcome_of("set delay=1 ; settle\nexpect hold=1\n", text) == "passed");
  CHECK(outcome_of("set delay=0 ; settle ; set delay=1 ; settle\nexpect hold changes 1 since 2\n", text) == "passed");
}

TEST_CASE("Wrong forms name what is missing") {
  const auto message = [](const std::string& line) {
    return try_run(testing::cells::d_latch_4, start + line + "\n").messages;
  };
  CHECK(message("expect delay d q <= 3").find("'->' is missing") != std::string::npos);
  CHECK(message("expect setup d before c <= 3").find("'>=' is missing") != std::string::npos);
  CHECK(message("expect hold d after c >=").find("a time is missing") != std::string::npos);
  CHECK(message("expect delay d -> p <= 3").find("'p'") != std::string::npos);
}

}  // namespace
}  // namespace settle
