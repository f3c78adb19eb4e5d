// Stored waveforms: their text, and differences in words.
#include "check/stored_waveform.h"

#include "check/check_texts.h"
#include "support/catch.h"
#include "support/run_text.h"

using namespace settle;
using namespace settle::testing;

namespace {

std::string stored(const std::string& stimulus) {
  return waveform_text(run_ok(block_memory_text, stimulus).waveform, "block_memory");
}

std::string joined(const std::vector<std::string>& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

const std::string train = "set enter=0 leave=0\nwait 3\nset enter=1\nsettle\n";

}  // namespace

TEST_CASE("A waveform as text has a line for each instant at which a pin changes") {
  CHECK(stored(train) ==
        "settle waveform 1\ncell block_memory\ntick unit\nend 5\n"
        "at 0: enter=0 leave=0 occupied=x clear=x\nat 3: enter=1\nat 4: clear=0\nat 5: occupied=1\n");
}

TEST_CASE("Buses are written as bits") {
  const RunResult result = run_ok("cell c\n in a[3:0]\n out y[3:0]\n not g[3:0]: a[3:0] -> y[3:0]\nend\n",
                                  "set a=0b0101\nsettle\nset a=0xF\nsettle\n");
  CHECK(waveform_text(result.waveform, "c") ==
        "settle waveform 1\ncell c\ntick unit\nend 2\nat 0: a=0101 y=xxxx\nat 1: a=1111 y=1010\nat 2: "
        "y=0000\n");
}

TEST_CASE("Differences name pin, time and both values, the earliest first") {
  const std::string before = stored(train);
  CHECK(waveform_differences(before, before, 9).empty());
  const std::string after = stored("set enter=0 leave=0\nwait 4\nset enter=1\nsettle\n");
  CHECK(joined(waveform_differences(before, after, 9)) ==
        "end: stored 5, now 6\n"
        "enter at 3: stored 1, now 0\n"
        "clear at 4: stored 0, now x\n"
        "occupied at 5: stored 1, now x\n");
  CHECK(joined(waveform_differences(before, after, 2)) ==
        "end: stored 5, now 6\nenter at 3: stored 1, now 0\nand 2 more\n");
}

TEST_CASE("Pins that came or went, and files that are no waveform") {
  const std::string now = stored(train);
  std::string renamed = now;
  renamed.replace(renamed.find("leave="), 6, "leaves=");
  CHECK(joined(waveform_differences(renamed, now, 9)) == "leave: a new pin\nleaves: this pin is gone\n");
  for (const char* wrong :
       {"", "hello\n", "settle waveform 1\n", "settle waveform 1\nend 5\nat x: a=1\n",
        "settle waveform 1\nend 5\nat 5: a\n", "settle waveform 1\nend 5\nat 5: a=1\nat 4: a=0\n"}) {
    INFO(wrong);
    CHECK(joined(waveform_differences(wrong, now, 9)) == "the stored file is no waveform of this program\n");
  }
  std::string windows;
  for (const char c : now) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
  CHECK(joined(waveform_differences(windows, now, 9)) ==
        "the stored file was edited: same waveform, other text\n");
}

TEST_CASE("Where the waveform of a stimulus is stored") {
  CHECK(waveform_path("gold", "cells/a.stim") == "gold/cells/a.wave");
  CHECK(waveform_path("gold/", "a_b.c.stim") == "gold/a_b.c.wave");
  CHECK(waveform_path("gold", "../x/a.stim") == "gold/up/x/a.wave");
  CHECK(waveform_path("gold", "/x/a.stim") == "gold/x/a.wave");
}

TEST_CASE("A check compares waveforms, and makes new ones only on request and only of runs that pass") {
  MemoryFiles files{{"m.gates", block_memory_text}, {"m.stim", train}};
  CheckOptions options;
  options.golden = "gold";
  const auto checked = [&] { return check_files(files, {{"m.stim", "m.gates"}}, options); };
  CheckResult result = checked();
  CHECK(told(result) ==
        "m.stim fail\n"
        "m.stim: error: there is no stored waveform: cannot read 'gold/m.wave': no such file\n"
        "  hint: --update-golden stores it\n");
  options.update_golden = true;
  result = checked();
  CHECK(result.files[0].verdict == CheckVerdict::pass);
  REQUIRE(result.files[0].waveform_update);
  files.put("gold/m.wave", *result.files[0].waveform_update);
  CHECK_FALSE(checked().files[0].waveform_update);  // nothing changed
  options.update_golden = false;
  CHECK(told(checked()) == "m.stim pass\n");

  files.put("m.stim", "set enter=0 leave=0\nwait 4\nset enter=1\nsettle\n");
  CHECK(told(checked()) ==
        "m.stim fail\n"
        "m.stim: error: the waveform is not the one stored in 'gold/m.wave'\n"
        "    end: stored 5, now 6\n"
        "    enter at 3: stored 1, now 0\n"
        "    clear at 4: stored 0, now x\n"
        "    occupied at 5: stored 1, now x\n"
        "  hint: if the change is wanted, run again with --update-golden and keep the new file\n");
  files.put("m.stim", train + "expect occupied=0\n");
  options.update_golden = true;
  CHECK_FALSE(checked().files[0].waveform_update);  // fails for another reason
}
