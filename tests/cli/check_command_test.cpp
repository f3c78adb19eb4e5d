// settle check as a program: exit statuses, reports, stored waveforms, and the recipes of the pages.
#include <filesystem>
#include <string>

#include <nlohmann/json.hpp>

#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

namespace {

const std::string memory =
    "cell block_memory\n  in  enter leave\n  out occupied clear\n  nor hold_a: leave clear    -> occupied\n"
    "  nor hold_b: enter occupied -> clear\nend\n";
const std::string train = "set enter=0 leave=0\nwait 3\npulse enter=1 for 4\nexpect occupied=1 for 10\n";

Outcome in(const ScratchFolder& folder, const std::string& command) {
  return run_shell("exec 2>&1; " + command, folder.path().string());
}

/// What stands between "```FIRST_WORDS" and the next fence of a page.
std::string block_of(const std::string& page, const std::string& first_words) {
  const std::string text = content_of(std::string(SETTLE_SOURCE_DIR) + "/" + page);
  const std::string fence = "```" + first_words + "\n";
  const auto at = text.find(fence);
  REQUIRE(at != std::string::npos);
  const auto first = at + fence.size();
  return text.substr(first, text.find("```", first) - first);
}

/// The command of the only `- run: ` step of a YAML text.
std::string step_of(const std::string& yaml) {
  const std::string mark = "- run: ";
  const auto at = yaml.find(mark);
  REQUIRE(at != std::string::npos);
  return yaml.substr(at + mark.size(), yaml.find('\n', at) - at - mark.size());
}

}  // namespace

TEST_CASE("The examples pass a check, their demands included, without a warning") {
  const Outcome outcome = run_settle("check --storage --fail-on warnings .");
  CAPTURE(outcome.output);
  CHECK(outcome.status == 0);
  CHECK(has(outcome.output, "pass        route_register.stim"));
  CHECK(has(outcome.output, "pass        block_memory_reset.stim"));
}

TEST_CASE("Exit statuses of a check: errors before failures before limits") {
  const ScratchFolder folder;
  for (const char* sub : {"good", "bad", "broken", "slow"})
    std::filesystem::create_directory(folder.path() / sub);
  folder.put("good/m.gates", memory);
  folder.put("good/m.stim", train);
  folder.put("bad/m.gates", memory);
  folder.put("bad/m.stim", train + "expect clear=1\n");
  folder.put("broken/m.gates", "cell c\n");
  folder.put("slow/m.gates", memory);
  folder.put("slow/m.stim",
             "set enter=0 leave=1\nsettle\nrepeat 90\npulse enter=1 leave=0 for 5\nwait 5\nend\n");
  const auto status = [&](const std::string& arguments) {
    return in(folder, "settle check --limit-changes 50 " + arguments).status;
  };
  CHECK(status("good") == 0);
  CHECK(status("bad") == 1);
  CHECK(status("broken") == 2);
  CHECK(status("slow") == 3);
  CHECK(status("good slow") == 3);
  CHECK(status("slow bad") == 1);
  CHECK(status("slow bad broken") == 2);
}

TEST_CASE("Wrong calls of check") {
  struct Row {
    const char* arguments;
    const char* message;
  };
  const Row rows[] = {
      {"check", "settle: error: no file or folder is given\n  hint: 'settle check .' checks this folder"},
      {"check nothere", "settle: error: there is no file or folder 'nothere'"},
      {"check demo.sh", "settle: error: 'demo.sh' is neither a netlist (.gates, .v, .bench, .json) nor a stimulus (.stim)"},
      {"check --allow skwe .",
       "settle: error: --allow: 'skwe' is not a kind of finding\n  hint: did you mean 'skew'?"},
      {"check --update-golden .", "settle: error: --update-golden needs the folder of the waveforms"},
      {"check --junit /nosuchfolder/x block_memory.gates", "settle: error: cannot write '/nosuchfolder/x'"},
  };
  for (const Row& row : rows) {
    const Outcome outcome = run_settle(row.arguments);
    INFO(row.arguments << "\n" << outcome.output);
    CHECK(outcome.status == 2);
    CHECK(has(outcome.output, row.message));
  }
}

TEST_CASE("Every form of netlist is judged, with its stimuli") {
  const ScratchFolder folder;
  folder.put("memory.gates", memory);
  for (const char* form : {"v", "json"}) {
    REQUIRE(in(folder, std::string("settle convert memory.gates -o kept.") + form).status == 0);
  }
  folder.put("blocks.bench", "INPUT(a)\nINPUT(b)\nOUTPUT(free)\nq = DFF(n)\nn = NAND(a, b)\nfree = NOT(q)\n");
  folder.put("memory.stim", train);
  folder.put("kept.stim", train);
  folder.put("kept_document.stim", "netlist \"kept.json\"\n" + train + "expect clear=1\n");
  folder.put("blocks.stim", "set a=0 b=1 clear_n=0 clock=0\nwait 20\nset clear_n=1\nwait 20\npulse clock=1 for 20\nexpect free=0\n");
  folder.put("editor.json", "{\"tab\": 2}");
  Outcome outcome = in(folder, "settle check .");
  CHECK(outcome.output ==
        "pass        blocks.bench\n"
        "pass        blocks.stim         1 expectation\n"
        "pass        kept.json\n"
        "pass        kept.stim           1 expectation\n"
        "pass        kept.v\n"
        "FAIL        kept_document.stim  1 of 2 expectations failed\n"
        "pass        memory.gates\n"
        "pass        memory.stim         1 expectation\n"
        "\n"
        "kept_document.stim:6:8: error: at 17, clear: wanted 1, found 0\n"
        "  expect clear=1\n"
        "         ^\n"
        "      clear (nor hold_b): x at 0, 0 at 4\n"
        "      enter (input): 0 at 0, 1 at 3, 0 at 7\n"
        "      occupied (nor hold_a): x at 0, 1 at 5\n"
        "\n"
        "8 files checked: 7 passed, 1 failed; 4 expectations passed, 1 failed\n");
  CHECK(outcome.status == 1);
  // Named, a document is read; what holds no cell is told in the words of its form.
  folder.put("empty.v", "");
  outcome = in(folder, "settle check empty.v editor.json");
  CHECK(outcome.output ==
        "ERROR       editor.json  2 errors\n"
        "ERROR       empty.v      1 error\n"
        "\n"
        "editor.json:1:1: error: the document does not say what it is\n"
        "  {\"tab\": 2}\n"
        "  ^\n"
        "  hint: add \"schema\": \"netlist/1\"\n"
        "editor.json:1:9: error: \"tab\" is no member that belongs here\n"
        "  {\"tab\": 2}\n"
        "          ^\n"
        "empty.v:1:1: error: there is no module in this file\n"
        "  hint: a module starts with 'module NAME' and ends with 'endmodule'\n"
        "\n"
        "2 files checked: 0 passed, 2 with errors; 0 expectations passed\n");
  CHECK(outcome.status == 2);
  // The flip-flops of ISCAS texts: `pins` leaves none, so there are no pins clock and clear_n.
  outcome = in(folder, "settle check blocks.bench --flip-flops pins");
  CHECK(has(outcome.output, "blocks.stim:1:13: error: "));
  CHECK(outcome.status == 2);
}

TEST_CASE("The output does not depend on the number of jobs, and the XML is well-formed") {
  const ScratchFolder folder;
  for (int i = 0; i < 30; ++i) {
    const std::string name = "m" + std::to_string(i);
    const std::string spare = "cell spare\n in a b\n out y\n not g: a -> y\n require no-memory\nend\n";
    folder.put(name + ".gates", i % 5 == 4 ? "cell \x02 <&\n" : memory);
    if (i % 3 == 0) folder.put("spare" + std::to_string(i) + ".gates", spare);
    folder.put(name + ".stim", i % 4 == 3 ? train + "expect clear=1\n" : train);
  }
  const std::string shown = in(folder, "settle check --warnings .").output;
  CHECK(has(shown, "\nspare27.gates:2:7: warning: nothing reads input 'b'\n   in a b\n        ^\n"));
  CHECK_FALSE(has(shown, "--warnings"));
  const std::string counted = in(folder, "settle check .").output;
  CHECK_FALSE(has(counted, "nothing reads input 'b'"));
  CHECK(has(counted, "; 10 warnings\n10 requirements not judged: add --storage\nhint: --warnings shows the warnings in full\n"));
  for (const char* form : {"text --warnings", "json", "junit"}) {
    const std::string call = std::string("settle check --format ") + form + " . --jobs ";
    const std::string single = in(folder, call + "1").output;
    CHECK(single.size() > 1000);
    CHECK(in(folder, call + "2").output == single);
    CHECK(in(folder, call + "7").output == single);
  }
  const Outcome parsed = in(folder,
                            "settle check --junit report.xml . > text; xmllint --noout report.xml && "
                            "xmllint --xpath 'string(/testsuites/@errors)' report.xml");
  CAPTURE(parsed.output);
  CHECK(parsed.status == 0);
  CHECK(parsed.output == "12\n");  // six netlists and their stimuli
}

TEST_CASE("Waveforms are stored, compared, and updated only where they changed") {
  const ScratchFolder folder;
  folder.put("m.gates", memory);
  folder.put("m.stim", train);
  folder.put("m_2.stim", train + "wait 3\n");
  const Outcome missing = in(folder, "settle check --golden gold .");
  CHECK(missing.status == 1);
  CHECK(has(missing.output, "m.stim: error: there is no stored waveform"));
  CHECK(has(missing.output, "hint: --update-golden stores it"));
  CHECK_FALSE(std::filesystem::exists(folder.path() / "gold"));
  CHECK(in(folder, "settle check --golden gold --update-golden .").status == 0);
  CHECK(in(folder, "settle check --golden gold .").status == 0);
  const auto first = std::filesystem::last_write_time(folder.path() / "gold/m.wave");
  folder.put("gold/old.wave", "of a stimulus that is gone\n");
  folder.put("m_2.stim", train + "wait 9\n");
  const Outcome changed = in(folder, "settle check --golden gold .");
  CHECK(changed.status == 1);
  CHECK(has(changed.output, "    end: stored 20, now 26\n"));
  CHECK(in(folder, "settle check --golden gold --update-golden .").status == 0);
  CHECK(std::filesystem::last_write_time(folder.path() / "gold/m.wave") == first);
  CHECK(std::filesystem::exists(folder.path() / "gold/old.wave"));
  CHECK(in(folder, "settle check --golden gold .").status == 0);
}

TEST_CASE(
    "The step for CI in the README fails on a broken cell, says what to mend, and passes when that is done") {
  const std::string step = step_of(block_of("README.md", "yaml"));
  CHECK(step.find("settle check ") == 0);
  CHECK(step_of(block_of("docs/check.md", "yaml")) == step);
  const ScratchFolder folder;
  REQUIRE(in(folder, "git init -q . && mkdir cells").status == 0);
  std::string broken = memory;
  broken.replace(broken.find("nor hold_b"), 3, "nro");
  folder.put("cells/block_memory.gates", broken);
  folder.put("cells/block_memory.stim", train);
  const Outcome fails = in(folder, step);
  CAPTURE(fails.output);
  CHECK(fails.status == 2);
  CHECK(has(fails.output,
            "cells/block_memory.gates:5:3: error: unknown gate or cell 'nro'\n"
            "    nro hold_b: enter occupied -> clear\n    ^\n  hint: did you mean 'nor'?\n"));
  CHECK(has(content_of(folder.path() / "settle.xml"), "did you mean 'nor'?"));
  folder.put("cells/block_memory.gates", memory);
  const Outcome passes = in(folder, step);
  CAPTURE(passes.output);
  CHECK(passes.status == 0);
  CHECK(has(content_of(folder.path() / "settle.xml"), "failures=\"0\" errors=\"0\""));
}

TEST_CASE("The hook for git judges what is about to be committed") {
  const ScratchFolder folder;
  const std::string program_folder = std::filesystem::path(SETTLE_PROGRAM).parent_path().string();
  const auto shell = [&](const std::string& command) {
    return in(folder, "export PATH='" + program_folder + "':\"$PATH\"; " + command);
  };
  REQUIRE(shell("git init -q . && git config user.name cabin && git config user.email cabin@example.org && "
                "mkdir -p .git/hooks")
              .status == 0);
  folder.put(".git/hooks/pre-commit", block_of("docs/check.md", "sh pre-commit"));
  REQUIRE(shell("chmod +x .git/hooks/pre-commit").status == 0);
  std::string broken = memory;
  broken.replace(broken.find("-> clear"), 8, "-> claer");
  folder.put("m.gates", broken);
  folder.put("m.stim", train);
  // Mended in the folder, but not in what is committed.
  REQUIRE(shell("git add .").status == 0);
  folder.put("m.gates", memory);
  const Outcome refused = shell("git commit -q -m memory");
  CAPTURE(refused.output);
  CHECK(refused.status != 0);
  CHECK(has(refused.output, "FAIL        m.stim"));
  const Outcome accepted = shell("git add . && git commit -q -m memory && git log --oneline | wc -l");
  CAPTURE(accepted.output);
  CHECK(accepted.status == 0);
  CHECK(has(accepted.output, "1"));
}

TEST_CASE("Ctrl-C ends a check with the files that are done") {
  const ScratchFolder folder;
  folder.put("a.gates", memory);
  folder.put("a.stim", train);
  folder.put("b.gates", memory);
  folder.put("b.stim",
             "netlist \"b.gates\"\nset enter=0 leave=1\nsettle\nrepeat 900000000\npulse enter=1 leave=0 for "
             "5\nwait 5\nend\n");
  const Outcome outcome =
      in(folder, "timeout --preserve-status --signal=INT 1 '" SETTLE_PROGRAM
                 "' check --jobs 1 "
                 "--limit-changes 1000000000000 --limit-events 1000000000000000 --format json -o out.json .");
  CAPTURE(outcome.output);
  CHECK(outcome.status == 130);
  const auto json = nlohmann::json::parse(content_of(folder.path() / "out.json"));
  CHECK(json["complete"] == false);
  CHECK(json["planned"] == 4);
  CHECK(json["files"].size() < 4);
}
