// settle compare as a program reads it: the document of equal, different and wrongly wired circuits.
#include <string>

#include <nlohmann/json.hpp>

#include "support/catch.h"
#include "support/run_program.h"

namespace settle::testing {
namespace {

nlohmann::json comparison(const std::string& files, int status) {
  // Warnings about the second file go to the standard error.
  const Outcome outcome = run_shell("settle compare " + files + " --format json 2>/dev/null");
  INFO(files << "\n" << outcome.output);
  CHECK(outcome.status == status);
  auto json = nlohmann::json::parse(outcome.output, nullptr, false);
  REQUIRE(json.is_object());
  CHECK(json.at("schema") == "compare/1");
  return json;
}

const char* const pair_of_gates = R"(cell pair
  in  a b
  out y
  KIND g: a b -> y
end
)";

std::string with_kind(const std::string& kind) {
  std::string text = pair_of_gates;
  return text.replace(text.find("KIND"), 4, kind);
}

TEST_CASE("compare --format json: the same gates") {
  const auto json = comparison("lever_latch.gates lever_board.gates", 0);
  CHECK(json.at("complete") == true);
  CHECK(json.at("answer") == "equal");
  CHECK(json.at("proof") == "gates");
  CHECK(json.at("first") == "lever_latch.gates");
  CHECK(json.at("inputs") == nlohmann::json({"lever", "read"}));
  CHECK(json.at("outputs") == nlohmann::json({"seen", "seen_n"}));
  CHECK(json.at("steps").empty());
  CHECK(json.at("output").is_null());
  CHECK(json.at("state").is_null());
  CHECK(json.at("wiring").is_null());
}

TEST_CASE("compare --format json: other gates, and the inputs that tell them apart") {
  const ScratchFolder folder;
  folder.put("and.gates", with_kind("and"));
  folder.put("or.gates", with_kind("or"));
  folder.put("both.gates",
             "cell pair\n  in a b\n  out y\n  nand n: a b -> y_n\n  not i: y_n -> y\nend\n");
  const std::string at = folder.path().string() + "/";
  const auto different = comparison(at + "and.gates " + at + "or.gates", 1);
  CHECK(different.at("answer") == "different");
  CHECK(different.at("proof").is_null());
  CHECK(different.at("output") == "y");
  CHECK(different.at("shortest") == true);
  REQUIRE(different.at("steps").size() == 1);
  // One input at 1: and gives 0, or gives 1.
  const auto& step = different.at("steps")[0];
  CHECK((step.at("inputs") == "01" || step.at("inputs") == "10"));
  CHECK(step.at("first") == "0");
  CHECK(step.at("second") == "1");
  const auto equal = comparison(at + "and.gates " + at + "both.gates", 0);
  CHECK(equal.at("proof") == "inputs");
}

TEST_CASE("compare --format json: one wire in the wrong hole of a board") {
  std::string board = content_of(SETTLE_SOURCE_DIR "/examples/lever_board.gates");
  const auto at = board.find("5=r");
  REQUIRE(at != std::string::npos);
  const ScratchFolder folder;
  folder.put("board.gates", board.replace(at, 3, "5=s"));
  const auto json = comparison("lever_latch.gates " + folder.path().string() + "/board.gates", 1);
  CHECK(json.at("answer") == "different");
  CHECK(json.at("wiring").at("fewest") == true);
  REQUIRE(json.at("wiring").at("differences").size() == 1);
  const auto& pin = json.at("wiring").at("differences")[0];
  CHECK(pin.at("pin") == "pin 5 of U1");
  CHECK(pin.at("has") == "'s'");
  CHECK(pin.at("wants") == "pin 6 of U2");
  CHECK(pin.at("gate") == "keep.hold_a");
}

}  // namespace
}  // namespace settle::testing
