// What the steps of one run may be searched together.
#include <atomic>

#include "settle/run.h"
#include "sim/run_work.h"
#include "support/catch.h"
#include "support/run_text.h"

using namespace settle;
using namespace settle::testing;

namespace {

/// Six-NAND flip-flops in a row on one clock: each falling or rising edge leaves all of them in doubt.
std::string shift_row(int stages) {
  std::string text =
      "cell stage\n in d clock\n out q\n nand a: g4 g2 -> g1\n nand b: g1 clock -> g2\n nand c: g2 clock g4 -> g3\n"
      " nand e: g3 d -> g4\n nand s: g2 q_n -> q\n nand r: g3 q -> q_n\nend\ncell row\n in d clock\n out w" +
      std::to_string(stages) + "\n";
  for (int i = 1; i <= stages; ++i) {
    text += " stage s" + std::to_string(i) + ": " + (i == 1 ? "d" : "w" + std::to_string(i - 1)) + " clock -> w" +
            std::to_string(i) + "\n";
  }
  return text + "end\n";
}

const std::string shifting =
    "cell row\nset d=0 clock=0\nsettle\nrepeat 105\npulse clock=1 for 20\nwait 20\nend\n"
    "repeat 6\nset d=1\nsettle\npulse clock=1 for 20\nwait 20\nset d=0\nsettle\npulse clock=1 for 20\nwait 20\nend\n";

TEST_CASE("A step beyond the limit whose run repeats a state is a warning") {
  RunOptions options;
  options.any_delay.states = 1;
  const RunResult result = run_ok("cell t\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n",
                                  "set s=1 r=1\nsettle\nset s=0 r=0\nsettle\n", options);
  REQUIRE(result.findings.size() == 1);
  CHECK(result.findings[0].kind == Finding::Kind::unjudged);
  CHECK(result.findings[0].severity == FindingSeverity::warning);
  CHECK(result.findings[0].message.find("with the given delays it goes on for ever") != std::string::npos);
}

}  // namespace

TEST_CASE("Searches without verdict get less and less, down to none") {
  AnyDelayLimits limits;
  limits.states = 100'000;
  SearchAllowance searches(limits);
  CHECK(searches.states_for(1) == 100'000);
  CHECK(searches.states_for(64) == 100'000);
  CHECK(searches.states_for(65) == 50'000);
  CHECK(searches.states_for(6400) == 1000);
  std::uint64_t sum = 0;
  for (int i = 0; i < 100; ++i) {
    sum += searches.states_for(8);
    searches.count_failed();
  }
  CHECK(sum == 100'000 + 25'000 + 6250 + 1562 + 390);
  CHECK(searches.states_for(8) == 0);
  // However small the limit: the first step is looked at.
  limits.states = 1;
  CHECK(SearchAllowance(limits).states_for(1000) == 1);
}

TEST_CASE("A long shift register is run to its end, and steps beyond the limit say so") {
  RunOptions options;
  options.any_delay.states = 3000;
  const RunResult result = run_ok(shift_row(100), shifting, options);
  CHECK(result.complete);
  std::string first, unsearched;
  for (const Finding& finding : result.findings) {
    if (finding.kind != Finding::Kind::unjudged) continue;
    if (first.empty()) first = finding.message;
    if (finding.message.find("no states are left") != std::string::npos) unsearched = finding.message;
  }
  CAPTURE(first);
  CHECK(first.find("more states can be reached than the limits allow to look at") != std::string::npos);
  CHECK(first.find("--limit-states") != std::string::npos);
  CHECK(first.find("(of 3000 states this step had ") != std::string::npos);
  CAPTURE(unsearched);
  CHECK(unsearched.find("--limit-states allows more (now 3000)") != std::string::npos);
  // It shifts all the same.
  CHECK(changes_of(result, "w100").find("0@") != std::string::npos);
}
