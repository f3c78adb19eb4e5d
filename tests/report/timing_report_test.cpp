// Reports of timing and margin, whole texts and all members of the documents.
#include <set>
#include <string>

#include <nlohmann/json.hpp>

#include "settle/margin_report.h"
#include "settle/timing_report.h"
#include "support/catch.h"
#include "support/circuit_text.h"

using namespace settle;

namespace {

const std::string nor_memory =
    "cell memory\n  in  s r\n  out q qn\n  nor a: r qn -> q\n  nor b: s q -> qn\nend\n";

TextStyle plain() {
  TextStyle style;
  style.ascii = true;
  style.width = 80;
  return style;
}

Timing timed(const std::string& text, TimingOptions options = {}) {
  return measure_timing(testing::circuit(text), options);
}

/// Names of members, in alphabetical order, with a space between.
std::string members(const nlohmann::json& object) {
  std::string names;
  for (const auto& [name, value] : object.items()) names += (names.empty() ? "" : " ") + name;
  return names;
}

}  // namespace

TEST_CASE("Timing of a memory as text") {
  CHECK(timing_text(timed(nor_memory), plain()) == R"(memory with unit delays, each gate one unit.

q, qn: set-reset latch, set and reset active high

  Propagation          least  most  slowest way
  s falls -> qn rises      1     1  s -> qn
  s rises -> q rises       2     2  s -> qn -> q
  s rises -> qn falls      1     1  s -> qn
  r falls -> q rises       1     1  r -> q
  r rises -> q falls       1     1  r -> q
  r rises -> qn rises      2     2  r -> q -> qn

  Needed at least                   right value  no glitch  undecided when it is
  high pulse of r                             2          2  1
  high pulse of s                             2          2  1
  recovery: r falls before s falls            1          1  at 0
  removal: r falls after s falls              1          1  at 0

  What limits it:
    high pulse of r: qn must have risen when r falls, at gate a.
    high pulse of s: q must have risen when s falls, at gate b.
    recovery: r falls before s falls: q must have risen when s falls, at gate b.
    removal: r falls after s falls: qn must have risen when r falls, at gate a.

  Proved for every whole offset: 5 stable states, 6 cases, their offsets in 18
  ranges, one simulation each.
)");
}

TEST_CASE("Timing of gates without a loop, and of nothing, as text") {
  CHECK(timing_text(timed("cell lamp\n in a\n out y\n not g: a -> y {delay=2..3..5ns}\nend\n"), plain()) ==
        R"(lamp with typical delays.

y: logic

  Propagation         least  most  slowest way
  a falls -> y rises   3 ns  3 ns  a -> y
  a rises -> y falls   3 ns  3 ns  a -> y

  Tried from all 2 stable states.
)");
}

TEST_CASE("Timing that a limit cut short says so in text and document") {
  TimingOptions options;
  options.stable_limit = 1;
  const Timing timing = timed(nor_memory, options);
  CHECK_FALSE(timing.complete);
  CHECK(timing_text(timing, plain()).find("\nIncomplete: ") != std::string::npos);
  const auto json = nlohmann::json::parse(timing_json(timing));
  CHECK(json["complete"] == false);
  CHECK(json["incomplete_reason"].is_string());
}

TEST_CASE("The document timing/1") {
  const auto json = nlohmann::json::parse(timing_json(timed(nor_memory)));
  CHECK(members(json) == "cells circuit complete delays incomplete_reason schema settle through time_unit");
  CHECK(json["schema"] == "timing/1");
  CHECK(json["circuit"] == "memory");
  CHECK(json["complete"] == true);
  CHECK(json["incomplete_reason"] == nullptr);
  CHECK(json["time_unit"] == nullptr);
  CHECK(json["delays"] == "unit");
  REQUIRE(json["cells"].size() == 1);
  const auto& cell = json["cells"][0];
  CHECK(members(cell) == "constraints copies kind note outputs propagation restless stable_states storage");
  CHECK(cell["kind"] == "set-reset latch, set and reset active high");
  CHECK(cell["storage"] == true);
  CHECK(cell["outputs"] == nlohmann::json::array({"q", "qn"}));
  CHECK(cell["stable_states"] == 5);
  REQUIRE(!cell["propagation"].empty());
  const auto& row = cell["propagation"][0];
  CHECK(members(row) == "bound cases from least most path to when");
  CHECK(members(row["from"]) == "edge net");
  std::set<std::string> kinds;
  for (const auto& c : cell["constraints"]) {
    kinds.insert(c["kind"].get<std::string>());
    CHECK(members(c) == "cases clean control data glitches kind race race_gate ranges restless right undecided value when");
  }
  CHECK(kinds == std::set<std::string>{"pulse", "recovery", "removal"});
  for (const auto& c : cell["constraints"]) {
    if (c["kind"] != "pulse" || c["control"]["net"] != "s") continue;
    CHECK(c["control"]["edge"] == "rise");
    CHECK(c["right"] == 2);
    CHECK(c["clean"] == 2);
    CHECK(c["undecided"] == nlohmann::json::array({nlohmann::json::array({1, 1})}));
    CHECK(c["value"] == nullptr);
  }
}

TEST_CASE("Margins of a memory that cannot fail, and of a race") {
  const Circuit memory = testing::circuit(nor_memory);
  const MarginStudy safe = study_margins(memory, [] {
    MarginOptions options;
    options.space.single_changes_only = true;
    return options;
  }());
  CHECK(margin_text(safe, memory, plain(), false) == R"(memory: 2 gates, 1 loop, 2 inputs
  Tolerance: any. No delays of the gates that stay what they are during a step
  spoil it.
  10 steps looked at: 10 settle whatever the delays.
)");
  CHECK(nlohmann::json::parse(margin_json(safe, memory))["steps"].empty());

  const Circuit loop = testing::circuit("cell loop\n  in i\n  out q\n  nand g: i q -> q\nend\n");
  CHECK(margin_text(study_margins(loop, {}), loop, plain(), false) == R"(loop: 1 gate, 1 loop, 1 input
  No step has a right ending: none of those looked at comes to rest.
  1 step looked at: 0 settle whatever the delays, 1 never rests.
)");

  // As in docs/margin.md: 2 (1 + d) = 5 (1 - d).
  const Circuit sum = testing::circuit(
      "cell slow_sum\n  in  lever read\n  out seen\n  not invert: read -> read_n\n  and load:   lever read   -> new\n"
      "  and keep:   seen  read_n -> old\n  or  sum:    new old      -> seen {delay=4}\nend\n");
  MarginOptions options;
  options.space.single_changes_only = true;
  const auto json = nlohmann::json::parse(margin_json(study_margins(sum, options), sum));
  CHECK(members(json) == "circuit complete incomplete_reason inputs never_rest outputs schema settle settled steps");
  CHECK(json["schema"] == "margin/1");
  CHECK(json["complete"] == true);
  CHECK(json["settled"] == 11);
  REQUIRE(json["steps"].size() == 1);
  const auto& step = json["steps"][0];
  CHECK(members(step) ==
        "fails fraction from_inputs from_outputs inputs kind orders proved races right_outputs witness");
  CHECK(step["kind"] == "exact");
  CHECK(step["fraction"] == nlohmann::json::array({3, 7}));
  CHECK(step["from_inputs"] == "11");
  CHECK(step["inputs"] == "10");
  REQUIRE(step["races"].size() == 1);
  CHECK(members(step["races"][0]) == "faster faster_time message slower slower_time");
  CHECK(step["races"][0]["faster"] == nlohmann::json::array({"invert", "keep"}));
  CHECK(step["races"][0]["slower"] == nlohmann::json::array({"load", "sum"}));
  CHECK(step["races"][0]["faster_time"] == 2);
  CHECK(step["races"][0]["slower_time"] == 5);
  CHECK(members(step["witness"]) == "delays outputs period scale spread");
  CHECK(step["witness"]["outputs"] == "0");
  CHECK(step["witness"]["delays"].size() == 4);
}
