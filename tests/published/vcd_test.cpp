// Value change dumps against IEEE Std 1364-2005, clause 18 (from memory): what we write is read
// again by an independent reader and must be the same waveform.

#include <random>

#include "published/vcd_reader.h"
#include "report/hand_made.h"
#include "settle/report.h"
#include "support/catch.h"

using namespace settle;
using namespace settle::test;

namespace {

std::string value_text(const Waveform& waveform, const SignalGroup& group, Time time) {
  std::string text;
  for (const std::uint32_t index : group.bits) {
    char value = 'x';
    for (const Change& change : waveform.signals[index].changes) {
      if (change.time <= time) value = to_char(change.value);
    }
    text += value;
  }
  return text;
}

void check_same(const RunResult& run, const WaveformView& view = {}) {
  const std::string text = run_vcd(run, named_circuit("cabin"), view);
  INFO(text.substr(0, 2000));
  const VcdReader reader(text);
  const Time last = std::min(view.to, run.waveform.end);
  CHECK(reader.first_time == view.from);
  CHECK(reader.last_time == last);
  REQUIRE(reader.variables.size() == run.waveform.groups.size());
  for (const SignalGroup& group : run.waveform.groups) {
    std::string path = "cabin." + group.name;
    if (group.is_bus) path += "[" + std::to_string(group.msb) + ":" + std::to_string(group.lsb) + "]";
    for (Time time = view.from; time <= last; ++time) {
      if (reader.at(path, time) == value_text(run.waveform, group, time)) continue;
      CAPTURE(path, time);
      CHECK(reader.at(path, time) == value_text(run.waveform, group, time));
      return;
    }
  }
}

RunResult random_run(std::uint32_t seed, std::size_t nets) {
  std::mt19937 random(seed);
  RunResult run;
  const Time end = 1 + random() % 40;
  for (std::size_t i = 0; i < nets; ++i) {
    const auto width = random() % 3 == 0 ? 1 + random() % 9 : 0;
    std::string name = "n" + std::to_string(i);
    if (random() % 2) name = "bit[" + std::to_string(random() % 3) + "]." + name;
    if (random() % 3 == 0) name = "keep." + name;
    const auto digit = [&] { return "01xz"[random() % 4]; };
    if (width == 0) {
      std::string values;
      for (Time t = 0; t <= end; ++t) values += random() % 3 && t > 0 ? values.back() : digit();
      add_net(run.waveform, inner, name, values);
    } else {
      std::vector<std::string> values;
      for (Time t = 0; t <= end; ++t) {
        std::string value;
        const char lead = digit();  // long equal leads exercise the left extension
        const std::size_t equal = random() % (width + 1);
        for (std::size_t b = 0; b < width; ++b) value += b < equal ? lead : digit();
        values.push_back(random() % 2 && t > 0 ? values.back() : value);
      }
      add_bus(run.waveform, inner, name, values);
    }
  }
  return run;
}

}  // namespace

TEST_CASE("left extension restores what was left out (clause 18.2.2)") {
  RunResult run;
  add_bus(run.waveform, out, "route", {"0010", "1111", "xxxx", "0xx1", "zzzz", "zz01", "0000", "x010", "0z00"});
  check_same(run);
  const std::string text = run_vcd(run, named_circuit("cabin"));
  for (const char* line : {"b10 !\n", "b1111 !\n", "bx !\n", "b0xx1 !\n", "bz !\n", "bz01 !\n", "b0 !\n", "bx010 !\n",
                           "b0z00 !\n"}) {
    CAPTURE(line);
    CHECK(text.find(line) != std::string::npos);
  }
}

TEST_CASE("random waveforms come back as they were") {
  for (std::uint32_t seed = 0; seed < 60; ++seed) {
    CAPTURE(seed);
    check_same(random_run(seed, 1 + seed % 12));
  }
}

TEST_CASE("more nets than identifier codes of one and two characters") {
  RunResult run;
  for (int i = 0; i < 9000; ++i) {  // 94 + 94^2 = 8930
    add_net(run.waveform, inner, "n" + std::to_string(i), i % 2 ? "01" : "1x");
  }
  const std::string text = run_vcd(run, named_circuit("cabin"));
  const VcdReader reader(text);  // refuses a code used twice
  CHECK(reader.variables.size() == 9000);
  CHECK(reader.at("cabin.n8999", 1) == "1");
  CHECK(reader.at("cabin.n8998", 0) == "1");
}

TEST_CASE("a view starts with the values at its first time") {
  WaveformView view;
  for (std::uint32_t seed = 100; seed < 120; ++seed) {
    const RunResult run = random_run(seed, 5);
    view.from = run.waveform.end / 3;
    view.to = run.waveform.end / 3 * 2;
    CAPTURE(seed);
    check_same(run, view);
  }
}

TEST_CASE("the time scale is the tick, unit delays say what a tick is") {
  RunResult run;
  add_net(run.waveform, in, "enter", "01");
  const std::string units = run_vcd(run, named_circuit("cabin"));
  CHECK(VcdReader(units).timescale == "1 ns");
  CHECK(VcdReader(units).comment == "one tick is one unit of gate delay");
  run.waveform.time_unit = TimeUnit::ps;
  const std::string picoseconds = run_vcd(run, named_circuit("cabin"));
  CHECK(VcdReader(picoseconds).timescale == "1 ps");
  CHECK(VcdReader(picoseconds).comment.empty());
}
