#include "support/catch.h"
#include "support/run_program.h"

using namespace settle::testing;

TEST_CASE("report writes well-formed HTML, the same each time") {
  const Outcome page = run_settle("report lever_latch.gates");
  CHECK(page.status == 0);
  CHECK(page.output.substr(0, 15) == "<!DOCTYPE html>");
  CHECK(has(page.output, "Waveforms of lever_latch with lever_latch.stim"));
  CHECK(run_settle("report lever_latch.gates --jobs 1").output == page.output);
  for (const std::string options :
       {"lever_latch.gates", "bell_divider.gates --family HC --sections timing,warnings,schematic",
        "first_to_ask.gates --symbols rectangles --without wiring"}) {
    CAPTURE(options);
    CHECK(run_shell("settle report " + options + " | xmllint --noout -").status == 0);
    if (run_shell("command -v tidy").status != 0) continue;
    const Outcome judged = run_shell("settle report " + options + " | tidy -q -e 2>&1");
    CHECK(judged.output == "");
    CHECK(judged.status == 0);
  }
}

TEST_CASE("A page takes the stimulus of the call, or none") {
  CHECK(has(run_settle("report lever_latch.gates --sections waveforms --no-stimulus").output,
            "No stimulus was given, so nothing was run."));
  CHECK(has(run_shell("cat ring.gates | settle report - --sections waveforms").output,
            "No stimulus was given"));
  CHECK(has(
      run_settle("report block_memory.gates --sections waveforms --stimulus block_memory_reset.stim").output,
      "with block_memory_reset.stim"));
  CHECK(
      has(run_settle(
              "report lever_latch.gates --cell block_memory --sections waveforms --stimulus lever_latch.stim")
              .output,
          "lever_latch.stim does not fit this circuit"));
}

TEST_CASE("report says what is wrong with a call, and writes nothing then") {
  const Outcome section = run_settle("report lever_latch.gates --sections about,tabel");
  CHECK(section.status == 2);
  CHECK(section.output ==
        "settle: error: a page has no section 'tabel'\n  hint: the sections are about, schematic, table, "
        "waveforms, "
        "states, timing, warnings, cautions, wiring\n");
  CHECK(run_settle("report lever_latch.gates --sections about --without about").status == 2);
  const Outcome missing = run_settle("report lever_latch.gates --stimulus nowhere.stim");
  CHECK(missing.status == 2);
  CHECK(has(missing.output, "nowhere.stim"));
  CHECK(run_settle("report nowhere.gates").status == 2);
  const Outcome folder = run_settle("report ring.gates --sections about -o /nowhere/page.html");
  CHECK(folder.status == 2);
  CHECK(has(folder.output, "/nowhere/page.html"));
  CHECK(run_settle("report lever_latch.gates --no-stimulus --stimulus lever_latch.stim").status == 2);
}

TEST_CASE("A page in Markdown has its pictures beside it, and a limit shows in the exit status") {
  const ScratchFolder scratch;
  const std::string path = (scratch.path() / "page.md").string();
  CHECK(run_settle("report gated_block.gates --sections schematic --format markdown -o '" + path + "'")
            .status == 0);
  CHECK(has(content_of(path), "](<page-schematic.svg>)"));
  CHECK(content_of(scratch.path() / "page-schematic.svg").substr(0, 5) == "<svg ");
  const Outcome limited = run_settle("report lever_latch.gates --sections table --limit-stable 2 -o '" +
                                     (scratch.path() / "page.html").string() + "'");
  CHECK(limited.status == 3);
  CHECK(has(content_of(scratch.path() / "page.html"), "<b>incomplete</b>"));
}
