#include "sim/meetings.h"

#include <string>

#include <fmt/format.h>

#include "sim/run_apart.h"
#include "support/random_circuit.h"
#include "support/run_text.h"

namespace settle::testing {
namespace {

// Inputs set one after the other and together, pulses, a clock, rounds, expectations of all kinds that do
// not look back.
std::string random_stimulus(Random& random, std::uint32_t inputs) {
  const auto input = [&] { return fmt::format("i{}", random.below(inputs)); };
  const auto advance = [&] {
    return random.chance(30) ? std::string("settle\n") : fmt::format("wait {}\n", random.between(1, 40));
  };
  std::string text = "power-up every\nset";
  for (std::uint32_t i = 0; i < inputs; ++i) text += fmt::format(" i{}={}", i, random.below(2));
  text += "\n" + advance();
  if (random.chance(20)) text += fmt::format("clock {} period {} high 4\n", input(), random.between(8, 30));
  const bool rounds = random.chance(30);
  if (rounds) text += "repeat 3\n";
  for (std::uint32_t steps = random.between(2, 6); steps > 0; --steps) {
    if (random.chance(20)) {
      text += fmt::format("pulse {}={} for {}\n", input(), random.below(2), random.between(1, 20));
    } else {
      text += fmt::format("set {}={}\n", input(), random.below(2));
      if (random.chance(20)) text += fmt::format("set {}={}\n", input(), random.below(2));
    }
    text += advance();
    if (random.chance(60)) text += fmt::format("expect n{}={}\n", random.below(3), random.below(2));
  }
  if (rounds) text += "end\n";
  if (random.chance(30)) text += "expect warning indeterminate\nwait 5\n";
  if (random.chance(30)) text += fmt::format("expect n0={} for 10\n", random.below(2));
  return text;
}

std::string text_of(const RunResult& result) {
  std::string text = fmt::format("{} passed, {} failed\n", result.passed, result.failed);
  for (const Finding& f : result.findings) {
    text +=
        fmt::format("{} at {}: {} times {} {}\n", name_of(f.kind), f.time, f.message, f.repeats, f.expected);
  }
  for (const ExpectationFailure& f : result.failures) {
    text += fmt::format("{} {} {} {} {} {}\n", f.place.offset, f.time, f.net, f.want, f.got, f.lane);
  }
  for (const Signal& signal : result.waveform.signals)
    text += signal.name + " " + changes_of(result, signal.name) + "\n";
  return text;
}

}  // namespace

TEST_CASE("Start states that meet tell together what they tell apart") {
  std::uint64_t runs = 0, failed = 0, found = 0;
  for (std::uint64_t seed = 1; seed <= 900; ++seed) {
    Random random(seed * 31);
    RandomCircuitOptions circuit_options;
    circuit_options.least_gates = 3;
    circuit_options.most_gates = 18;
    circuit_options.least_inputs = 2;
    circuit_options.loop_percent = random.between(40, 95);
    circuit_options.xor_gates = false;
    circuit_options.three_state = random.chance(20);
    circuit_options.pulls = true;
    circuit_options.most_delay = random.chance(30) ? 4 : 0;
    const std::string netlist = random_circuit(seed + 900, circuit_options);
    const Circuit c = circuit(netlist);
    const std::string text = random_stimulus(random, c.input_count());
    CAPTURE(seed, netlist, text);
    MemoryFiles files{{"test.stim", text}};
    Sources sources;
    Diagnostics diagnostics;
    const Stimulus stimulus = parse_stimulus("test.stim", files, sources, diagnostics);
    if (diagnostics.has_errors()) INFO(render(diagnostics, sources));
    REQUIRE_FALSE(diagnostics.has_errors());
    RunOptions options;
    options.time_limit = 300;
    const auto together = run(c, stimulus, options, diagnostics);
    const auto apart = run_apart(c, stimulus, options, diagnostics);
    REQUIRE(together.has_value() == apart.has_value());
    if (!together || !apart->complete || apart->lanes == 1) continue;
    ++runs;
    failed += apart->failed;
    found += apart->findings.size();
    REQUIRE(together->lanes == apart->lanes);
    REQUIRE(together->complete);
    REQUIRE(together->net_changes == apart->net_changes);
    REQUIRE(text_of(*together) == text_of(*apart));
  }
  CHECK(runs > 100);
  CHECK(failed > 50);
  CHECK(found > 50);
}

TEST_CASE("Start states that meet are followed once") {
  std::string text =
      "cell register\n in d g\n out q[7:0]\n not inv: d -> d_n\n nand s[7:0]: d g -> s[7:0]\n nand r[7:0]: "
      "d_n g -> r[7:0]\n"
      " nand hold[7:0]: s[7:0] q_n[7:0] -> q[7:0]\n nand other[7:0]: r[7:0] q[7:0] -> q_n[7:0]\nend\n";
  const Circuit c = circuit(text);
  std::string steps = "power-up every\nset d=0 g=0\nwait 10\nset g=1\nwait 10\n";
  for (int i = 0; i < 20; ++i)
    steps += fmt::format("set d={}\nwait 10\nexpect q={}\n", (i + 1) % 2, i % 2 == 0 ? "0xff" : "0");
  MemoryFiles files{{"test.stim", steps}};
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus stimulus = parse_stimulus("test.stim", files, sources, diagnostics);
  const auto apart = run_apart(c, stimulus, {}, diagnostics);
  INFO(render(diagnostics, sources));
  REQUIRE(apart);
  CHECK(apart->lanes == 256);
  CHECK(apart->passes());
  RunOptions few;
  few.event_limit = apart->net_changes / 8;
  const auto together = run(c, stimulus, few, diagnostics);
  REQUIRE(together);
  CHECK(together->complete);
  CHECK(together->net_changes == apart->net_changes);
  CHECK(text_of(*together) == text_of(*apart));
  CHECK_FALSE(run_apart(c, stimulus, few, diagnostics)->complete);
}

TEST_CASE("A place is met only by a lane that stands there with all nets alike, after the first has ended") {
  Meetings meetings;
  const std::vector<Value> low = {Value::zero, Value::one}, high = {Value::one, Value::one};
  const Whereabouts place{3, {1}, {0}, 20, false};
  CHECK_FALSE(meetings.meet(0, place, 7, low, {10, 4}));
  CHECK_FALSE(meetings.meet(0, place, 7, low, {12, 5}));  // itself
  meetings.end(0, {30, 9}, true);
  CHECK_FALSE(meetings.meet(1, place, 7, high, {}));  // the same hash, another state
  for (const Whereabouts& other : {Whereabouts{4, {1}, {0}, 20, false}, Whereabouts{3, {2}, {0}, 20, false},
                                   Whereabouts{3, {1}, {1}, 20, false}, Whereabouts{3, {1}, {0}, 21, false},
                                   Whereabouts{3, {1}, {0}, 20, true}}) {
    CHECK_FALSE(meetings.meet(1, other, 7, low, {}));
  }
  const auto rest = meetings.meet(1, place, 7, low, {11, 4});
  REQUIRE(rest);
  CHECK(rest->net_changes <= 5);
  CHECK(rest->evaluations <= 20);
  Meetings unfinished;
  CHECK_FALSE(unfinished.meet(0, place, 7, low, {}));
  unfinished.end(0, {1, 1}, false);
  CHECK_FALSE(unfinished.meet(1, place, 7, low, {}));
}

}  // namespace settle::testing
