// Limits as a user meets them: each stops the work at once, says which, where and how to raise it, and
// leaves exit status 3 and an honest partial result. Each case is an input that was built to hit one, or
// that once did harm.
#include <filesystem>
#include <string>

#include <nlohmann/json.hpp>

#include "settle/limits.h"
#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

// Cells in cells, each ten of the one before: 10^levels gates in a few lines.
std::string nest(int levels) {
  std::string text = "cell c0\n in a\n out y\n not g: a -> y\nend\n";
  for (int i = 1; i <= levels; ++i) {
    text += "cell c" + std::to_string(i) + "\n in a\n out y\n c" + std::to_string(i - 1) +
            " k[9:0]: a -> _\n buf g: a -> y\nend\n";
  }
  return text;
}

struct LimitCase {
  const char* name;
  std::string netlist, stimulus, arguments;
  const char* message;
};

// The address sanitizer reserves terabytes and ends where memory is refused.
#if defined(SETTLE_SANITIZED)
constexpr bool memory_can_be_refused = false;
#else
constexpr bool memory_can_be_refused = true;
#endif

const std::string follower = "cell c\n in a\n out y\n buf g: a -> y\nend\n";
const std::string keeper = "cell c\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n";

}  // namespace

TEST_CASE("every limit says which it is, where it was met and how to raise it", "[limits]") {
  const LimitCase cases[] = {
      {"gates in nested cells", nest(12), "", "run x.gates",
       "x.gates:72:6: error: cell 'c12' has more than 20000000 gates"},
      {"gates asked for", nest(2), "", "run x.gates --limit-gates 100",
       "hint: --limit-gates allows more (now 100)"},
      {"nets asked for", nest(2), "", "run x.gates --limit-nets 100",
       "hint: --limit-nets allows more (now 100)"},
      {"array of 2^32 elements", "cell c\n in a\n out y\n not g[4294967295:0]: a -> _\n buf h: a -> y\nend\n",
       "", "run x.gates",
       "x.gates:4:7: error: [4294967295:0] is 4294967296 wide; at most 1048576 are possible"},
      {"bus of 2^32 bits", "cell c\n in a[0:4294967295]\n out y\n buf h: a[0] -> y\nend\n", "", "run x.gates",
       "hint: --limit-array allows more (now 1048576)"},
      {"a slice that makes a bus of 2^32 bits",
       "cell c\n in a\n out y\n buf g: a -> n[4294967295]\n buf h: n[0] -> y\nend\n", "", "run x.gates",
       "x.gates:4:14: error: bus 'n[4294967295:0]' is wider than 1048576 bits"},
      {"array limit asked for", "cell c\n in a[7:0]\n out y\n buf h: a[0] -> y\nend\n", "",
       "run x.gates --limit-array 4", "x.gates:2:6: error: [7:0] is 8 wide; at most 4 are possible"},
      {"file size", follower + std::string(3u << 20, '\n'), "", "run x.gates --limit-file 1",
       "cannot read 'x.gates': it is larger than 1 MiB\n  hint: --limit-file allows more (now 1)"},
      {"stimulus size", follower, std::string(3u << 20, '\n'), "run x.gates x.stim --limit-file 1",
       "cannot read 'x.stim': it is larger than 1 MiB"},
      {"value changes", follower, "clock a period 2 high 1\nwait 1000\n",
       "run x.gates x.stim --limit-changes 20",
       "more than 20 value changes recorded, at time 10: --limit-changes allows more (now 20)"},
      {"events in time", follower, "clock a period 2 high 1\nwait 1000000000000\n",
       "run x.gates x.stim --limit-events 3000", "--limit-events allows more (now 3000)"},
      {"statements that take no time", follower, "repeat 1000000000\nrepeat 1000000000\nset a=1\nend\nend\n",
       "run x.gates x.stim --limit-events 5000", "more than 5000 events, at time 0"},
      {"rounds of nothing", follower,
       "repeat 1000000000\nrepeat 1000000000\nrepeat 1000000000\nend\nend\nend\n",
       "run x.gates x.stim --limit-events 5000", "more than 5000 events, at time 0"},
      {"start states", keeper, "power-up every\nset s=0 r=0\nsettle\n", "run x.gates x.stim --limit-lanes 1",
       "more than 1 stable start states"},
      {"states listed", keeper, "", "states x.gates --limit-stable 2",
       "more than 2 stable states: --limit-stable allows more"},
      {"steps judged", keeper, "", "states x.gates --limit-steps 2", "--limit-steps allows more (now 2)"},
      {"free inputs", keeper, "", "states x.gates --limit-inputs 1", "--limit-inputs allows more (now 1)"},
      {"states visited", keeper, "", "states x.gates --limit-states 1",
       "--limit-states and --limit-memory allow more"},
      {"rows of a table", follower, "", "table x.gates --limit-rows 1", "--limit-rows"},
  };
  for (const LimitCase& limit : cases) {
    INFO(limit.name);
    const ScratchFolder scratch;
    scratch.put("x.gates", limit.netlist);
    scratch.put("x.stim", limit.stimulus);
    const Outcome outcome =
        run_shell("settle " + limit.arguments + " --width 1000 2>&1", scratch.path().string());
    INFO(outcome.output.substr(0, 2000));
    CHECK(outcome.output.find(limit.message) != std::string::npos);
    CHECK(outcome.status == 3);
  }
}

// Not coming to rest is a warning as well, which was not expected.
TEST_CASE("the limit on time leaves a warning, and so status 1", "[limits]") {
  const ScratchFolder scratch;
  scratch.put("x.gates",
              "cell c\n in a\n out y\n buf f: a -> n {delay=100}\n buf g: n -> y {delay=100}\nend\n");
  scratch.put("x.stim", "set a=1\nsettle\n");
  const Outcome outcome =
      run_shell("settle run x.gates x.stim --limit-time 50 --width 1000 2>&1", scratch.path().string());
  CHECK(outcome.output.find("not settled within 50 units since time 0: --limit-time allows more (now 50)") !=
        std::string::npos);
  CHECK(outcome.status == 1);
}

// The text was wrapped in a time that grew with the square of the length of a word.
TEST_CASE("a name of a million letters is no trouble", "[limits]") {
  const ScratchFolder scratch;
  scratch.put("x.gates", "cell " + std::string(1'000'000, 'a') + "\n in a\n out y\n buf g: a -> y\nend\n");
  for (const char* command : {"run", "table", "states", "explain"}) {
    CHECK(
        run_shell(std::string("settle ") + command + " x.gates | tail -c 1 | wc -c", scratch.path().string())
            .output == "1\n");
  }
}

TEST_CASE("a limit met in a document says that it is incomplete", "[limits]") {
  const ScratchFolder scratch;
  scratch.put("x.gates", keeper);
  scratch.put("x.stim", "clock s period 20 high 10\nset r=0\nwait 100000\n");
  for (const char* arguments : {"run x.gates x.stim --limit-changes 20", "states x.gates --limit-stable 2",
                                "states x.gates --limit-steps 2", "explain x.gates --limit-stable 2",
                                "table x.gates --limit-stable 2"}) {
    INFO(arguments);
    const Outcome outcome =
        run_shell(std::string("settle ") + arguments + " --format json 2>/dev/null", scratch.path().string());
    CHECK(outcome.status == 3);
    const auto document = nlohmann::json::parse(outcome.output);
    CHECK(document["complete"] == false);
    CHECK(document["incomplete_reason"].get<std::string>().find("--limit-") != std::string::npos);
  }
}

TEST_CASE("includes may be deep, and the depth has a limit and an option", "[limits]") {
  const ScratchFolder scratch;
  for (int i = 0; i < 200; ++i) {
    scratch.put("f" + std::to_string(i) + ".gates", "include \"f" + std::to_string(i + 1) + ".gates\"\n");
  }
  scratch.put("f200.gates", follower);
  const Outcome cut = run_shell("settle run f0.gates 2>&1", scratch.path().string());
  CHECK(cut.status == 3);
  CHECK(cut.output.find("f63.gates:1:9: error: includes are nested more than 64 files deep") !=
        std::string::npos);
  CHECK(run_shell("settle run f0.gates --limit-depth 1000 2>&1", scratch.path().string()).status == 0);
}

TEST_CASE("the number of errors shown is a limit with an option", "[limits]") {
  const ScratchFolder scratch;
  std::string text = "cell c\n in a\n out y\n";
  for (int i = 0; i < 40; ++i) text += " buf h" + std::to_string(i) + ": y -> a\n";
  scratch.put("x.gates", text + "end\n");
  const Outcome few = run_shell("settle run x.gates --limit-errors 2 2>&1", scratch.path().string());
  CHECK(few.status == 2);
  CHECK(few.output.find("x.gates:6:") == std::string::npos);
  const Outcome all = run_shell("settle run x.gates --limit-errors 100 2>&1", scratch.path().string());
  CHECK(all.output.find("x.gates:43:") != std::string::npos);
}

// A wrong file stays wrong: the limit is told, but the status says that the input must be mended.
TEST_CASE("an error beside a limit leaves status 2", "[limits]") {
  const ScratchFolder scratch;
  scratch.put("x.gates", "cell c\n in a[4294967295:0]\n out y\n bfu h: a[0] -> y\n nosuch\nend\n");
  CHECK(run_shell("settle run x.gates 2>&1", scratch.path().string()).status == 2);
}

TEST_CASE("a few wide arrays are refused before they keep the compiler busy", "[limits]") {
  const ScratchFolder scratch;
  std::string text = "cell c\n in a[1048575:0]\n out y[1048575:0]\n";
  for (int i = 0; i < 4000; ++i)
    text += " buf g" + std::to_string(i) + "[1048575:0]: a -> n" + std::to_string(i) + "[1048575:0]\n";
  scratch.put("x.gates", text + "end\n");
  const Outcome outcome =
      run_shell(std::string(memory_can_be_refused ? "ulimit -v 2000000; " : "") + "settle run x.gates 2>&1",
                scratch.path().string());
  INFO(outcome.output);
  CHECK(outcome.status == 3);
  CHECK(outcome.output.find("more than 20000000 gates") != std::string::npos);
}

// Whatever the process is refused, it ends with a message; the sizes step through all of its phases.
TEST_CASE("running out of memory ends with a message and status 3", "[limits]") {
  if (!memory_can_be_refused) return;
  const ScratchFolder scratch;
  std::string text = "cell c\n in a[15:0]\n out y[15:0]\n";
  for (int i = 0; i < 60000; ++i)
    text += " nor g" + std::to_string(i) + ": a[" + std::to_string(i % 16) + "] h" + std::to_string(i) +
            " -> _\n";
  for (int i = 0; i < 60000; ++i)
    text +=
        " nor k" + std::to_string(i) + ": a[" + std::to_string(i % 16) + "] -> h" + std::to_string(i) + "\n";
  for (int i = 0; i < 16; ++i)
    text += " nor z" + std::to_string(i) + ": a[" + std::to_string(i) + "] y[" +
            std::to_string((i + 1) % 16) + "] -> y[" + std::to_string(i) + "]\n";
  scratch.put("x.gates", text + "end\n");
  int refused = 0;
  for (const std::string command : {"run", "states --jobs 3", "table --jobs 3", "explain --jobs 3"}) {
    for (int kib = 24'000; kib <= 120'000; kib += 12'000) {
      const std::string call = "settle " + command + " x.gates" +
                               (command == "run"               ? ""
                                : command.starts_with("table") ? " --set a[15:2]=0 --limit-states 2000"
                                                               : " --limit-inputs 4 --limit-states 2000");
      const Outcome outcome = run_shell("ulimit -v " + std::to_string(kib) + "; " + call + " 2>&1 >/dev/null",
                                        scratch.path().string());
      INFO(command << " " << kib << "\n" << outcome.output.substr(0, 500));
      const bool ended = outcome.status == 0 || outcome.status == 1 || outcome.status == 3;
      CHECK(ended);
      if (outcome.output.find("out of memory") != std::string::npos) ++refused;
    }
  }
  CHECK(refused > 0);
}

TEST_CASE("where no thread is to be had the work is done without, with the same result", "[limits]") {
  if (!memory_can_be_refused) return;
  for (const std::string call : {"states gated_block.gates", "check block_memory.gates block_memory.stim lever_latch.gates",
                                 "sweep block_memory.gates - --samples 20"}) {
    const std::string whole =
        "printf 'set enter=1 leave=0\nsettle\nexpect occupied=1\n' | settle " + call + " --jobs 4 2>&1";
    // The stack of one thread alone would be larger than all there may be.
    const Outcome alone = run_shell("ulimit -s 4000000 && ulimit -v 1000000 && " + whole), several = run_shell(whole);
    INFO(call << "\n" << alone.output);
    CHECK(alone.status == 0);
    CHECK(alone.output == several.output);
  }
}

// The table is the source of the options: each stands in the help of some command with its default.
TEST_CASE("every limit of the table is an option with its default", "[limits]") {
  std::string help;
  for (const char* command : {"run", "table", "states", "explain"})
    help += run_settle(std::string(command) + " --help").output;
  std::size_t index = 0;
  for (const settle::LimitInfo& limit : settle::limit_table) {
    INFO(limit.option);
    CHECK(static_cast<std::size_t>(limit.kind) == index++);
    CHECK(limit.least <= limit.standard);
    CHECK(limit.standard <= limit.most);
    const auto at = help.find(std::string(limit.option) + " ");
    REQUIRE(at != std::string::npos);
    CHECK(help.substr(at, help.find('\n', at) - at).ends_with("]=" + std::to_string(limit.standard)));
  }
}
