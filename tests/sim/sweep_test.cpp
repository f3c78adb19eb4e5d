// Delays drawn at random, and sweeps over them.
#include "settle/sweep.h"

#include <cmath>
#include <set>

#include "settle/random_delays.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/memory_files.h"

using namespace settle;
using namespace settle::testing;

namespace {

Sweep sweep_of(const std::string& netlist, const std::string& stimulus, SweepOptions options) {
  MemoryFiles files{{"test.stim", stimulus}};
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus parsed = parse_stimulus("test.stim", files, sources, diagnostics);
  const Circuit tested = circuit(netlist);
  const auto result = sweep(tested, parsed, options, diagnostics);
  INFO(render(diagnostics, sources));
  REQUIRE(result);
  return *result;
}

// Two paths race to the AND: the pulse comes when the inverter is slower than the buffer.
const std::string race_of_two =
    "cell race\n in a\n out p q\n not i: a -> n {delay=1..5..10ns}\n buf b: a -> d {delay=1..5..10ns}\n"
    " and g: n d -> p {delay=1ps}\n buf k: d -> q {delay=1ps}\nend\n";

}  // namespace

TEST_CASE("Drawn delays: within their range, whole, rise and fall alike, each value about as often") {
  const GateDelay range{{10, 12, 19}, {100, 150, 199}};
  std::vector<int> counts(10);
  for (GateId gate = 0; gate < 10000; ++gate) {
    const GateDelay d = drawn_delay(range, 7, gate);
    REQUIRE(d.rise.min == d.rise.max);
    REQUIRE((d.rise.typ >= 10 && d.rise.typ <= 19 && d.fall.typ >= 100 && d.fall.typ <= 199));
    REQUIRE((d.fall.typ - 100) / 10 == d.rise.typ - 10);  // at the same place
    ++counts[d.rise.typ - 10];
  }
  for (const int count : counts) CHECK((count > 850 && count < 1150));
  CHECK(drawn_delay(range, 7, 3) == drawn_delay(range, 7, 3));
  CHECK(drawn_delay({{5, 5, 5}, {6, 6, 6}}, 1, 0) == GateDelay{{5, 5, 5}, {6, 6, 6}});
  const std::uint64_t huge = std::uint64_t{1} << 61;
  const auto wide = drawn_delay({{1, 2, huge}, {1, 2, huge}}, 1, 0);
  CHECK((wide.rise.typ >= 1 && wide.rise.typ <= huge));
}

TEST_CASE("A circuit with drawn delays is the same circuit") {
  const Circuit ranges = circuit(race_of_two);
  Circuit drawn = ranges;
  std::set<std::uint64_t> seen;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    REQUIRE(draw_delays(ranges, seed, drawn));
    CHECK(verify(drawn) == "");
    CHECK(drawn.dump().size() > 0);
    CHECK(drawn.delay(0) == drawn_delay(ranges.delay(0), seed, 0));
    seen.insert(drawn.delay(0).rise.typ);
  }
  CHECK(seen.size() > 15);
}

TEST_CASE("The score interval") {
  // Recomputed by hand from the formula: 8 of 10.
  const Share share = wilson_share(8, 10);
  CHECK(std::abs(share.value - 0.8) < 1e-12);
  CHECK(std::abs(share.low - 0.4902) < 0.0001);
  CHECK(std::abs(share.high - 0.9433) < 0.0001);
  CHECK(wilson_share(0, 50).low == 0);
  CHECK(wilson_share(50, 50).high == 1);
  CHECK(std::abs(wilson_share(50, 50).low - 0.9287) < 0.0001);
  CHECK(wilson_share(0, 0).high == 1);
}

TEST_CASE("Samples that a limit stops are counted apart, and the limit is told in the unit of the delays") {
  SweepOptions options;
  options.samples = 4;
  options.run.time_limit = 30'000;
  const Sweep stopped = sweep_of("cell c\n in a\n out q\n buf b: a -> q {delay=500000..600000..700000ps}\nend\n",
                                 "set a=0\nwait 900ns\nset a=1\nsettle\n", options);
  CHECK(!stopped.complete);
  CHECK(stopped.incomplete == 4);
  CHECK(stopped.judged() == 0);
  CHECK(stopped.incomplete_reason.find("not settled within 30 ns since time 900 ns: ") == 0);
}

TEST_CASE("A sweep is the same for any number of threads, and each sample is the run of its seed") {
  SweepOptions options;
  options.samples = 60;
  const std::string stimulus = "set a=0\nwait 100ns\nset a=1\nwait 100ns\nexpect p changes 0 since 100ns\n";
  const Sweep one = sweep_of(race_of_two, stimulus, options);
  options.jobs = 3;
  const Sweep three = sweep_of(race_of_two, stimulus, options);
  CHECK(one.passed == three.passed);
  CHECK(one.judged() == 60);
  CHECK(one.complete);
  REQUIRE(one.worst);
  REQUIRE(three.worst);
  CHECK(one.worst->seed == three.worst->seed);
  CHECK(one.worst->reason == three.worst->reason);
  CHECK(one.median == three.median);
  std::uint64_t counted = 0;
  for (const SweepBin& bin : one.bins) counted += bin.passed + bin.failed;
  CHECK(counted == 60);
  // The slow twin: a pulse shows exactly when the drawn inverter is slower than the buffer by a tick or more.
  const Circuit ranges = circuit(race_of_two);
  Circuit drawn = ranges;
  std::uint64_t clean = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    REQUIRE(draw_delays(ranges, seed, drawn));
    if (drawn.delay(0).fall.typ <= drawn.delay(1).rise.typ) ++clean;
  }
  CHECK(one.passed == clean);
  CHECK((clean > 10 && clean < 50));
}
