// `settle try` from a pipe and, where there is a terminal multiplexer, on a screen.
#include "support/catch.h"
#include "support/run_program.h"

namespace settle::testing {
namespace {

const std::string memory = SETTLE_SOURCE_DIR "/examples/block_memory.gates";

Outcome try_lines(const ScratchFolder& folder, const std::string& lines) {
  return run_shell("printf '" + lines + "' | settle try " + memory + " 2>&1", folder.path().string());
}

TEST_CASE("What was tried line by line is saved, and passes") {
  const ScratchFolder folder;
  const Outcome tried =
      try_lines(folder,
                "set enter=1 leave=1; settle\\nset enter=0 leave=0; settle\\nundo\\nset enter=0; settle\\n"
                "repeat 2\\nset leave=0\\nwait 3\\nend\\nsave it.stim\\n");
  CHECK(tried.status == 0);
  CHECK(has(tried.output,
            "0  enter=x leave=x -> occupied=x clear=x\n1  enter=1 leave=1 -> occupied=0 clear=0\n"));
  CHECK(has(tried.output, "warning indeterminate: "));
  CHECK(
      content_of(folder.path() / "it.stim")
          .ends_with(
              "cell block_memory\nset enter=1 leave=1; settle\nexpect occupied=0 clear=0\nset enter=0; "
              "settle\n"
              "expect occupied=0 clear=1\nrepeat 2\nset leave=0\nwait 3\nend\nexpect occupied=0 clear=1\n"));
  const Outcome checked = run_shell("settle check it.stim", folder.path().string());
  CHECK(checked.status == 0);
  CHECK(has(checked.output, "6 expectations"));
}

TEST_CASE("Warnings that came are expected in what is saved") {
  const ScratchFolder folder;
  CHECK(try_lines(folder, "set enter=1 leave=1; settle\\nset enter=0 leave=0; settle\\nsave it.stim\\n")
            .status == 0);
  CHECK(has(content_of(folder.path() / "it.stim"),
            "expect warning indeterminate\nexpect occupied=x clear=x\n"));
  CHECK(run_shell("settle check it.stim", folder.path().string()).status == 0);
  // Where the statement was typed, before or after they came, no second one is added.
  for (const std::string end : {"expect warning indeterminate\\nsettle\\n", "settle\\nexpect warning indeterminate\\n"}) {
    CHECK(try_lines(folder, "set enter=1 leave=1; settle\\nset enter=0 leave=0\\n" + end + "save it.stim\\n").status == 0);
    CHECK(run_shell("settle check it.stim", folder.path().string()).status == 0);
  }
}

TEST_CASE("Wrong lines change nothing and are told") {
  const ScratchFolder folder;
  const Outcome unknown = try_lines(folder, "set entre=1\\nshow\\n");
  CHECK(unknown.status == 2);
  CHECK(has(unknown.output, "did you mean 'enter'?"));
  const Outcome not_met = try_lines(folder, "set enter=1 leave=0; settle\\nexpect clear=1\\n");
  CHECK(not_met.status == 1);
  CHECK(has(not_met.output, "not so at 2: clear wanted 1, got 0"));
  CHECK(has(try_lines(folder, "settle\\nexpect warning oscillation\\n").output,
            "not so at 1: wanted warning oscillation, got none"));
  CHECK(has(try_lines(folder, "undo\\n").output, "nothing to take back"));
  CHECK(try_lines(folder, "repeat 2\\nset enter=1\\n").status == 2);
  CHECK(has(try_lines(folder, "power-up every\\n").output, "(typed):1:1: error: 'power-up every' has many start states"));
}

TEST_CASE("A netlist whose name a stimulus cannot say is left out of what is saved") {
  const ScratchFolder folder;
  folder.put("q\"x.gates", content_of(memory));
  const Outcome tried = run_shell("printf 'set enter=1 leave=0; settle\nsave q.stim\n' | settle try 'q\"x.gates' 2>&1", folder.path().string());
  CHECK(tried.status == 0);
  CHECK(has(tried.output, "so it is saved without one"));
  CHECK(run_shell("settle run 'q\"x.gates' q.stim", folder.path().string()).status == 0);
}

// One socket of our own, so that nobody's terminals are touched. Keys wait for what they bring: no fixed times.
const std::string terminal = R"(
    t() { tmux -L settle-test-$$ -f /dev/null "$@"; }
    sees() { for i in $(seq 300); do t capture-pane -p | grep -q "$1" && return 0; sleep 0.1; done; t capture-pane -p; return 1; }
)";

TEST_CASE("Keys on a screen are recorded, taken back and saved; the terminal comes back") {
  if (run_shell("command -v tmux >/dev/null").status != 0) return;  // installed by tests/run.sh
  const ScratchFolder folder;
  const std::string script = terminal + R"(
    LC_ALL=C.UTF-8 t new-session -d -x 80 -y 30 "')" SETTLE_PROGRAM R"(' try ')" +
                             memory + R"(' --save keys.stim; echo ended \$?; cat"
    sees 'time 1' && t send-keys e && sees '1 enter' && t send-keys l && sees '1 leave' && t resize-window -x 70 -y 24
    t send-keys BSpace && sees '0 leave' && t send-keys L && sees 'time 5' && t send-keys Escape && sees 'ended 0'
    status=$?; t kill-server; exit $status)";
  const Outcome keys = run_shell("(" + script + ") 2>&1", folder.path().string());
  CAPTURE(keys.output);
  CHECK(keys.status == 0);
  const std::string saved = content_of(folder.path() / "keys.stim");
  CAPTURE(saved);
  CHECK(has(saved, "set enter=0 leave=0; settle\nexpect occupied=x clear=x\nset enter=1; settle\n"));
  CHECK(has(saved, "set leave=1; settle; set leave=0; settle\n"));
  CHECK(run_shell("settle check keys.stim", folder.path().string()).status == 0);
}

TEST_CASE("A small screen shows the pins and what keys do; a signal gives the terminal back") {
  if (run_shell("command -v tmux >/dev/null").status != 0) return;
  const ScratchFolder folder;
  const std::string script = terminal + R"(
    LC_ALL=C.UTF-8 t new-session -d -x 40 -y 12 "sh -c 'echo \$\$ > pid; exec ')" SETTLE_PROGRAM R"(' try ')" + memory +
                             R"(''; echo ended \$?; cat"
    sees '^ .l. .* leave .* clear' && sees 'ESC leave' && t send-keys e && sees '1 occupied' && sees '━━' &&
      kill -TERM $(cat pid) && sees 'ended 143'
    status=$?; t kill-server; exit $status)";
  const Outcome outcome = run_shell("(" + script + ") 2>&1", folder.path().string());
  CAPTURE(outcome.output);
  CHECK(outcome.status == 0);
}

}  // namespace
}  // namespace settle::testing
