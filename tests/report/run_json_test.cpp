#include <nlohmann/json.hpp>

#include "report/hand_made.h"
#include "settle/report.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::test;

namespace {

RunResult example() {
  RunResult run;
  add_net(run.waveform, in, "enter", "0110");
  add_bus(run.waveform, out, "route", {"xx", "x0", "10", "10"});
  Finding finding;
  finding.time = 1;
  finding.since = 3;
  finding.causes = {{"enter", 1, Value::zero, Value::one}};
  finding.nets = {"occupied", "clear"};
  finding.gates = {"hold_a", "hold_b"};
  finding.period = 2;
  finding.outcomes = {{Value::zero, Value::one}};
  finding.outcome_count = 2;
  finding.may_hang = true;
  finding.skewed_verdict = Verdict::oscillation;
  finding.repeats = 4;
  finding.message = "hold_a and hold_b race";
  run.findings = {finding};
  run.passed = 2;
  run.failed = 1;
  run.failures.push_back({{0, 9}, 3, "occupied", "1", "x", 0, {"3: hold_a nor -> x"}});
  return run;
}

std::string json_of(const RunResult& run, const WaveformView& view = {}) {
  Sources sources;
  sources.add("cabin.stim", "settle\n  expect occupied=1\n");
  return run_json(run, named_circuit("block_memory"), sources, view);
}

}  // namespace

TEST_CASE("the whole document run/1") {
  CHECK(json_of(example()) == R"({
  "schema": "run/1",
  "settle": ")" + std::string(version()) + R"(",
  "circuit": "block_memory",
  "complete": true,
  "incomplete_reason": null,
  "time_unit": "unit",
  "end_time": 3,
  "lanes": 1,
  "signals": [
    {"name": "enter", "changes": [[0, "0"], [1, "1"], [3, "0"]]},
    {"name": "route[1]", "changes": [[0, "x"], [2, "1"]]},
    {"name": "route[0]", "changes": [[0, "x"], [1, "0"]]}
  ],
  "warnings": [
    {
      "kind": "indeterminate",
      "severity": "warning",
      "time": 1,
      "since": 3,
      "nets": [
        "occupied",
        "clear"
      ],
      "gates": [
        "hold_a",
        "hold_b"
      ],
      "cause": [
        {
          "net": "enter",
          "time": 1,
          "from": "0",
          "to": "1"
        }
      ],
      "period": 2,
      "outcomes": [
        {
          "occupied": "0",
          "clear": "1"
        }
      ],
      "outcome_count": 2,
      "may_hang": true,
      "expected": false,
      "skewed_verdict": "oscillation",
      "repeats": 4,
      "message": "hold_a and hold_b race"
    }
  ],
  "expectations": {
    "passed": 2,
    "failed": 1,
    "failures": [
      {
        "file": "cabin.stim",
        "line": 2,
        "column": 3,
        "time": 3,
        "net": "occupied",
        "want": "1",
        "got": "x",
        "lane": 0,
        "history": [
          "3: hold_a nor -> x"
        ]
      }
    ]
  },
  "verdict": "fail"
}
)");
}

TEST_CASE("documents are JSON whatever the texts hold") {
  RunResult run = example();
  run.findings[0].message = "a \"quoted\" line\nand \xff no UTF-8";
  const auto json = nlohmann::json::parse(json_of(run));
  CHECK(json["warnings"][0]["message"].get<std::string>().substr(0, 18) == "a \"quoted\" line\nan");
  RunResult empty;
  CHECK(nlohmann::json::parse(json_of(empty))["signals"].empty());
}

TEST_CASE("the verdict is pass only for a complete run without failures and unexpected warnings") {
  RunResult run = example();
  run.failed = 0;
  run.failures.clear();
  const auto verdict = [&] { return nlohmann::json::parse(json_of(run))["verdict"].get<std::string>(); };
  CHECK(verdict() == "fail");
  run.findings[0].expected = true;
  CHECK(verdict() == "pass");
  run.complete = false;
  run.incomplete_reason = "stopped";
  CHECK(verdict() == "fail");
}

TEST_CASE("a view cuts the changes") {
  WaveformView view;
  view.from = 2;
  view.to = 2;
  view.patterns = {"route[0]", "enter"};
  const auto json = nlohmann::json::parse(json_of(example(), view));
  REQUIRE(json["signals"].size() == 2);
  CHECK(json["signals"][0].dump() == R"({"changes":[[2,"1"]],"name":"enter"})");
  CHECK(json["signals"][1].dump() == R"({"changes":[[2,"0"]],"name":"route[0]"})");
}
