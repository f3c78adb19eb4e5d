// `settle help` and `settle completion`, as a shell sees them.
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
  for (const char* word : {"settles", "delay-dependent", "indeterminate", "oscillation", "floating-input", "Power-Up", "expect warning"}) {
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
  CHECK(outcome.output == "settle: error: the manual has no topic 'stimulos'\n  hint: did you mean 'stimulus'?\n");
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
  CHECK(run_settle("completion tcsh").status == 2);
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
