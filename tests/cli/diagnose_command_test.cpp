// settle diagnose with answers typed through a pipe.
#include <string>

#include <nlohmann/json.hpp>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

/// The questions and what follows, answered with the lines of `answers` (as for printf).
Outcome asked(const std::string& answers, const std::string& options = "") {
  return run_shell("printf '" + answers + "' | settle diagnose lever_board.gates lever_board_seen.stim --ask --groups 1 " +
                   options + " 2>&1");
}

}  // namespace

TEST_CASE("diagnose: answers through a pipe lead to one group") {
  const Outcome done = asked("1\\n0\\n0\\n1\\n1\\n");
  CHECK(done.status == 0);
  CHECK(has(done.output, "1. look at pin 4 of U2:    10 groups left\n"));
  CHECK(has(done.output, "   1 group left\n"));
  CHECK(has(done.output, "1 of 463 single faults explains this exactly, in 1 group that nothing tells apart:\n"));
  CHECK(has(done.output, "to do: exchange the wires at pin 5 of U2 and pin 10 of U2\n"));
  CHECK_FALSE(has(done.output, "Next: "));
}

TEST_CASE("diagnose: when answers end, or it is enough, what is known by then is told, and what to look at next") {
  const Outcome ended = asked("1\\n0\\n");
  CHECK(ended.status == 0);
  CHECK(has(ended.output, "3. look at pin 5 of U2: \n"));
  CHECK(has(ended.output, "8 observations, of which"));
  CHECK(has(ended.output, "\nNext: look at pin 5 of U2\n"));
  CHECK(asked("1\\n0\\nq\\n").output == ended.output);
  // A last line without an end counts.
  CHECK(asked("1\\n0").output == ended.output);
  // Neither do line ends of another system matter.
  CHECK(asked("1\\r\\n0\\r\\nq\\r\\n").output == ended.output);
  // No answer at all: as without --ask, but for the question.
  const Outcome none = asked("");
  CHECK(none.status == 0);
  CHECK(has(none.output, "1. look at pin 4 of U2: \n"));
  CHECK(has(none.output, "6 observations, of which the intended circuit contradicts 2\n"));
}

TEST_CASE("diagnose: a stimulus that observes nothing is told of") {
  const Outcome outcome = run_shell("settle diagnose lever_board.gates lever_board.stim --groups 1 2>&1 >/dev/null");
  CHECK(outcome.status == 0);
  CHECK(has(outcome.output, "settle: warning: 'lever_board.stim' observes nothing\n"));
}

TEST_CASE("diagnose: a wrong answer is told and asked for again") {
  const Outcome wrong = asked("yes\\n2\\n\\n1\\n");
  CHECK(wrong.status == 0);
  const std::string told = "1. look at pin 4 of U2:    answer 0, 1, x (no clear level), ? (cannot look) or q (enough)\n";
  CHECK(has(wrong.output, told + told + told + "1. look at pin 4 of U2:    10 groups left\n"));
  // A place that cannot be looked at is not asked for again, and is no observation.
  const Outcome cannot = asked("?\\n");
  CHECK(cannot.status == 0);
  CHECK(has(cannot.output, "1. look at pin 4 of U2:    20 groups left\n"));
  CHECK(has(cannot.output, "6 observations, of which the intended circuit contradicts 2\n"));
  CHECK_FALSE(has(cannot.output, "Next: look at pin 4 of U2\n"));
}

TEST_CASE("diagnose: answers that no single fault gives") {
  // The buttons are read wrongly, too.
  const ScratchFolder folder;
  folder.put("odd.stim", "set lever=1 read=1\nsettle\nobserve seen=0 lever=0\nset lever=0 read=0\nsettle\n"
                         "observe seen=1 lever=1 read=1 seen_n=1 s=1 r=1\nset lever=1 read=1\nsettle\n"
                         "observe seen=1 lever=1 read=0 seen_n=1 s=0\n");
  const std::string call = "settle diagnose lever_board.gates '" + (folder.path() / "odd.stim").string() + "'";
  const Outcome odd = run_shell(call + " 2>&1");
  CHECK(odd.status == 1);
  CHECK(has(odd.output, "13 observations, of which the intended circuit contradicts 10\n"));
  const auto json = nlohmann::json::parse(run_shell(call + " --format json").output, nullptr, false);
  REQUIRE(json.is_object());
  CHECK(json["schema"] == "diagnose/1");
}

TEST_CASE("diagnose: questions and their results keep apart") {
  // Questions go to the standard error, the result to the standard output.
  const Outcome json = run_shell("printf '1\\n0\\n0\\n1\\n1\\n' | settle diagnose lever_board.gates lever_board_seen.stim --ask --format json 2>/dev/null");
  CHECK(json.status == 0);
  const auto document = nlohmann::json::parse(json.output, nullptr, false);
  REQUIRE(document.is_object());
  CHECK(document["groups"].size() == 1);
  // A place that was asked for shows as an observation.
  CHECK(document["observations"].size() == 11);
}

TEST_CASE("diagnose: no fault at all is an explanation, and is not counted as a fault") {
  const ScratchFolder folder;
  folder.put("wire.gates", "cell wire\n in lever\n out seen\n buf g: lever -> seen\nend\n");
  folder.put("none.stim", "set lever=0\nsettle\nobserve seen=0\n");
  folder.put("all.stim", "set lever=0\nsettle\nobserve seen=0 lever=0\nset lever=1\nsettle\nobserve seen=1 lever=1\n");
  const auto diagnosed = [&](const std::string& more) {
    return run_shell("settle diagnose wire.gates " + more + " --no-chips 2>&1", folder.path().string()).output;
  };
  const auto json = nlohmann::json::parse(diagnosed("none.stim --format json"), nullptr, false);
  REQUIRE(json.is_object());
  const auto faults = json["faults"].get<unsigned>();
  unsigned leading = 0;
  for (const auto& group : json["groups"]) leading += static_cast<unsigned>(group.size());
  REQUIRE(json["groups"][0][0]["kind"] == "none");
  const std::string text = diagnosed("none.stim");
  CAPTURE(text);
  CHECK(has(text, "The board may be right, but " + std::to_string(leading - 1) + " of " + std::to_string(faults) +
                      " single faults explain"));
  CHECK(has(text, " explanations\n"));
  const std::string right = diagnosed("all.stim");
  CAPTURE(right);
  CHECK(has(right, "The board may be right: none of " + std::to_string(faults) + " single faults explains this exactly.\n"));
}

TEST_CASE("diagnose: wrong calls") {
  for (const char* call : {"diagnose", "diagnose nothere.gates", "diagnose lever_board.gates nothere.stim",
                           "diagnose lever_board.gates --format svg", "diagnose lever_board.gates --max-faults 0"}) {
    INFO(call);
    CHECK(run_settle(std::string(call) + " < /dev/null").status == 2);
  }
}
