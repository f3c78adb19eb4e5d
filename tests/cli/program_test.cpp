// The program as a whole: exit statuses, where texts go, files that appear whole or not at all.
#include <sys/stat.h>

#include <string>

#include <nlohmann/json.hpp>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

TEST_CASE("Exit status 0: nothing wrong") {
  CHECK(run_settle("run block_memory.gates --set enter=1,leave=0").status == 0);
  CHECK(run_settle("--help").status == 0);
  CHECK(run_settle("run --help").status == 0);
  const Outcome version = run_settle("--version");
  CHECK(version.status == 0);
  CHECK(version.output == "settle 0.1.0\n");
}

TEST_CASE("Exit status 1: a failed expectation or an unexpected warning") {
  const Outcome failed = run_shell("printf 'set enter=1 leave=0\\nsettle\\nexpect occupied=0\\n' | settle run block_memory.gates -");
  CHECK(failed.status == 1);
  CHECK(has(failed.output, "wanted 0, found 1"));
  const Outcome warned =
      run_shell("printf 'set enter=1 leave=1\\nwait 9\\nset enter=0 leave=0\\nsettle\\n' | settle run block_memory.gates -");
  CHECK(warned.status == 1);
  CHECK(has(warned.output, "warning indeterminate"));
}

TEST_CASE("Exit status 2: wrong calls and wrong input, with a message on the standard error only") {
  struct Row {
    const char* arguments;
    const char* message;
  };
  const Row rows[] = {
      {"", "settle: error: no command is given"},
      {"rnu block_memory.gates", "settle: error: unknown command 'rnu'\n  hint: did you mean 'run'?"},
      {"run", "settle: error: NETLIST is required\n  hint: 'settle run --help'"},
      {"run nothere.gates", "settle: error: cannot read 'nothere.gates': no such file or directory"},
      {"run block_memory.stim", "settle: error: 'block_memory.stim' is a stimulus by its name, and a netlist is needed here\n  hint: name the netlist first: "
       "settle run NETLIST block_memory.stim"},
      {"run .", "settle: error: cannot read '.': it is a folder, not a file"},
      {"run block_memory.gates --frmat json", "--frmat"},
      {"run block_memory.gates --format xml", "xml"},
      {"run block_memory.gates --set nosuch=1", "--set:1:5: error: cell 'block_memory' has no net 'nosuch'"},
      {"run block_memory.gates --set enter=2", "error: the value needs 2 bits, but 'enter' has 1"},
      {"run block_memory.gates --nets 'entr*,nope'", "settle: error: no net matches 'entr*'"},
      {"run block_memory.gates --from 75 --to 50", "settle: error: --from 75 is later than --to 50"},
      {"run block_memory.gates --activity 3 --format csv", "settle: error: --activity is for --format text, not csv"},
      {"compare - - < /dev/null", "cannot both be read from the standard input"},
      {"compare block_memory.gates block_memory.gates --pins enter=enter,leave=enter", "settle: error: 'enter' of the second netlist is named twice"},
      {"try - < /dev/null", "cannot both be read from the standard input"},
      {"run block_memory.gates --cell other", "error: there is no cell 'other'"},
      {"run block_memory.gates -o /nosuchfolder/x", "settle: error: cannot write '/nosuchfolder/x': No such file or directory"},
      {"run block_memory.gates > /dev/full", "settle: error: cannot write 'standard output': No space left on device"},
      {"run - - < /dev/null", "cannot both be read from the standard input"},
      {"run - < /dev/null", "-:1:1: error: there is no cell in this file"},
  };
  for (const Row& row : rows) {
    INFO(row.arguments);
    const Outcome quiet = run_shell("settle " + std::string(row.arguments) + " 2>/dev/null");
    CHECK(quiet.status == 2);
    CHECK(quiet.output == "");
    const Outcome loud = run_shell("{ settle " + std::string(row.arguments) + "; } 2>&1");
    INFO(loud.output);
    CHECK(has(loud.output, row.message));
  }
}

TEST_CASE("A run that ends before the part to show says so; activity ends with the verdict") {
  const Outcome late = run_shell("settle run block_memory.gates block_memory.stim --from 5000 2>&1 >/dev/null");
  CHECK(late.status == 0);
  CHECK(has(late.output, "settle: warning: the run ends at "));
  CHECK(has(late.output, ", before --from 5000\n"));
  CHECK(has(run_shell("settle run block_memory.gates block_memory.stim --activity 2").output, "\npass: "));
}

TEST_CASE("Exit status 3: a limit stops the run, and the document says that it is incomplete") {
  const Outcome r = run_shell(
      "printf 'clock axle period 20 high 10\\nset reset_n=0\\nwait 5000\\n' | "
      "settle run bell_divider.gates - --format json --limit-changes 40");
  CHECK(r.status == 3);
  const auto document = nlohmann::json::parse(r.output);
  CHECK(document["complete"] == false);
}

TEST_CASE("A file named with -o appears whole or not at all") {
  ScratchFolder scratch;
  const std::string file = (scratch.path() / "out.json").string();
  CHECK(run_settle("run block_memory.gates --format json -o " + file).status == 0);
  CHECK(nlohmann::json::parse(content_of(file))["schema"] == "run/1");
  const std::string before = content_of(file);
  // A call that fails leaves what was there.
  CHECK(run_settle("run nothere.gates --format json -o " + file).status == 2);
  CHECK(content_of(file) == before);
  std::size_t files = 0;
  for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(scratch.path())) ++files;
  CHECK(files == 1);
}

TEST_CASE("A result never takes the place of what it comes from") {
  const ScratchFolder folder;
  const std::string part = "cell part\n  in a\n  out y\n  not g: a -> y\nend\n", main = "include \"part.gates\"\ncell main\n  in a\n  out y\n  part p: a -> y\nend\n";
  folder.put("part.gates", part);
  folder.put("main.gates", main);
  folder.put("main.stim", "set a=1\nsettle\n");
  for (const std::string call : {"convert main.gates -o ./main.gates", "convert main.gates -o part.gates", "run main.gates main.stim -o main.stim"}) {
    INFO(call);
    const Outcome outcome = run_shell("settle " + call + " 2>&1", folder.path().string());
    CHECK(outcome.status == 2);
    CHECK(has(outcome.output, "', which was read\n"));
  }
  CHECK(content_of(folder.path() / "main.gates") == main);
  CHECK(content_of(folder.path() / "part.gates") == part);
  CHECK(run_shell("settle convert main.gates -o new.gates && settle convert main.gates -o new.gates", folder.path().string()).status == 0);
}

TEST_CASE("A reader that closes the pipe is no error") {
  const Outcome r = run_shell("{ settle run ring.gates ring.stim --all-nets --to 50; echo $? >&2; } 2>&1 | head -n 1");
  CHECK(has(r.output, "ring"));
  CHECK_FALSE(has(r.output, "error"));
}

TEST_CASE("The same call gives the same bytes, in every form") {
  for (const std::string format : {"text", "json", "vcd", "csv"}) {
    INFO(format);
    const std::string call = "run route_register.gates route_register.stim --format " + format;
    const Outcome first = run_settle(call);
    CHECK(first.status == 0);
    CHECK_FALSE(first.output.empty());
    CHECK(first.output == run_settle(call).output);
  }
}

TEST_CASE("Text of a run fits the width, and --ascii is ASCII") {
  for (const int width : {60, 80, 120}) {
    const Outcome r = run_settle("run block_memory.gates block_memory.stim --ascii --width " + std::to_string(width));
    std::size_t column = 0;
    bool fits = true, ascii = true;
    for (const char c : r.output) {
      column = c == '\n' ? 0 : column + 1;
      fits = fits && column <= static_cast<std::size_t>(width);
      ascii = ascii && static_cast<unsigned char>(c) < 128;
    }
    CHECK(fits);
    CHECK(ascii);
  }
}
