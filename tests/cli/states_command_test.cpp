// The states command as a user calls it; replay files are written and run.
#include <filesystem>
#include <string>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

namespace fs = std::filesystem;

Outcome settle_in(const fs::path& folder, const std::string& arguments) {
  return run_shell("settle " + arguments + " 2>&1", folder.string());
}

const fs::path examples = fs::path(SETTLE_SOURCE_DIR) / "examples";

}  // namespace

TEST_CASE("Every witness of the examples replays with settle run", "[states]") {
  const ScratchFolder scratch;
  for (const char* name : {"block_memory", "first_to_ask", "gated_block", "bell_divider"}) {
    INFO(name);
    const Outcome written =
        settle_in(scratch.path(), "states '" + (examples / name).string() + ".gates' --witness " + name + " -o " + name + ".txt");
    INFO(written.output);
    CHECK(written.status == 0);
    int stimuli = 0;
    for (int i = 1; fs::exists(scratch.path() / (std::string(name) + "-" + std::to_string(i) + ".stim")); ++i) {
      ++stimuli;
      const std::string stimulus = std::string(name) + "-" + std::to_string(i) + ".stim";
      const Outcome replay = settle_in(scratch.path(), std::string("run --quiet ") + name + ".gates " + stimulus);
      INFO(stimulus << "\n" << replay.output);
      CHECK(replay.status == 0);
    }
    CHECK(stimuli >= 3);
  }
}

TEST_CASE("The states command answers in three forms, whatever the number of threads", "[states]") {
  const Outcome text = settle_in(examples, "states lever_latch.gates --ascii");
  CHECK(text.status == 0);
  CHECK(text.output.find("Stores 1 bit") != std::string::npos);
  const Outcome one = settle_in(examples, "states gated_block.gates --format json --jobs 1");
  const Outcome four = settle_in(examples, "states gated_block.gates --format json --jobs 4");
  CHECK(one.status == 0);
  CHECK(one.output.find("\"schema\": \"states/1\"") != std::string::npos);
  CHECK(one.output == four.output);
  const Outcome dot = settle_in(examples, "states lever_latch.gates --format dot");
  CHECK(dot.output.substr(0, 7) == "digraph");
}

TEST_CASE("The states command says what is wrong and what is incomplete", "[states]") {
  CHECK(settle_in(examples, "states lever_latch.gates --set laver=1").status == 2);
  CHECK(settle_in(examples, "states nowhere.gates").status == 2);
  CHECK(settle_in(examples, "states lever_latch.gates --format svg").status == 2);
  const Outcome cut = settle_in(examples, "states lever_latch.gates --limit-stable 2");
  CHECK(cut.status == 3);
  CHECK(cut.output.find("there are more than 2 stable states") != std::string::npos);
  const Outcome document = settle_in(examples, "states lever_latch.gates --limit-steps 7 --format json");
  CHECK(document.status == 3);
  CHECK(document.output.find("\"complete\": false") != std::string::npos);
}
