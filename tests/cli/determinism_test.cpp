// The same input gives the same bytes: whatever the number of threads, the environment, the clock and
// the addresses that the process was given.
#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "support/catch.h"
#include "support/run_program.h"

namespace {

using namespace settle::testing;
namespace fs = std::filesystem;

std::vector<std::string> names_with(const char* extension) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(fs::path(SETTLE_SOURCE_DIR) / "examples")) {
    if (entry.path().extension() == extension) names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

// Another language, time zone, terminal, home and stack; addresses differ from run to run by themselves.
const std::string other_environment =
    "env -i PATH=\"$PATH\" LC_ALL=de_DE.UTF-8 LANG=tr_TR.UTF-8 TZ=Asia/Kathmandu TERM=dumb HOME=/nowhere "
    "FILLER=aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa '" SETTLE_PROGRAM "' ";

void same_everywhere(const std::string& call, bool takes_jobs) {
  INFO(call);
  const Outcome plain = run_settle(call + (takes_jobs ? " --jobs 1" : ""));
  CHECK(plain.status % 3 == 0);  // done, or left incomplete by a limit
  CHECK_FALSE(plain.output.empty());
  if (takes_jobs) CHECK(run_settle(call + " --jobs 2").output == plain.output);
  const Outcome other = run_shell(other_environment + call + (takes_jobs ? " --jobs 5" : "") + " 2>&1");
  CHECK(other.status == plain.status);
  CHECK(other.output == plain.output);
}

}  // namespace

TEST_CASE("every example gives the same bytes with any number of jobs, in any environment", "[determinism]") {
  for (const std::string& netlist : names_with(".gates")) {
    // Its answers take seconds each; under sanitizers minutes.
    if (netlist == "route_register.gates") continue;
    for (const std::string form : {"text", "markdown", "csv", "json"})
      same_everywhere("table " + netlist + " --format " + form, true);
    for (const std::string form : {"text", "json", "dot"})
      same_everywhere("states " + netlist + " --format " + form, true);
    for (const std::string form : {"text", "json"})
      same_everywhere("explain " + netlist + " --format " + form, true);
  }
}

TEST_CASE("every example stimulus gives the same bytes in any environment", "[determinism]") {
  for (const std::string& stimulus : names_with(".stim")) {
    const std::string text = content_of(fs::path(SETTLE_SOURCE_DIR) / "examples" / stimulus);
    const auto first = text.find("netlist \"") + 9;
    const std::string netlist = text.substr(first, text.find('"', first) - first);
    for (const std::string form : {"text", "json", "vcd", "csv"}) {
      same_everywhere("run " + netlist + " " + stimulus + " --all-nets --format " + form, false);
    }
  }
}

TEST_CASE("replay files are the same whatever the number of jobs", "[determinism]") {
  const ScratchFolder scratch;
  const std::string netlist = SETTLE_SOURCE_DIR "/examples/first_to_ask.gates";
  for (const std::string jobs : {"1", "5"}) {
    REQUIRE(
        run_shell("settle states '" + netlist + "' --jobs " + jobs + " --witness w" + jobs + " -o s" + jobs,
                  scratch.path().string())
            .status == 0);
  }
  CHECK(content_of(scratch.path() / "w1.gates") == content_of(scratch.path() / "w5.gates"));
  CHECK(content_of(scratch.path() / "s1") == content_of(scratch.path() / "s5"));
}

// A limit stops every run at the same place, so that even a partial result is the same.
TEST_CASE("what a limit leaves is the same each time", "[determinism]") {
  for (const std::string call :
       {"states route_register.gates --limit-stable 40 --format json",
        "states bell_divider.gates --limit-steps 9 --format json",
        "states first_to_ask.gates --limit-states 4 --format json",
        "explain bell_divider.gates --limit-states 4",
        "run bell_divider.gates bell_divider.stim --limit-events 300 --format json"}) {
    INFO(call);
    const Outcome one = run_settle(call);
    CHECK(one.status != 2);
    for (const std::string jobs : {" --jobs 1", " --jobs 5"})
      CHECK(run_settle(call + (call.starts_with("run") ? "" : jobs)).output == one.output);
    CHECK(run_shell(other_environment + call + " 2>&1").output == one.output);
  }
}
