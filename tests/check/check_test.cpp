// Rows, verdicts and messages of whole checks.
#include "settle/check.h"

#include "check/check_texts.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::testing;

namespace {

const std::string good_stim = "set enter=1 leave=0\nsettle\nexpect occupied=1\n";
const std::string bad_stim = "set enter=1 leave=0\nsettle\nexpect occupied=0\n";
const std::string race_stim = "set enter=1 leave=1\nsettle\nset enter=0 leave=0\nwait 10\n";

CheckPolicy policy(const std::vector<std::string>& fail_on, const std::vector<std::string>& allow) {
  Diagnostics diagnostics;
  CheckPolicy made = CheckPolicy::parse(fail_on, allow, diagnostics);
  REQUIRE_FALSE(diagnostics.has_errors());
  return made;
}

}  // namespace

TEST_CASE("A netlist and its stimulus pass") {
  MemoryFiles files{{"m.gates", block_memory_text}, {"m.stim", good_stim}};
  const CheckResult result = check_files(files, {{"m.gates", ""}, {"m.stim", "m.gates"}});
  CHECK(told(result) == "m.gates pass\nm.stim pass\n");
  CHECK(result.files[1].passed == 1);
  CHECK(result.files[1].cell == "block_memory");
  CHECK(result.files[1].netlist == "m.gates");
  // Each file is read once.
  CHECK(files.reads().size() == 2);
}

TEST_CASE("A failed expectation shows its place and what came before") {
  MemoryFiles files{{"m.gates", block_memory_text}, {"m.stim", bad_stim}};
  const CheckResult result = check_files(files, {{"m.stim", "m.gates"}});
  CHECK(told(result) ==
        "m.stim fail\n"
        "m.stim:3:8: error: at 2, occupied: wanted 0, found 1\n"
        "  expect occupied=0\n"
        "         ^\n"
        "      occupied (nor hold_a): x at 0, 1 at 2\n"
        "      leave (input): 0 at 0\n"
        "      clear (nor hold_b): x at 0, 0 at 1\n");
}

TEST_CASE("An unexpected warning fails unless it is allowed") {
  MemoryFiles files{{"m.gates", block_memory_text}, {"m.stim", race_stim}};
  const CheckResult result = check_files(files, {{"m.stim", "m.gates"}});
  REQUIRE(result.files.size() == 1);
  CHECK(result.files[0].verdict == CheckVerdict::fail);
  CHECK(result.files[0].warnings == 1);
  CHECK(told(result).find("m.stim fail\nm.stim: warning: indeterminate at 1: when enter falls") == 0);

  CheckOptions options;
  options.policy = policy({}, {"indeterminate"});
  const CheckResult allowed = check_files(files, {{"m.stim", "m.gates"}}, options);
  CHECK(told(allowed) == "m.stim pass\n");
  CHECK(allowed.files[0].warnings == 0);
}

TEST_CASE("Lint warnings pass unless a kind or all warnings are named") {
  MemoryFiles files{{"m.gates", "cell c\n  in a b\n  out y\n  not g: a -> y\nend\n"}};
  CheckOptions options;
  const auto verdict = [&] { return check_files(files, {{"m.gates", ""}}, options).files.at(0).verdict; };
  CHECK(verdict() == CheckVerdict::pass);
  CHECK(check_files(files, {{"m.gates", ""}}).files[0].warnings == 1);
  options.policy = policy({"unused-input"}, {});
  CHECK(verdict() == CheckVerdict::fail);
  options.policy = policy({"warnings"}, {});
  CHECK(verdict() == CheckVerdict::fail);
  options.policy = policy({"notes"}, {});
  CHECK(verdict() == CheckVerdict::pass);
  options.policy = policy({"warnings"}, {"unused-input"});  // the kind outweighs the group
  CHECK(verdict() == CheckVerdict::pass);
  options.policy = policy({"unused-input"}, {"warnings"});
  CHECK(verdict() == CheckVerdict::fail);
}

TEST_CASE("Wrong kinds are errors with the nearest one") {
  Diagnostics diagnostics;
  const std::vector<std::string> fail_on = {"unused-inptu"}, allow = {"skew", "nonsense"};
  CheckPolicy::parse(fail_on, allow, diagnostics);
  CHECK(
      render(diagnostics, Sources()) ==
      "settle: error: --fail-on: 'unused-inptu' is not a kind of finding\n  hint: did you mean "
      "'unused-input'?\n"
      "settle: error: --allow: 'nonsense' is not a kind of finding\n  hint: --list-kinds shows all kinds\n");
  Diagnostics twice;
  const std::vector<std::string> both = {"skew"};
  CheckPolicy::parse(both, both, twice);
  CHECK(twice.has_errors());
}

TEST_CASE("Errors of a netlist are told once, and its stimuli are not run") {
  MemoryFiles files{{"m.gates", "cell c\n  in a\n  out y\n  nto g: a -> y\nend\n"}, {"m.stim", "settle\n"}};
  CHECK(told(check_files(files, {{"m.gates", ""}, {"m.stim", "m.gates"}})) ==
        "m.gates error\n"
        "m.gates:4:3: error: unknown gate or cell 'nto'\n    nto g: a -> y\n    ^\n  hint: did you mean "
        "'not'?\n"
        "m.stim error\n"
        "m.stim:1:1: error: cell 'c' of 'm.gates' has errors, so this was not run\n  settle\n  ^\n");
}

TEST_CASE("A stimulus without netlist is an error") {
  MemoryFiles files{{"a/m.stim", "settle\n"}, {"a/n.stim", "netlist \"gone.gates\"\nsettle\n"}};
  const CheckResult result = check_files(files, {{"a/m.stim", ""}, {"a/n.stim", ""}});
  CHECK(told(result).find("a/m.stim error\n"
                          "a/m.stim: error: no netlist goes with this stimulus\n"
                          "  hint: name its netlist 'm.gates', or write at its start: netlist \"FILE\"\n"
                          "a/n.stim error\n") == 0);
  CHECK(result.files[1].verdict == CheckVerdict::error);
  CHECK(result.files[1].items.at(0).message.find("a/gone.gates") != std::string::npos);
}

TEST_CASE("A line in the stimulus outweighs the name, and is relative to its folder") {
  MemoryFiles files{{"lib/m.gates", block_memory_text},
                    {"a/x.gates", "nonsense\n"},
                    {"a/x.stim", "netlist \"../lib/m.gates\"\n" + good_stim}};
  const CheckResult result = check_files(files, {{"a/x.stim", "a/x.gates"}});
  CHECK(told(result) == "a/x.stim pass\n");
  CHECK(result.files[0].netlist == "lib/m.gates");
}

TEST_CASE("Of several cells each is linted, and the stimulus says which is run") {
  const std::string two =
      "cell one\n  in a b\n  out y\n  not g: a -> y\nend\ncell two\n  in a\n  out y z\n  not g: a -> "
      "y\nend\n";
  MemoryFiles files{{"m.gates", two},
                    {"m.stim", "settle\n"},
                    {"m_1.stim", "cell one\nset a=1 b=0\nsettle\nexpect y=0\n"},
                    {"m_2.stim", "cell tow\nsettle\n"}};
  const CheckResult result = check_files(
      files, {{"m.gates", ""}, {"m.stim", "m.gates"}, {"m_1.stim", "m.gates"}, {"m_2.stim", "m.gates"}});
  REQUIRE(result.files.size() == 4);
  CHECK(result.files[0].verdict == CheckVerdict::pass);
  CHECK(result.files[0].warnings == 2);  // one in each cell
  CHECK(result.files[1].items.at(0).text ==
        "m.stim:1:1: error: 2 cells of 'm.gates' could be meant: 'one', 'two'\n  settle\n  ^\n"
        "  hint: say which at the start of the stimulus, as in: cell two\n");
  CHECK(result.files[2].verdict == CheckVerdict::pass);
  CHECK(result.files[2].cell == "one");
  CHECK(result.files[3].items.at(0).text ==
        "m_2.stim:1:6: error: netlist 'm.gates' has no cell 'tow'\n  cell tow\n       ^\n  hint: did you "
        "mean 'two'?\n");
}

TEST_CASE("Findings of an included file are told in its own row when it has one") {
  const std::string part = "cell part\n  in a b\n  out y\n  not g: a -> y\nend\n";
  MemoryFiles files{
      {"part.gates", part},
      {"top.gates", "include \"part.gates\"\ncell top\n  in a\n  out y\n  part p: a 0 -> y\nend\n"}};
  const CheckResult both = check_files(files, {{"part.gates", ""}, {"top.gates", ""}});
  CHECK(both.files[0].warnings == 1);
  CHECK(both.files[1].warnings == 0);
  const CheckResult alone = check_files(files, {{"top.gates", ""}});
  CHECK(alone.files[0].warnings == 1);
}

TEST_CASE("Unused cells of an included library are no circuits of this file") {
  MemoryFiles files{
      {"lib.gates", block_memory_text + "cell other\n  in a b\n  out y\n  not g: a -> y\nend\n"},
      {"top.gates",
       "include \"lib.gates\"\ncell top\n  in e l\n  out o\n  block_memory m: e l -> o _\nend\n"}};
  const CheckResult result = check_files(files, {{"top.gates", ""}});
  CHECK(told(result) == "top.gates pass\n");
  CHECK(result.files[0].warnings == 0);
}

TEST_CASE("Wrong demands are errors always, others are judged on request") {
  MemoryFiles files{{"m.gates", "cell c\n  in a\n  out y\n  not g: a -> y\n  require stores 1\nend\n"},
                    {"w.gates", "cell c\n  in a\n  out y\n  not g: a -> y\n  require sotres 1\nend\n"}};
  CHECK(told(check_files(files, {{"m.gates", ""}})) == "m.gates pass\n");
  CHECK(check_files(files, {{"m.gates", ""}}).files[0].unjudged == 1);
  CHECK(check_files(files, {{"w.gates", ""}}).files[0].unjudged == 0);
  CHECK(check_files(files, {{"w.gates", ""}}).files[0].verdict == CheckVerdict::error);
  CheckOptions options;
  options.storage = true;
  const CheckResult result = check_files(files, {{"m.gates", ""}}, options);
  CHECK(told(result) ==
        "m.gates fail\n"
        "m.gates:5:3: error: cell 'c' does not fulfil this: cell 'c' stores nothing, not 1 bit\n"
        "    require stores 1\n    ^\n"
        "  hint: 'settle explain --cell c' shows what it does\n");
  CHECK(result.files[0].unjudged == 0);
  REQUIRE(result.files[0].requirements.size() == 1);
  CHECK(result.files[0].requirements[0].answer == RequirementOutcome::Answer::broken);
}

TEST_CASE("A run that meets a limit is incomplete, a failure outweighs that") {
  const std::string trains = "repeat 90\npulse enter=1 leave=0 for 5\npulse leave=1 for 5\nend\n";
  MemoryFiles files{{"m.gates", block_memory_text},
                    {"m.stim", "set enter=0 leave=0\n" + trains},
                    {"m_f.stim", "set enter=0 leave=0\nsettle\nexpect clear=0\n" + trains}};
  CheckOptions options;
  options.run.change_limit = 50;
  options.policy = policy({}, {"warnings"});
  const CheckResult result = check_files(files, {{"m_f.stim", "m.gates"}, {"m.stim", "m.gates"}}, options);
  CAPTURE(told(result));
  CHECK(result.files[0].verdict == CheckVerdict::fail);
  CHECK_FALSE(result.files[1].incomplete_reason.empty());
  CHECK(result.files[1].verdict == CheckVerdict::incomplete);
}

TEST_CASE("The result is the same for any number of threads") {
  MemoryFiles files;
  std::vector<std::pair<std::string, std::string>> paths;
  for (int i = 0; i < 40; ++i) {
    const std::string name = "m" + std::to_string(i);
    files.put(name + ".gates", i % 7 == 3 ? "cell c\nnonsense\nend\n" : block_memory_text);
    files.put(name + ".stim", i % 3 == 0 ? bad_stim : i % 3 == 1 ? race_stim : good_stim);
    paths.push_back({name + ".gates", ""});
    paths.push_back({name + ".stim", name + ".gates"});
  }
  // MemoryFiles notes what is read and is for one thread; a reader without memory is not.
  class Shared final : public FileReader {
   public:
    explicit Shared(std::map<std::string, std::string> texts) : texts_(std::move(texts)) {}
    bool read(const std::string& path, std::string& text, std::string& error) override {
      const auto found = texts_.find(path);
      if (found == texts_.end())
        error = "no such file";
      else
        text = found->second;
      return found != texts_.end();
    }
    std::map<std::string, std::string> texts_;
  };
  std::map<std::string, std::string> texts;
  std::vector<CheckInput> inputs;
  for (const auto& [path, netlist] : paths) {
    std::string error;
    files.read(path, texts[path], error);
    inputs.push_back({path, path.ends_with(".stim"), netlist});
  }
  Shared shared(texts);
  CheckOptions options;
  const std::string one = told(check(inputs, shared, options));
  CHECK(one.find("m39.stim") != std::string::npos);
  for (const unsigned jobs : {2u, 3u, 16u}) {
    options.jobs = jobs;
    CHECK(told(check(inputs, shared, options)) == one);
  }
}

TEST_CASE("A stop signal leaves out what was not done") {
  MemoryFiles files{{"m.gates", block_memory_text}, {"m.stim", good_stim}};
  const std::atomic<bool> stop{true};
  CheckOptions options;
  options.stop = &stop;
  const CheckResult result = check_files(files, {{"m.gates", ""}, {"m.stim", "m.gates"}}, options);
  CHECK(result.interrupted);
  CHECK(result.files.empty());
  CHECK(result.planned == 2);
}
