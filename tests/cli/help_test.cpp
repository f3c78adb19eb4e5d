// `settle help` and `settle completion`, as a shell sees them.
#include "settle/check.h"
#include "settle/limits.h"
#include "settle/manual.h"
#include "support/catch.h"
#include "support/run_program.h"

namespace settle::testing {
namespace {

TEST_CASE("The manual lists its pages and shows them") {
  const Outcome pages = run_settle("help");
  CHECK(pages.status == 0);
  CHECK(has(pages.output, "  stimulus      The stimulus language\n"));
  CHECK(has(pages.output, "  netlist       The netlist language\n"));
  const Outcome page = run_settle("help stimulus --width 60");
  CHECK(page.status == 0);
  CHECK(page.output.starts_with("The stimulus language\n"));
  CHECK(!has(page.output, "](#"));  // no marks of the pages' language
}

TEST_CASE("Each verdict and each kind of lint has its topic") {
  for (const char* word : {"settles", "delay-dependent", "indeterminate", "oscillation", "floating-input",
                           "Power-Up", "expect warning"}) {
    INFO(word);
    const Outcome topic = run_settle(std::string("help ") + word);
    CHECK(topic.status == 0);
    CHECK(has(topic.output, "(from the page '"));
  }
  // A page has no origin to tell, and commands without a page show their options.
  CHECK(has(run_settle("help completion").output, "SHELL"));
}

TEST_CASE("An unknown topic is answered with a near one") {
  const Outcome outcome = run_settle("help stimulos");
  CHECK(outcome.status == 2);
  CHECK(outcome.output ==
        "settle: error: the manual has no topic 'stimulos'\n  hint: did you mean 'stimulus'?\n");
}

TEST_CASE("Each kind of finding, each limit and each gate has its topic") {
  const auto first_line_of = [](const std::vector<ManualTopic>& topics) {
    return topics.empty() ? std::string() : topics.front().text.substr(0, topics.front().text.find('\n'));
  };
  for (const CheckKind& kind : check_kinds()) {
    CAPTURE(kind.name);
    CHECK(!find_topics(kind.name).empty());
  }
  for (const LimitInfo& limit : limit_table) {
    CAPTURE(limit.option);
    const auto topics = find_topics(limit.option.substr(2));
    CHECK(first_line_of(topics) == "## The limits");
    CHECK((!topics.empty() && has(topics.front().text, std::string(limit.option))));
  }
  for (const char* gate : {"buf", "not", "nand", "xnor", "bufif0", "notif1", "pulldown"}) {
    CAPTURE(gate);
    CHECK(first_line_of(find_topics(gate)) == "## Gates");
  }
  CHECK(nearest_topic("osillation") == "oscillation");
  CHECK(nearest_topic("limit-stats") == "limit-states");
  CHECK(nearest_topic("bufif2").starts_with("bufif"));
}

TEST_CASE("The manual is written as pages for man, one a command") {
  const ScratchFolder folder;
  REQUIRE(run_shell("settle help --man pages", folder.path().string()).status == 0);
  const std::string run_page = content_of(folder.path() / "pages/man1/settle-run.1");
  CHECK(has(run_page, ".SH NAME\nsettle\\-run \\- "));
  CHECK(has(run_page, "\n\\fB\\-\\-transport\\fR\n"));
  CHECK(has(run_page, ".SH EXIT STATUS\n"));
  CHECK(has(content_of(folder.path() / "pages/man5/settle-stimulus.5"), ".SS Instants\n"));
  // Two readers of such pages, where they are installed: neither has anything to complain about.
  if (run_shell("command -v groff").status == 0) {
    CHECK(run_shell("cat pages/man*/* | groff -man -Kutf8 -Tutf8 -ww -z 2>&1", folder.path().string())
              .output.empty());
  }
  if (run_shell("command -v mandoc").status == 0) {
    CHECK(run_shell("mandoc -T lint -W warning pages/man*/* 2>&1 | grep -v 'missing date'",
                    folder.path().string())
              .output.empty());
  }
}

// What bash offers for a line whose last word is being written.
std::string offers(const std::string& words, int index) {
  return run_shell("bash -c 'source <(" SETTLE_PROGRAM " completion bash); COMP_WORDS=(" + words +
                   "); COMP_CWORD=" + std::to_string(index) + "; _settle; echo \"${COMPREPLY[*]}\"' 2>&1")
      .output;
}

TEST_CASE("The shell completes commands, options, values and files") {
  CHECK(offers("settle expl", 1) == "explain\n");
  CHECK(offers("settle run --tran", 2) == "--transport\n");
  CHECK(offers("settle run --format v", 3) == "vcd\n");
  CHECK(offers("settle run block_memory.g", 2) == "block_memory.gates\n");
  CHECK(offers("settle run --format = v", 4) == "vcd\n");
  CHECK(offers("settle help stim", 2) == "stimulus\n");
  CHECK(offers("settle completion f", 2) == "fish\n");
  CHECK(run_settle("completion tcsh").status == 2);
}

// What another shell completes, asked without a terminal where it can be, else on one of its own.
TEST_CASE("fish completes commands, options, values and words") {
  if (run_shell("command -v fish").status != 0) {
    WARN("fish is not installed: its completion is not tried");
    return;
  }
  const auto offered = [](const std::string& line) {
    return run_shell("HOME=$(mktemp -d) fish --no-config -c '" SETTLE_PROGRAM
                     " completion fish | source; complete -C \"" +
                     line + "\"' 2>&1")
        .output;
  };
  CHECK(offered("settle expl").starts_with("explain\t"));
  CHECK(offered("settle run --tran").starts_with("--transport\t"));
  CHECK(offered("settle run --format v").starts_with("vcd\t"));
  CHECK(offered("settle help stim") == "stimulus\n");
  CHECK(has(offered("settle run block_memory.g"), "block_memory.gates"));
}

TEST_CASE("zsh completes commands, options, values and words") {
  if (run_shell("command -v zsh").status != 0) {
    WARN("zsh is not installed: its completion is not tried");
    return;
  }
  const ScratchFolder folder;
  // As a file of $fpath, as most people install it, in a shell on a terminal of its own.
  folder.put("ask.zsh", R"(
    zmodload zsh/zpty
    zpty shell zsh -f -i
    zpty -w shell "PS1= PS2=; stty -echo; fpath=($PWD \$fpath); autoload -Uz compinit; compinit -u -D"
    complete_line() {
      zpty -w -n shell "$1"$'\t'
      local out= part
      repeat 100; do
        zpty -r -t shell part && out+=$part
        [[ $out == *$2* ]] && { print -r -- "$2"; zpty -w -n shell $'\C-u'; return }
        sleep 0.05
      done
      print -r "not '$2' but '$out'"
    }
    complete_line 'settle expl' 'settle explain'
    complete_line 'settle run --transp' 'settle run --transport'
    complete_line 'settle run --format v' 'settle run --format vcd'
    complete_line 'settle help stim' 'settle help stimulus'
    zpty -d shell
)");
  const std::string call =
      "'" SETTLE_PROGRAM "' completion zsh > _settle && HOME=. TERM=dumb zsh -f ask.zsh 2>&1";
  CHECK(run_shell(call, folder.path().string()).output ==
        "settle explain\nsettle run --transport\nsettle run --format vcd\nsettle help stimulus\n");
}

TEST_CASE("Scripts for other shells name each command") {
  for (const char* shell : {"zsh", "fish"}) {
    const Outcome script = run_settle(std::string("completion ") + shell);
    CHECK(script.status == 0);
    for (const char* command : {"run", "table", "states", "explain", "compare", "convert", "check"}) {
      CHECK(has(script.output, command));
    }
    CHECK(has(script.output, "limit-states"));
  }
}

}  // namespace
}  // namespace settle::testing
