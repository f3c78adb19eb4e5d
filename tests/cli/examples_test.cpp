// Every example must do what it says: its stimulus runs with the built program, all expectations
// hold and no warning comes that was not expected.

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "support/catch.h"
#include "support/run_program.h"

namespace {

using namespace settle::testing;
namespace fs = std::filesystem;

std::vector<fs::path> files_with(const char* extension) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(fs::path(SETTLE_SOURCE_DIR) / "examples")) {
    if (entry.path().extension() == extension) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

// The file named in the line `netlist "FILE"`.
std::string netlist_of(const fs::path& stimulus) {
  const std::string text = content_of(stimulus);
  const auto at = text.find("\nnetlist \"");
  if (at == std::string::npos) return {};
  const auto first = at + 10;
  return text.substr(first, text.find('"', first) - first);
}

}  // namespace

TEST_CASE("Every example stimulus passes", "[examples]") {
  const auto stimuli = files_with(".stim");
  REQUIRE(stimuli.size() >= 10);
  for (const auto& stimulus : stimuli) {
    const std::string netlist = netlist_of(stimulus);
    INFO(stimulus.filename().string());
    REQUIRE(!netlist.empty());
    const Outcome outcome = run_settle("run --quiet " + netlist + " " + stimulus.filename().string());
    INFO(outcome.output);
    CHECK(outcome.status == 0);
  }
}

TEST_CASE("Every example netlist has a stimulus that judges it", "[examples]") {
  std::string used;
  for (const auto& stimulus : files_with(".stim")) {
    if (content_of(stimulus).find("\nexpect ") != std::string::npos) used += netlist_of(stimulus) + " ";
  }
  for (const auto& netlist : files_with(".gates")) {
    INFO(netlist.filename().string());
    CHECK(used.find(netlist.filename().string() + " ") != std::string::npos);
  }
}

TEST_CASE("Every example netlist teaches and warns", "[examples]") {
  for (const auto& netlist : files_with(".gates")) {
    const std::string text = content_of(netlist);
    INFO(netlist.filename().string());
    for (const char* part : {"# What it is:", "# What to look at:", "# On the bench:",
                             "# Caution: a simulation is no safety case"}) {
      INFO(part);
      CHECK(text.find(part) != std::string::npos);
    }
  }
}

// A test that cannot fail is worth nothing: the same run with one expectation turned round must fail.
TEST_CASE("A wrong expectation in an example is found", "[examples]") {
  std::string text = content_of(fs::path(SETTLE_SOURCE_DIR) / "examples/block_memory.stim");
  const std::string right = "wait 1 ; expect occupied=1 clear=0";
  const auto at = text.find(right);
  REQUIRE(at != std::string::npos);
  text.replace(at, right.size(), "wait 1 ; expect occupied=0 clear=0");
  const fs::path wrong = fs::temp_directory_path() / "settle_examples_test.stim";
  const auto line = text.find("netlist \"");
  text.erase(line, text.find('\n', line) - line);
  std::ofstream(wrong) << text;
  const Outcome outcome = run_settle("run block_memory.gates '" + wrong.string() + "'");
  fs::remove(wrong);
  INFO(outcome.output);
  CHECK(outcome.status == 1);
}
