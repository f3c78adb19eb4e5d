// What holds for every diagram: lines fit, the ASCII form is ASCII, and a diagram at one column or
// more a tick can be read back.

#include <algorithm>
#include <random>

#include "report/diagram_text.h"
#include "report/hand_made.h"
#include "report/ink.h"
#include "report/trace.h"
#include "settle/report.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::test;

namespace {

RunResult random_run(std::mt19937& random, Time end) {
  RunResult run;
  run.waveform.end = end;
  const auto nets = 1 + random() % 5;
  for (unsigned i = 0; i < nets; ++i) {
    const auto slow = 1 + random() % 60;
    const std::string name = std::string(1 + random() % 40, 'n') + std::to_string(i);
    const auto values = [&] {
      Signal signal{name, no_id, {{0, Value::x}}};
      for (Time t = 1 + random() % slow; t <= end; t += 1 + random() % slow) {
        const auto value = static_cast<Value>(random() % 4);
        if (value != signal.changes.back().value) signal.changes.push_back({t, value});
      }
      return signal;
    };
    const auto role = static_cast<SignalGroup::Role>(random() % 3);
    if (random() % 3) {
      add_net(run.waveform, role, values());
      continue;
    }
    SignalGroup bus{name, static_cast<std::uint32_t>(random() % 9), 0, true, role, {}};
    for (std::uint32_t bit = 0; bit <= bus.msb; ++bit) {
      bus.bits.push_back(static_cast<std::uint32_t>(run.waveform.signals.size()));
      run.waveform.signals.push_back(values());
    }
    run.waveform.groups.push_back(bus);
  }
  for (auto i = random() % 9; i > 0; --i) {
    Finding finding;
    finding.time = random() % (end + 1);
    finding.message = std::string(random() % 90, 'w') + " and more words";
    run.findings.push_back(finding);
  }
  return run;
}

/// The value that a column of a trace shows, from its two glyphs alone.
char read_back(const std::string& upper, const std::string& lower, bool ascii) {
  struct Shape {
    const char *upper, *lower;
    char value;
  };
  static const std::vector<Shape> unicode_shapes = {
      {"━", " ", '1'}, {" ", "─", '0'}, {"▗", "▘", 'x'}, {".", " ", 'z'}, {"┍", "┘", '1'}, {"┑", "└", '0'},
      {"┍", "╵", '1'}, {"╷", "└", '0'}, {"┍", " ", '1'}, {" ", "└", '0'}, {"┑", " ", 'z'}, {".", "┘", 'z'}};
  static const std::vector<Shape> ascii_shapes = {{"_", " ", '1'}, {" ", "_", '0'}, {"/", "/", 'x'}, {" ", "~", 'z'},
                                                  {"_", "|", '1'}, {" ", "|", '0'}, {"/", "|", '?'}};
  for (const Shape& shape : ascii ? ascii_shapes : unicode_shapes) {
    if (upper == shape.upper && lower == shape.lower) return shape.value;
  }
  return '?';
}

}  // namespace

TEST_CASE("every line fits the width, in both forms") {
  std::mt19937 random(11);
  for (int round = 0; round < 150; ++round) {
    const Time end = round % 5 == 0 ? 0 : random() % (round % 3 == 0 ? 100000 : 200);
    const RunResult run = random_run(random, end);
    TextStyle style;
    style.width = 40 + static_cast<unsigned>(random() % 100);
    style.ascii = random() % 2;
    const std::string text = run_text(run, named_circuit("block_memory"), {}, style);
    CAPTURE(round, style.width, style.ascii, text);
    std::size_t widest = 0;
    for (std::size_t start = 0; start < text.size();) {
      const std::size_t stop = text.find('\n', start);
      widest = std::max(widest, report::columns_of(std::string_view(text).substr(start, stop - start)));
      start = stop + 1;
    }
    CHECK(widest <= style.width);
    const bool pure = std::all_of(text.begin(), text.end(), [](char c) { return c == '\n' || (c >= ' ' && c <= '~'); });
    CHECK((pure || !style.ascii));
    CHECK(text.find('\x1b') == std::string::npos);
  }
}

TEST_CASE("a drawing with a column or more a tick can be read back") {
  std::mt19937 random(5);
  for (int round = 0; round < 100; ++round) {
    std::string values;
    const auto length = 1 + random() % 150;
    for (unsigned t = 0; t < length; ++t) {
      values += t == 0 || random() % 2 ? "01xz"[random() % 4] : values.back();
    }
    RunResult run;
    add_net(run.waveform, in, "line", values);
    const report::Selection selection = report::select_signals(run.waveform, {});
    const report::TimeAxis axis = report::make_axis(selection, {}, 60);
    for (const bool ascii : {false, true}) {
      report::Used used;
      const report::Trace trace = report::draw(selection.shown[0], axis, 0, report::pen(ascii), used);
      std::string read;
      for (Time t = 0; t < length; ++t) {
        const auto column = axis.column_of(t);
        // A gap may stand for a quiet stretch.
        if (!column) read += read.back();
        else read += read_back(std::string(trace.upper[*column].glyph), std::string(trace.lower[*column].glyph), ascii);
      }
      CHECK(read == values);
    }
  }
}

TEST_CASE("bus values are written as in stimuli") {
  using report::bus_texts;
  CHECK(bus_texts("10110001") == std::vector<std::string>{"0xB1", "B1"});
  CHECK(bus_texts("110110001") == std::vector<std::string>{"0x1B1", "1B1"});
  CHECK(bus_texts("0011") == std::vector<std::string>{"0b0011", "0011"});
  CHECK(bus_texts("1xx00001") == std::vector<std::string>{"0b1xx00001", "1xx00001"});
  CHECK(bus_texts("xxxx0001") == std::vector<std::string>{"0xx1", "x1"});
}
