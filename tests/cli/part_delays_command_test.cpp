// Delays of parts, sweeps and the estimate of metastability as a user calls them.
#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

TEST_CASE("run: a family gives delays in nanoseconds, a seed the same ones again") {
  const std::string call = "run block_memory.gates --set enter=1,leave=0 ";
  const Outcome typical = run_settle(call + "--family HC --format json");
  CHECK(typical.status == 0);
  CHECK(has(typical.output, "\"time_unit\": \"ps\""));
  CHECK(has(typical.output, "9000"));
  // The gates name their parts: enough for --delays.
  CHECK(run_settle(call + "--delays typical --format json").output == typical.output);
  CHECK(has(run_settle(call + "--delays max --format json").output, "18000"));
  CHECK(has(run_settle(call + "--family HC --delays unit --format json").output, "\"time_unit\": \"unit\""));
  const Outcome drawn = run_settle(call + "--delays random --seed 5 --format json");
  CHECK(drawn.status == 0);
  CHECK(drawn.output == run_settle(call + "--delays random --seed 5 --format json").output);
  CHECK(drawn.output != run_settle(call + "--delays random --seed 6 --format json").output);
}

TEST_CASE("run: wrong families are told, bare times are noted") {
  CHECK(run_settle("run block_memory.gates --family XY").output ==
        "settle: error: there is no logic family 'XY'\n  hint: the families are LS, HC, HCT, AC and 4000B\n");
  const Outcome bare = run_shell(
      "printf 'set enter=1 leave=0\\nwait 50\\n' | settle run block_memory.gates - --family HC 2>&1");
  CHECK(has(bare.output, "times without a unit are ticks of 1 ps here"));
}

TEST_CASE("sweep: the worst sample is replayed by its seed, on any number of threads") {
  ScratchFolder scratch;
  const auto file = (scratch.path() / "short.stim").string();
  const std::string stimulus =
      "printf 'set enter=0 leave=1\\nwait 200ns\\nset leave=0\\nwait 200ns\\npulse enter=1 for 12ns\\nwait "
      "200ns\\nexpect occupied=1\\n' > '" +
      file + "'; ";
  const Outcome one = run_shell(stimulus + "settle sweep block_memory.gates '" + file +
                                "' --samples 50 --jobs 1 --format json");
  CHECK(one.status == 1);
  CHECK(run_shell("settle sweep block_memory.gates '" + file + "' --samples 50 --jobs 4 --format json")
            .output == one.output);
  CHECK(has(one.output, "\"schema\": \"sweep/1\""));
  const auto worst = one.output.find("\"seed\": ");
  REQUIRE(worst != std::string::npos);
  const std::string seed = std::to_string(std::stoul(one.output.substr(worst + 8)));
  CHECK(run_settle("run block_memory.gates '" + file + "' --delays random --seed " + seed).status == 1);
  const Outcome long_pulse = run_shell("sed -i s/12ns/60ns/ '" + file +
                                       "'; settle sweep block_memory.gates '" + file + "' --samples 50");
  CHECK(long_pulse.status == 0);
  CHECK(has(long_pulse.output, "50 of 50 samples pass"));
}

TEST_CASE("sweep: a limit says what it stopped, in the unit of the delays") {
  const Outcome limited = run_settle("sweep block_memory.gates block_memory.stim --family HC --samples 5 --limit-changes 3");
  CHECK(limited.status == 3);
  CHECK(has(limited.output, "block_memory: no sample tells anything of the yield\n"));
  CHECK(has(limited.output, "incomplete: 5 of 5 samples were not run to the end, the first of them: more than 3 value changes recorded"));
  CHECK_FALSE(has(limited.output, "typical delays it does not pass"));
  const Outcome json = run_settle("sweep block_memory.gates block_memory.stim --family HC --samples 5 --limit-changes 3 --format json --quiet");
  CHECK(json.status == 3);
  CHECK(has(json.output, "\"incomplete_reason\": \"more than 3 value changes recorded"));
}

TEST_CASE("resolve: a worked value, and calls that lack something") {
  const Outcome good =
      run_settle("resolve --part 74ls74 --clock 10MHz --data 100kHz --time 80ns --format json");
  CHECK(good.status == 0);
  CHECK(has(good.output, "\"log10_mean_time_s\": 11.56"));
  CHECK(run_settle("resolve --clock 10MHz --data 100kHz --time 80ns").status == 2);
  CHECK(run_settle("resolve --part 74LS74 --clock 10MHz --data 100kHz").status == 2);
  CHECK(has(run_settle("resolve --part 74XY74 --clock 10MHz --data 100kHz --time 8ns").output,
            "no published figures for part '74XY74'"));
  CHECK(has(run_settle("resolve --part 74LS74 --clock 10MH --data 100kHz --time 8ns").output,
            "--clock: '10MH' is no frequency above 0"));
}
