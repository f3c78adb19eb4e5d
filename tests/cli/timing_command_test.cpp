// settle timing and settle margin as a user calls them: forms, delays, limits, wrong calls.
#include <set>
#include <string>

#include <nlohmann/json.hpp>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

using Json = nlohmann::json;

Json document(const std::string& arguments, int status = 0) {
  const Outcome outcome = run_settle(arguments + " --format json");
  INFO(arguments << "\n" << outcome.output);
  CHECK(outcome.status == status);
  Json json = Json::parse(outcome.output, nullptr, false);
  REQUIRE(json.is_object());
  return json;
}

/// The figure "right" of a constraint of the first cell; -1000 when there is none.
int needed(const Json& timing, const std::string& kind, const std::string& data, const std::string& value) {
  for (const Json& c : timing.at("cells").at(0).at("constraints")) {
    if (c.at("kind") == kind && c.at("data").at("net") == data && c.at("value") == value) return c.at("right").get<int>();
  }
  return -1000;
}

const std::string one_gate = "cell lamp\n  in a b\n  out y\n  and g: a b -> y\nend\n";
const std::string odd_part = "cell lamp\n  in a b\n  out y\n  nor g: a b -> y {part=74AHC02}\nend\n";

}  // namespace

TEST_CASE("timing: unit delays, those of a family, the least and the most") {
  const Json unit = document("timing lever_latch.gates");
  CHECK(unit["schema"] == "timing/1");
  CHECK(unit["time_unit"] == nullptr);
  CHECK(unit["delays"] == "unit");
  CHECK(needed(unit, "setup", "lever", "0") == 3);
  CHECK(needed(unit, "hold", "lever", "1") == -1);
  // A 0 must have come through the inverter (74HC02: 9 ns, 18 at most) and the AND (74HC08: 10 and 20 ns) when `read` ends.
  const Json typical = document("timing lever_latch.gates --family HC");
  CHECK(typical["time_unit"] == "ps");
  CHECK(typical["delays"] == "typ");
  CHECK(needed(typical, "setup", "lever", "0") == 19000);
  CHECK(needed(document("timing lever_latch.gates --family HC --delays max"), "setup", "lever", "0") == 38000);
  CHECK(needed(document("timing lever_latch.gates --family HC --delays min"), "setup", "lever", "0") == 4750);
  CHECK(document("timing lever_latch.gates --family HC --delays unit") == unit);
}

TEST_CASE("timing: a circuit without storage has propagation only") {
  const ScratchFolder folder;
  folder.put("lamp.gates", one_gate);
  const Outcome text = run_shell("settle timing lamp.gates --ascii 2>&1", folder.path().string());
  CHECK(text.status == 0);
  CHECK(has(text.output, "lamp with unit delays, each gate one unit.\n"));
  CHECK(has(text.output, "  a falls -> y falls "));
  CHECK_FALSE(has(text.output, "Needed at least"));
  CHECK_FALSE(has(text.output, "What limits it"));
  const Outcome margin = run_shell("settle margin lamp.gates 2>&1", folder.path().string());
  CHECK(margin.status == 0);
  CHECK(has(margin.output, "lamp: 1 gate, 0 loops, 2 inputs\n"));
}

TEST_CASE("timing and margin: a family that is not listed is told at the part that names it") {
  const ScratchFolder folder;
  folder.put("odd.gates", odd_part);
  for (const std::string call : {"timing odd.gates --family HC", "margin odd.gates --family HC", "run odd.gates --family LS",
                                 "timing odd.gates --delays max", "check odd.gates --family HC"}) {
    const Outcome outcome = run_shell("settle " + call + " 2>&1", folder.path().string());
    INFO(call << "\n" << outcome.output);
    CHECK(outcome.status == 2);
    CHECK(has(outcome.output, "odd.gates:4:19: error: there are no delays of family 'AHC' for part '74AHC02'\n"
                              "    nor g: a b -> y {part=74AHC02}\n"));
    CHECK(has(outcome.output, "hint: the families are LS, HC, HCT, AC and 4000B; --families FILE adds more"));
  }
  // Without delays of parts the name of a part is only a name.
  CHECK(run_shell("settle timing odd.gates", folder.path().string()).status == 0);
  CHECK(has(run_settle("timing lever_latch.gates --family AHC").output,
            "settle: error: there is no logic family 'AHC'\n  hint: the families are LS, HC, HCT, AC and 4000B"));
}

TEST_CASE("timing and margin: wrong calls end with status 2, and say why") {
  const std::pair<const char*, const char*> rows[] = {
      {"timing", "NETLIST is required"},
      {"margin", "NETLIST is required"},
      {"timing nothere.gates", "cannot read 'nothere.gates'"},
      {"margin nothere.gates", "cannot read 'nothere.gates'"},
      {"timing lever_latch.gates --format svg", "--format"},
      {"margin lever_latch.gates --format csv", "--format"},
      {"timing lever_latch.gates --delays random", "--delays"},
      {"margin lever_latch.gates --delays random", "--delays"},
      {"timing lever_latch.gates --limit-steps 0", "--limit-steps"},
      {"timing lever_latch.gates --cell leverlatch", "did you mean 'lever_latch'?"},
      {"margin lever_latch.gates --set leaver=1", "leaver"},
  };
  for (const auto& [arguments, message] : rows) {
    const Outcome outcome = run_settle(arguments);
    INFO(arguments << "\n" << outcome.output);
    CHECK(outcome.status == 2);
    CHECK(has(outcome.output, message));
  }
}

TEST_CASE("timing and margin: a limit ends with status 3, and what was found is marked as incomplete") {
  for (const std::string limit : {"timing lever_latch.gates --limit-steps 5", "timing lever_latch.gates --limit-stable 1",
                                  "margin bell_divider.gates --limit-states 2"}) {
    INFO(limit);
    const Json json = document(limit, 3);
    CHECK(json["complete"] == false);
    const Outcome text = run_settle(limit);
    CHECK(text.status == 3);
    CHECK((has(text.output, "Incomplete: ") || has(text.output, "between") || has(text.output, "limit")));
  }
}

TEST_CASE("margin: the race of the master and slave as a document, under each choice of delays") {
  const Json unit = document("margin bell_divider.gates");
  CHECK(unit["schema"] == "margin/1");
  CHECK(unit["settled"] == 10);
  REQUIRE(unit["steps"].size() == 2);
  const Json& step = unit["steps"][0];
  CHECK(step["kind"] == "exact");
  CHECK(step["fraction"] == Json::array({1, 2}));
  CHECK(step["races"][0]["faster"] == Json::array({"invert"}));
  CHECK(step["witness"]["delays"].size() == 9);
  // All gates are as much slower: the margin stays what it is but for the different figures of the parts.
  const Json max = document("margin bell_divider.gates --family HC --delays max");
  CHECK(max["steps"][0]["races"][0]["faster_time"].get<int>() >= 1000);
  CHECK(max["complete"] == true);
  // Rise and fall apart can only lower it.
  const Json apart = document("margin bell_divider.gates --edges-apart");
  CHECK(apart["steps"][0]["proved"].get<double>() <= step["proved"].get<double>() + 1e-9);
}

TEST_CASE("margin: the witness is written for replay, and does what it says") {
  const ScratchFolder folder;
  const std::string call = "cp '" SETTLE_SOURCE_DIR "/examples/bell_divider.gates' . && settle margin bell_divider.gates --witness beyond -o margin.txt 2>&1";
  const Outcome outcome = run_shell(call, folder.path().string());
  INFO(outcome.output);
  CHECK(outcome.status == 0);
  CHECK(has(outcome.output, "wrote beyond.gates"));
  CHECK(has(content_of(folder.path() / "margin.txt"), "Tolerance: less than 50 % (1/2)"));
  const Outcome replay = run_shell("settle run beyond.gates beyond-1.stim 2>&1", folder.path().string());
  CHECK(replay.status == 0);  // the stimulus expects what goes wrong
  CHECK(has(replay.output, "expected warning indeterminate: when axle rises, invert and s_set race"));
}
