// Whole outputs, as a reader sees them.

#include <algorithm>

#include "report/hand_made.h"
#include "settle/report.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::test;

namespace {

RunResult block_memory() {
  RunResult run;
  add_net(run.waveform, in, "enter", "000110000000110000");
  add_net(run.waveform, in, "leave", "000000011000110000");
  add_net(run.waveform, out, "occupied", "xxxx11110000000101");
  add_net(run.waveform, out, "clear", "xxxx00000111100101");
  return run;
}

Finding race() {
  Finding finding;
  finding.time = 14;
  finding.since = 16;
  finding.nets = {"occupied", "clear"};
  finding.outcomes = {{Value::zero, Value::one}, {Value::one, Value::zero}};
  finding.outcome_count = 2;
  finding.may_hang = true;
  finding.message = "when enter and leave fall at the same time, hold_a and hold_b race";
  return finding;
}

RunResult bus_run() {
  RunResult run;
  std::vector<std::string> lever(30, "00000101"), route(30, "xxxxxxxx"), pair(30, "01");
  std::fill(lever.begin() + 4, lever.end(), "10110001");
  std::fill(route.begin() + 7, route.end(), "10110001");
  std::fill(route.begin() + 9, route.begin() + 10, "1011x001");
  std::fill(route.begin() + 20, route.end(), "zzzzzzzz");
  std::fill(pair.begin() + 12, pair.begin() + 14, "11");
  std::fill(pair.begin() + 14, pair.end(), "10");
  add_bus(run.waveform, in, "lever", lever);
  add_bus(run.waveform, out, "route", route);
  add_bus(run.waveform, inner, "pair", pair);
  return run;
}

/// Every change between two of the four values.
RunResult all_edges() {
  RunResult run;
  add_net(run.waveform, in, "line", "0011xx00zz11zzxx11x0z1z0x1zx0zx");
  return run;
}

RunResult long_run() {
  RunResult run;
  Signal bell{"bell", no_id, {}}, lamp{"lamp", no_id, {}};
  for (Time t = 0; t < 9000; t += 10) bell.changes.push_back({t, to_value(t / 10 % 2 == 1)});
  lamp.changes = {{0, Value::x}, {1500, Value::one}, {6010, Value::zero}};
  add_net(run.waveform, in, bell);
  add_net(run.waveform, out, lamp);
  run.waveform.end = 12000;
  return run;
}

RunResult quiet_run() {
  RunResult run;
  add_net(run.waveform, in, Signal{"enter", no_id, {{0, Value::zero}, {6, Value::one}, {7020, Value::zero}}});
  add_net(run.waveform, out, Signal{"occupied", no_id, {{0, Value::x}, {7, Value::one}}});
  run.waveform.end = 7025;
  run.waveform.time_unit = TimeUnit::ns;
  return run;
}

TextStyle columns(unsigned width) {
  TextStyle style;
  style.width = width;
  return style;
}

TextStyle ascii(unsigned width) {
  TextStyle style = columns(width);
  style.ascii = true;
  return style;
}

/// With a line feed in front, so that expected texts can start on a line of their own.
std::string text_of(const RunResult& run, const TextStyle& style, const WaveformView& view = {}) {
  Sources sources;
  sources.add("cabin.stim", "# the block\nset enter=1\n  expect occupied=1\n");
  return "\n" + run_text(run, named_circuit("block_memory"), sources, style, view);
}

}  // namespace

TEST_CASE("a short run is drawn with several columns a tick") {
  CHECK(text_of(block_memory(), columns(80)) == R"(
block_memory, time 0 to 17

    time 0              5              10             15
         ┬──┴──┴──┴──┴──┬──┴──┴──┴──┴──┬──┴──┴──┴──┴──┬──┴──┴──
         ┊        ┍━━━━━┑              ┊     ┍━━━━━┑  ┊
   enter ─────────┘     └────────────────────┘     └───────────
         ┊              ┊     ┍━━━━━┑  ┊     ┍━━━━━┑  ┊
   leave ─────────────────────┘     └────────┘     └───────────
         ┊              ┊              ┊              ┊
         ▗▗▗▗▗▗▗▗▗▗▗▗┍━━━━━━━━━━━┑     ┊              ┍━━┑  ┍━━
occupied ▘▘▘▘▘▘▘▘▘▘▘▘╵  ┊        └────────────────────┘  └──┘
         ▗▗▗▗▗▗▗▗▗▗▗▗╷  ┊           ┍━━━━━━━━━━━┑     ┍━━┑  ┍━━
   clear ▘▘▘▘▘▘▘▘▘▘▘▘└──────────────┘  ┊        └─────┘  └──┘

3 columns are 1 unit    ▚▚▚ unknown

pass: 0 expectations passed, 0 failed; 0 warnings, 0 notes
)");
}

TEST_CASE("the ASCII form has the same layout") {
  CHECK(text_of(block_memory(), ascii(60)) == R"(
block_memory, time 0 to 17

    time 0         5         10        15
         +-'-'-'-'-+-'-'-'-'-+-'-'-'-'-+-'-'-
         .     ____.         .   ____  .
   enter ______|   |_____________|   |_______
         .         .   ____  .   ____  .
   leave ______________|   |_____|   |_______
         .         .         .         .
         ////////________    .         __  __
occupied ////////| .     |_____________| |_|
         ////////  .       ________    __  __
   clear ////////|_________| .     |___| |_|

2 columns are 1 unit    /// unknown

pass: 0 expectations passed, 0 failed; 0 warnings, 0 notes
)");
}

TEST_CASE("findings and failures are marked at their time and listed") {
  RunResult run = block_memory();
  run.findings.push_back(race());
  run.failed = 1;
  run.passed = 3;
  run.failures.push_back({{0, 26}, 17, "occupied", "0", "1", 0, {"14: leave input -> 0", "17: hold_a nor -> 1"}});
  CHECK(text_of(run, columns(72)) == R"(
block_memory, time 0 to 17

    time 0              5              10             15
         ┬──┴──┴──┴──┴──┬──┴──┴──┴──┴──┬──┴──┴──┴──┴──┬──┴──┴──
         ┊              ┊              ┊           A  ┊     1
         ┊        ┍━━━━━┑              ┊     ┍━━━━━┑  ┊
   enter ─────────┘     └────────────────────┘     └───────────
         ┊              ┊     ┍━━━━━┑  ┊     ┍━━━━━┑  ┊
   leave ─────────────────────┘     └────────┘     └───────────
         ┊              ┊              ┊              ┊
         ▗▗▗▗▗▗▗▗▗▗▗▗┍━━━━━━━━━━━┑     ┊              ┍━━┑  ┍━━
occupied ▘▘▘▘▘▘▘▘▘▘▘▘╵  ┊        └────────────────────┘  └──┘
         ▗▗▗▗▗▗▗▗▗▗▗▗╷  ┊           ┍━━━━━━━━━━━┑     ┍━━┑  ┍━━
   clear ▘▘▘▘▘▘▘▘▘▘▘▘└──────────────┘  ┊        └─────┘  └──┘

3 columns are 1 unit    ▚▚▚ unknown

A  at 14  warning indeterminate: when enter and leave fall at the same
   time, hold_a and hold_b race
   ends as  occupied=0 clear=1 | occupied=1 clear=0 | may hang
   unknown from 16 on

1  cabin.stim:3:3: at 17, occupied: wanted 0, found 1
     14: leave input -> 0
     17: hold_a nor -> 1

fail: 3 expectations passed, 1 failed; 1 warning, 0 notes
)");
}

TEST_CASE("expected warnings, notes, repeats and lanes are told") {
  RunResult run = block_memory();
  run.lanes = 2;
  Finding expected = race();
  expected.expected = true;
  expected.repeats = 3;
  Finding note;
  note.kind = Finding::Kind::skew;
  note.severity = FindingSeverity::note;
  note.time = 12;
  note.skewed_verdict = Verdict::indeterminate;
  note.message = "when enter and leave rise at the same time, the result depends on which comes first";
  run.findings = {note, expected};
  run.passed = 1;
  run.failed = 1;
  run.failures.push_back({{0, 26}, 17, "", "warning oscillation", "none", 1, {}});
  TextStyle style = columns(60);
  style.quiet = true;
  CHECK(text_of(run, style) == R"(
A  at 12  note skew: when enter and leave rise at the same
   time, the result depends on which comes first
   indeterminate when the inputs do not change at exactly
   the same time
B  at 14  expected warning indeterminate: when enter and
   leave fall at the same time, hold_a and hold_b race
   ends as  occupied=0 clear=1 | occupied=1 clear=0 | may
            hang
   unknown from 16 on; came again 3 times

1  cabin.stim:3:3: at 17 (start state 2 of 2), wanted
   warning oscillation, found none

fail: 1 expectation passed, 1 failed; 1 warning, 1 note (1
  expected)
)");
}

TEST_CASE("a quiet run in which nothing is wrong says nothing") {
  TextStyle style = columns(80);
  style.quiet = true;
  CHECK(text_of(block_memory(), style) == "\n");
}

TEST_CASE("buses are one row with their value") {
  CHECK(text_of(bus_run(), columns(50)) == R"(
block_memory, time 0 to 29

      time 0         10        20
           ┬────┴────┬────┴────┬────┴────
           ┊         ┊         ┊
lever[7:0] 0x05╳═════════ 0xB1 ══════════
           ┊         ┊         ┊
route[7:0] ▚▚▚▚▚▚▚╳…╳╳═ 0xB1 ══╳.........
           ┊         ┊         ┊
 pair[1:0] ═══ 0b01 ═══╳…╳════ 0b10 ═════

a column is 1 unit    ▚▚▚ unknown
... high impedance    … value cut for want of room

pass: 0 expectations passed, 0 failed; 0 warnings,
  0 notes
)");
  CHECK(text_of(bus_run(), ascii(50)) == R"(
block_memory, time 0 to 29

      time 0         10        20
           +----'----+----'----+----'----
           .         .         .
lever[7:0] 0x05X========= 0xB1 ==========
           .         .         .
route[7:0] ///////X*XX= 0xB1 ==X~~~~~~~~~
           .         .         .
 pair[1:0] === 0b01 ===X*X==== 0b10 =====

a column is 1 unit    /// unknown
~~~ high impedance    * value cut for want of room

pass: 0 expectations passed, 0 failed; 0 warnings,
  0 notes
)");
}

TEST_CASE("every edge between the four values has its shape") {
  CHECK(text_of(all_edges(), columns(40)) == R"(
block_memory, time 0 to 30

time 0         10        20
     ┬────┴────┬────┴────┬────┴────┬
     ┊ ┍━▗▗╷ ..┍━┑.▗▗┍━▗╷.┍┑ ▗┍┑▗╷.▗
line ──┘ ▘▘└─┘ ┊   ▘▘╵ ▘└┘  └▘╵ ▘└┘▘

a column is 1 unit    ▚▚▚ unknown
... high impedance

pass: 0 expectations passed, 0 failed; 0
  warnings, 0 notes
)");
  CHECK(text_of(all_edges(), ascii(40)) == R"(
block_memory, time 0 to 30

time 0         10        20
     +----'----+----'----+----'----+
     . __//    __  //__/ ._  /_ /  /
line __| //|_~~. ~~//| /|~ ~|/|~/|~/

a column is 1 unit    /// unknown
~~~ high impedance

pass: 0 expectations passed, 0 failed; 0
  warnings, 0 notes
)");
}

TEST_CASE("a long run takes several ticks a column and shows dense stretches") {
  CHECK(text_of(long_run(), columns(60)) == R"(
block_memory, time 0 to 12000

time 0         500       1000      1500      2000
     ┬────┴────┬────┴────┬────┴────┬────┴────┬────┴────
     ▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄
bell ▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀
     ┊         ┊         ┊         ┊         ┊
     ▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗▗┍━━━━━━━━━━━━━━━━━━━
lamp ▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘▘╵         ┊

time 2500      3000      3500      4000      4500
     ┬────┴────┬────┴────┬────┴────┬────┴────┬────┴────
     ▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄
bell ▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀
     ┊         ┊         ┊         ┊         ┊
     ━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━
lamp ┊         ┊         ┊         ┊         ┊

time 5000      5500      6000      6500      7000
     ┬────┴────┬────┴────┬────┴────┬────┴────┬────┴────
     ▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄
bell ▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀
     ┊         ┊         ┊         ┊         ┊
     ━━━━━━━━━━━━━━━━━━━━┑         ┊         ┊
lamp ┊         ┊         └─────────────────────────────

time 7500      8000      8500      9000    11750
     ┬────┴────┬────┴────┬────┴────┬────╎╎╎┴────┬
     ▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄━━━━━╎╎╎━━━━━━
bell ▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀┊    ╎╎╎     ┊
     ┊         ┊         ┊         ┊    ╎╎╎     ┊
     ┊         ┊         ┊         ┊    ╎╎╎     ┊
lamp ───────────────────────────────────╎╎╎──────

a column is 50 units    ▚▚▚ unknown
■ several changes in one column
╎╎╎ nothing changes for 2,500 units, left out

pass: 0 expectations passed, 0 failed; 0 warnings, 0 notes
)");
}

TEST_CASE("a long quiet stretch is cut out") {
  CHECK(text_of(quiet_run(), columns(60)) == R"(
block_memory, time 0 to 7025 ns

      ns 0         10      7015 7020
         ┬────┴────┬────╎╎╎┴────┬────┴
         ┊     ┍━━━━━━━━╎╎╎━━━━━┑
   enter ──────┘   ┊    ╎╎╎     └─────
         ┊         ┊    ╎╎╎     ┊
         ▗▗▗▗▗▗▗┍━━━━━━━╎╎╎━━━━━━━━━━━
occupied ▘▘▘▘▘▘▘╵  ┊    ╎╎╎     ┊

a column is 1 ns    ▚▚▚ unknown
╎╎╎ nothing changes for 7,000 ns, left out

pass: 0 expectations passed, 0 failed; 0 warnings, 0 notes
)");
}

TEST_CASE("a view shows part of the time and some signals") {
  WaveformView view;
  view.from = 6;
  view.to = 10;
  view.patterns = {"route[7]", "pair"};
  CHECK(text_of(bus_run(), columns(60), view) == R"(
block_memory, time 6 to 10

     time 6       8       10
          ┬───┴───┬───┴───┬───
          ▗▗▗▗┍━━━━━━━━━━━━━━━
 route[7] ▘▘▘▘╵   ┊       ┊
          ┊       ┊       ┊
pair[1:0] ═══════ 0b01 ═══════

4 columns are 1 unit    ▚▚▚ unknown

pass: 0 expectations passed, 0 failed; 0 warnings, 0 notes
)");
}

TEST_CASE("colours wrap the shapes and end with the line") {
  WaveformView view;
  view.to = 5;
  view.patterns = {"enter"};
  TextStyle style = columns(40);
  style.color = true;
  CHECK(text_of(block_memory(), style, view) ==
        "\n\x1b[1mblock_memory, time 0 to 5\x1b[0m\n"
        "\n"
        " \x1b[1mtime \x1b[0m\x1b[2m0       2       4\x1b[0m\n"
        "      \x1b[2m┬───┴───┬───┴───┬───┴───\x1b[0m\n"
        "      \x1b[2m┊       ┊   \x1b[0m\x1b[38;2;213;94;0m┍━━━━━━━\x1b[0m\x1b[38;2;0;114;178m┑\x1b[0m\n"
        "\x1b[1menter \x1b[0m\x1b[38;2;0;114;178m────────────\x1b[0m\x1b[38;2;213;94;0m┘   \x1b[0m\x1b[2m┊   \x1b[0m\x1b[38;2;0;114;178m└───\x1b[0m\n"
        "\n"
        "\x1b[2m4 columns are 1 unit\x1b[0m\n"
        "\n"
        "\x1b[1mpass: \x1b[0m0 expectations passed, 0 failed; 0\n"
        "  warnings, 0 notes\n");
}

TEST_CASE("an incomplete run says so and why") {
  RunResult run = block_memory();
  run.complete = false;
  run.incomplete_reason = "stopped at 17: the time limit of 17 units was reached (--limit-time)";
  run.passed = 1;
  WaveformView view;
  view.patterns = {"clear"};
  CHECK(text_of(run, ascii(50), view) == R"(
block_memory, time 0 to 17

 time 0         5         10        15
      +-'-'-'-'-+-'-'-'-'-+-'-'-'-'-+-'-'-
      ////////  .       ________    __  __
clear ////////|_________| .     |___| |_|

2 columns are 1 unit    /// unknown

incomplete: stopped at 17: the time limit of 17
  units was reached (--limit-time)
incomplete: 1 expectation passed, 0 failed; 0
  warnings, 0 notes
)");
}

TEST_CASE("names shorter than the word at the ruler, in ASCII") {
  RunResult run;
  add_net(run.waveform, in, "a", "0110");
  const std::string text = text_of(run, ascii(40));
  CHECK(text.find("\n. 0") != std::string::npos);  // no room for 'time'
  CHECK(text.find("\na ") != std::string::npos);
}
