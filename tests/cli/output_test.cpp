// Where results go when the world is unkind: full disks, closed streams, pipes, links, signals; and what
// is told of long work.
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <string>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

namespace fs = std::filesystem;

Outcome ran_in(const ScratchFolder& scratch, const std::string& command) {
  return run_shell(command, scratch.path().string());
}

bool says(const Outcome& outcome, const std::string& part) {
  return outcome.output.find(part) != std::string::npos;
}

std::size_t files_in(const fs::path& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

void put_latch(const ScratchFolder& scratch) {
  scratch.put("x.gates", "cell c\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n");
  scratch.put("x.stim", "set s=1 r=0\nsettle\nset s=0\nsettle\nexpect q=1\n");
}

// Work without end, but for a limit far away: it must be the signal that ends it.
void put_endless(const ScratchFolder& scratch) {
  put_latch(scratch);
  scratch.put("endless.stim", "set r=0\nrepeat 1000000000\nset s=1\nwait 5\nset s=0\nwait 5\nend\n");
  // A Muller pipeline of C-elements, its ends free: states by the million.
  std::string text = "cell pipe\n in a b\n out y\n";
  for (int i = 1; i <= 22; ++i) {
    const std::string k = std::to_string(i), left = i == 1 ? "a" : "c" + std::to_string(i - 1),
                      right = i == 22 ? "b" : "c" + std::to_string(i + 1);
    text += " not i" + k + ": " + right + " -> n" + k + "\n nand p" + k + ": " + left + " n" + k + " -> u" +
            k + "\n nand q" + k + ": " + left + " c" + k + " -> v" + k + "\n nand r" + k + ": n" + k + " c" +
            k + " -> w" + k + "\n nand s" + k + ": u" + k + " v" + k + " w" + k + " -> c" + k + "\n";
  }
  scratch.put("pipe.gates", text + " buf o: c22 -> y\nend\n");
}

constexpr const char* forms_of_run[] = {"text", "json", "vcd", "csv"};

}  // namespace

TEST_CASE("a full device is an error in every form, and no file is left", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  for (const std::string call : {"run x.gates x.stim --format text", "run x.gates x.stim --format json",
                                 "run x.gates x.stim --format vcd", "run x.gates x.stim --format csv",
                                 "table x.gates", "states x.gates --format dot", "explain x.gates"}) {
    INFO(call);
    const Outcome to_stdout = ran_in(scratch, "{ settle " + call + " > /dev/full; } 2>&1");
    CHECK(to_stdout.status == 2);
    CHECK(to_stdout.output == "settle: error: cannot write 'standard output': No space left on device\n");
    const Outcome to_file = ran_in(scratch, "settle " + call + " -o /dev/full 2>&1");
    CHECK(to_file.status == 2);
    CHECK(to_file.output == "settle: error: cannot write '/dev/full': No space left on device\n");
  }
  CHECK(files_in(scratch.path()) == 2);
}

TEST_CASE("a file that cannot grow leaves the old one and no other", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  scratch.put("out.txt", "before\n");
  // A limit on file size stands for a disk that fills up (its signal is ignored).
  const Outcome outcome =
      ran_in(scratch, "trap '' XFSZ; ulimit -f 0; settle run x.gates x.stim --format json -o out.txt 2>&1");
  CHECK(outcome.status == 2);
  CHECK(says(outcome, "settle: error: cannot write 'out.txt': File too large"));
  CHECK(content_of(scratch.path() / "out.txt") == "before\n");
  CHECK(files_in(scratch.path()) == 3);
}

TEST_CASE("folders that are missing or no folders are told by name", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  fs::create_directory(scratch.path() / "folder");
  CHECK(says(ran_in(scratch, "settle run x.gates -o folder 2>&1"), "cannot write 'folder': Is a directory"));
  CHECK(says(ran_in(scratch, "settle run x.gates -o nowhere/x 2>&1"),
             "cannot write 'nowhere/x': No such file or directory"));
  CHECK(says(ran_in(scratch, "settle run x.gates -o x.stim/x 2>&1"), "cannot write 'x.stim/x': Not a directory"));
  CHECK(ran_in(scratch, "settle run x.gates -o folder 2>&1").status == 2);
  if (::geteuid() != 0) {
    fs::permissions(scratch.path() / "folder", fs::perms::owner_read | fs::perms::owner_exec);
    CHECK(says(ran_in(scratch, "settle run x.gates -o folder/x 2>&1"),
               "cannot write 'folder/x': Permission denied"));
    fs::permissions(scratch.path() / "folder", fs::perms::owner_all);
  }
  CHECK(files_in(scratch.path() / "folder") == 0);
}

TEST_CASE("a file that is replaced keeps its permissions, a new one has the usual ones", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  scratch.put("old.txt", "before\n");
  ::chmod((scratch.path() / "old.txt").c_str(), 0640);
  CHECK(ran_in(scratch, "umask 022; settle run x.gates -o old.txt && settle run x.gates -o new.txt").status == 0);
  CHECK((fs::status(scratch.path() / "old.txt").permissions() & fs::perms::mask) ==
        static_cast<fs::perms>(0640));
  CHECK((fs::status(scratch.path() / "new.txt").permissions() & fs::perms::mask) ==
        static_cast<fs::perms>(0644));
  CHECK(content_of(scratch.path() / "old.txt") == content_of(scratch.path() / "new.txt"));
}

TEST_CASE("a name as long as names may be can be written", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  const std::string name(255, 'n');
  CHECK(ran_in(scratch, "settle run x.gates -o " + name + " 2>&1").status == 0);
  CHECK(fs::exists(scratch.path() / name));
}

TEST_CASE("a symbolic link stays, and what it leads to is replaced", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  fs::create_directory(scratch.path() / "folder");
  fs::create_symlink("folder/target.txt", scratch.path() / "link.txt");
  CHECK(ran_in(scratch, "settle run x.gates -o link.txt && settle run x.gates -o link.txt").status == 0);
  CHECK(fs::is_symlink(scratch.path() / "link.txt"));
  CHECK(says({content_of(scratch.path() / "folder/target.txt"), 0}, "c"));
  CHECK(files_in(scratch.path() / "folder") == 1);
  fs::create_symlink("round.txt", scratch.path() / "round.txt");
  CHECK(ran_in(scratch, "settle run x.gates -o round.txt 2>/dev/null").status == 2);
}

// What else is written to the same open file must stay; replacing the file would lose it.
TEST_CASE("/dev/stdout is the standard output, a file or not", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  fs::create_symlink("/dev/stdout", scratch.path() / "link");
  const std::string plain = ran_in(scratch, "settle run x.gates").output;
  for (const std::string name : {"/dev/stdout", "/dev/fd/1", "link"}) {
    INFO(name);
    CHECK(ran_in(scratch, "settle run x.gates -o " + name).output == plain);
    CHECK(ran_in(scratch, "{ echo first; settle run x.gates -o " + name + "; echo last; } > out.txt").status ==
          0);
    CHECK(content_of(scratch.path() / "out.txt") == "first\n" + plain + "last\n");
  }
}

TEST_CASE("a named pipe is written as it is", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  const Outcome outcome =
      ran_in(scratch, "mkfifo pipe; cat pipe & settle run x.gates -o pipe; wait; test -p pipe && echo stays");
  CHECK(outcome.output == ran_in(scratch, "settle run x.gates").output + "stays\n");
}

TEST_CASE("closed standard streams are told, and no file takes their place", "[output]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  const Outcome no_output = ran_in(scratch, "settle run x.gates 2>&1 >&-");
  CHECK(no_output.status == 2);
  CHECK(no_output.output == "settle: error: cannot write 'standard output': Bad file descriptor\n");
  const Outcome no_input = ran_in(scratch, "settle run - <&- 2>&1");
  CHECK(no_input.status == 2);
  CHECK(says(no_input, "cannot read the standard input: bad file descriptor"));
  // Messages must not end up in the result.
  CHECK(ran_in(scratch, "settle states x.gates --limit-stable 1 -o out.txt 2>&- >&- <&-").status == 3);
  CHECK(content_of(scratch.path() / "out.txt") ==
        ran_in(scratch, "settle states x.gates --limit-stable 1").output);
}

TEST_CASE("a reader that goes away ends the program quietly, in every form", "[output]") {
  const ScratchFolder scratch;
  put_endless(scratch);
  scratch.put("long.stim", "set r=0\nrepeat 40000\nset s=1\nwait 5\nset s=0\nwait 5\nend\n");
  for (const std::string form : forms_of_run) {
    INFO(form);
    const Outcome piped = ran_in(scratch, "{ { settle run x.gates long.stim --format " + form +
                                          "; echo status $? >&2; } | head -c 10 >/dev/null; } 2>&1");
    CHECK(piped.output == "status 0\n");
  }
}

// timeout(1) sends its signal twice, to the process and to its group: that is one request.
TEST_CASE("signals end long work with what is complete", "[output][signals]") {
  const ScratchFolder scratch;
  put_endless(scratch);
  struct Row {
    const char* signal;
    int status;
    const char* name;
  };
  for (const Row& row : {Row{"INT", 130, "Ctrl-C"}, Row{"TERM", 143, "SIGTERM"}}) {
    for (const std::string call :
         {"run x.gates endless.stim --limit-changes 1000000000 --limit-events 1000000000000 --format json",
          "states pipe.gates --limit-states 1000000000 --limit-memory 20000 --format json"}) {
      INFO(row.signal << " " << call);
      const Outcome outcome =
          ran_in(scratch, "timeout -s " + std::string(row.signal) +
                          " --preserve-status 0.5 '" SETTLE_PROGRAM "' " + call + " -o out.json 2>&1");
      INFO(outcome.output);
      CHECK(outcome.status == row.status);
      CHECK(says(outcome, std::string("settle: stopped by ") + row.name +
                              ": what was complete by then is in the result\n"));
      const std::string document = content_of(scratch.path() / "out.json");
      CHECK(document.find("\"complete\": false") != std::string::npos);
      CHECK(document.find("stopped") != std::string::npos);
      fs::remove(scratch.path() / "out.json");
    }
  }
}

TEST_CASE("a signal while a netlist is read or waited for ends at once", "[output][signals]") {
  const ScratchFolder scratch;
  put_latch(scratch);
  for (const std::string call : {"run -", "states -", "table -", "explain -", "run x.gates -"}) {
    INFO(call);
    // An open pipe into which no one writes.
    const Outcome outcome =
        ran_in(scratch, "rm -f pipe; mkfifo pipe; timeout -s INT --preserve-status 0.3 '" SETTLE_PROGRAM "' " +
                        call + " -o out.txt 2>&1 <>pipe; echo status $?");
    CHECK(says(outcome, "settle: stopped by Ctrl-C while the "));
    CHECK(says(outcome, "was read, before there was a result\nstatus 130\n"));
    CHECK_FALSE(fs::exists(scratch.path() / "out.txt"));
  }
}

TEST_CASE("the second signal ends at once and leaves no half-written file", "[output][signals]") {
  const ScratchFolder scratch;
  put_endless(scratch);
  // The pipe is open and nothing reads it, so that the first signal leaves the program writing.
  const Outcome outcome = ran_in(
      scratch, "mkfifo pipe; exec 3<>pipe; '" SETTLE_PROGRAM
               "' run x.gates endless.stim --limit-changes 100000 "
               "--format vcd -o pipe 2>err.txt & it=$!; sleep 1; kill -TERM $it; sleep 0.6; kill -TERM $it; "
               "wait $it; echo status $?; cat err.txt");
  INFO(outcome.output);
  CHECK(says(outcome, "status 143"));
  CHECK(says(outcome, "settle: stopped by SIGTERM, before there was a result"));
}

TEST_CASE("progress is told when asked for, after a second, on the standard error only",
          "[output][progress]") {
  const ScratchFolder scratch;
  put_endless(scratch);
  const std::string call =
      "timeout -s TERM 1.7 '" SETTLE_PROGRAM "' run x.gates endless.stim --limit-changes 1000000000 --quiet";
  const Outcome always = ran_in(scratch, call + " --progress always 2>&1 >/dev/null");
  INFO(always.output);
  CHECK(says(always, "settle: simulating: "));
  CHECK(says(always, " events, "));
  CHECK(says(always, " a second, about "));
  CHECK_FALSE(says(ran_in(scratch, call + " --progress always 2>/dev/null"), "simulating"));
  CHECK_FALSE(says(ran_in(scratch, call + " 2>&1 >/dev/null"), "simulating"));
  // Short work says nothing.
  CHECK(ran_in(scratch, "settle run x.gates x.stim --progress always 2>&1 >/dev/null").output == "");
}
