// settle_bench: how fast are reading, elaboration and the event kernel?
//
// Each circuit is written as text from a seed, read, elaborated and simulated with unit delays. A
// first, unmeasured run finds out how many steps fit the budget of evaluations, and at which times
// they come; the measured run and the textbook kernel beside it then do exactly these, and their
// final values are compared. This is done in several rounds, one kernel after the other in each, so that
// what else the machine does meets both. Figures are processor time on one core, the median of all rounds;
// the ratio is the median of the ratios of the rounds.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "bench/muller_pipeline.h"
#include "bench/netlists.h"
#include "bench/textbook_kernel.h"
#include "settle/elaborate.h"
#include "settle/kernel.h"
#include "support/memory_files.h"

namespace {

using namespace settle;
using namespace settle::bench;

// Processor time: what other programs do at the same time counts less than with wall-clock time.
class Clock {
 public:
  double seconds() const { return static_cast<double>(std::clock() - start_) / CLOCKS_PER_SEC; }

 private:
  std::clock_t start_ = std::clock();
};

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values.empty() ? 0 : values[values.size() / 2];
}

struct Row {
  std::string name;
  std::uint32_t gates = 0;
  double text_bytes = 0, parse_seconds = 0, elaborate_seconds = 0;
  double circuit_bytes = 0, kernel_bytes = 0;
  double run_seconds = 0, evaluations = 0, changes = 0, visits = 0;
  double textbook_seconds = 0, ratio = 0;
  double access_rate = 0;  // random accesses a second over as much memory as kernel and fan-out take
};

// Adds to words at random places of a working set, as the event list does: what the memory allows.
double random_access_rate(double bytes) {
  std::vector<std::uint64_t> words(std::max<std::size_t>(static_cast<std::size_t>(bytes) / 8, 16));
  constexpr std::uint64_t accesses = 20'000'000;
  double best = 0;
  for (int i = 0; i < 3; ++i) {
    std::uint64_t state = 1;
    const Clock clock;
    for (std::uint64_t n = 0; n < accesses; ++n) {
      state = state * 6364136223846793005u + 1442695040888963407u;
      words[(state >> 32) * words.size() >> 32] += n;
    }
    best = std::max(best, static_cast<double>(accesses) / clock.seconds());
  }
  return best + static_cast<double>(words.front() & 0);  // keeps the loop
}

/// The input changes of a run, with their times.
struct Schedule {
  std::vector<std::pair<Time, InputStep>> steps;
  Time end = 0;
  std::uint64_t visits = 0;
};

// Lets every step settle, up to a number of evaluations; counts the pins reached by changes.
Schedule plan(const Circuit& circuit, const std::vector<InputStep>& steps, std::uint64_t budget) {
  Schedule schedule;
  Kernel kernel(circuit);
  for (const InputStep& step : steps) {
    for (const auto& [net, value] : step) kernel.set_input(net, value);
    schedule.steps.emplace_back(kernel.now(), step);
    kernel.run_instant(kernel.now());
    for (;;) {
      for (const NetId net : kernel.changed()) schedule.visits += circuit.fan_out(net).size();
      const auto next = kernel.next_time();
      if (!next || kernel.evaluations() >= budget) break;
      kernel.run_instant(*next);
    }
    if (kernel.evaluations() >= budget) break;
  }
  schedule.end = kernel.now();
  return schedule;
}

void replay(Kernel& kernel, const Schedule& schedule) {
  for (std::size_t i = 0; i < schedule.steps.size(); ++i) {
    const auto& [time, step] = schedule.steps[i];
    const Time until = i + 1 < schedule.steps.size() ? schedule.steps[i + 1].first : schedule.end;
    for (const auto& [net, value] : step) kernel.set_input(net, value);
    kernel.run_instant(time);
    for (auto next = kernel.next_time(); next && *next <= until; next = kernel.next_time()) {
      kernel.run_instant(*next);
    }
  }
}

void replay(TextbookKernel& kernel, const Schedule& schedule) {
  for (std::size_t i = 0; i < schedule.steps.size(); ++i) {
    const auto& [time, step] = schedule.steps[i];
    const Time until = i + 1 < schedule.steps.size() ? schedule.steps[i + 1].first : schedule.end;
    for (const auto& [net, value] : step) kernel.set(net, value, time);
    kernel.run(until);
  }
}

bool measure(const Subject& subject, std::uint64_t budget, int rounds, bool with_textbook, Row& row) {
  row.name = subject.name;
  row.text_bytes = static_cast<double>(subject.text.size());
  testing::MemoryFiles files{{"bench.gates", subject.text}};
  Sources sources;
  Diagnostics diagnostics;
  // Small texts are read several times, since one reading is too short to be timed.
  const int times = static_cast<int>(1 + 2e6 / row.text_bytes);
  Netlist netlist;
  std::optional<Circuit> circuit;
  for (int i = 0; i < times; ++i) {
    Clock clock;
    netlist = parse_netlist("bench.gates", files, sources, diagnostics);
    row.parse_seconds += clock.seconds() / times;
    clock = {};
    circuit = elaborate(netlist, {}, sources, diagnostics);
    row.elaborate_seconds += clock.seconds() / times;
  }
  if (!circuit) {
    std::fputs(render(diagnostics, sources).c_str(), stderr);
    return false;
  }
  row.gates = circuit->gate_count();
  row.circuit_bytes = static_cast<double>(circuit->bytes());

  const auto schedule = plan(*circuit, subject.steps(*circuit, 1, 10'000), budget);
  row.visits = static_cast<double>(schedule.visits);
  Kernel kernel(*circuit);
  std::vector<double> times_of_run, times_of_textbook, ratios;
  for (int round = 0; round < rounds; ++round) {
    kernel.power_up({}, {});
    const Clock run_clock;
    replay(kernel, schedule);
    times_of_run.push_back(run_clock.seconds());
    if (!with_textbook) continue;
    TextbookKernel textbook(*circuit);
    const Clock textbook_clock;
    replay(textbook, schedule);
    times_of_textbook.push_back(textbook_clock.seconds());
    ratios.push_back(times_of_textbook.back() / times_of_run.back());
    for (NetId net = 0; net < circuit->net_count(); ++net) {
      if (kernel.value(net) == textbook.value(net)) continue;
      fmt::print(stderr, "{}: the kernels differ at net {}\n", subject.name, circuit->net_name(net));
      return false;
    }
  }
  row.run_seconds = median(times_of_run);
  row.textbook_seconds = median(times_of_textbook);
  row.ratio = median(ratios);
  row.evaluations = static_cast<double>(kernel.evaluations());
  row.changes = static_cast<double>(kernel.net_changes());
  row.kernel_bytes = static_cast<double>(kernel.bytes());
  double pins = 0;
  for (GateId gate = 0; gate < circuit->gate_count(); ++gate) pins += static_cast<double>(circuit->fan_in(gate).size());
  row.access_rate = random_access_rate(row.kernel_bytes + 4 * pins + 4.0 * circuit->net_count());

  return true;
}

void print_table(const std::vector<Row>& rows) {
  fmt::print("{:<15} {:>8} {:>7} {:>7} {:>8} {:>8} {:>8} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>6}\n", "circuit",
             "gates", "text", "read", "elabor.", "circuit", "kernel", "run", "evals", "changes", "visits",
             "access", "textbook", "ratio");
  fmt::print("{:<15} {:>8} {:>7} {:>7} {:>8} {:>8} {:>8} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>6}\n", "", "", "MB",
             "MB/s", "Mgate/s", "B/gate", "B/gate", "s", "M/s", "M/s", "M/s", "M/s", "s", "");
  for (const Row& row : rows) {
    fmt::print(
        "{:<15} {:>8} {:>7.2f} {:>7.0f} {:>8.2f} {:>8.1f} {:>8.1f} {:>7.3f} {:>8.1f} {:>8.1f} {:>8.1f} "
        "{:>8.1f} {:>8.3f} {:>6.1f}\n",
        row.name, row.gates, row.text_bytes / 1e6, row.text_bytes / 1e6 / row.parse_seconds,
        row.gates / 1e6 / row.elaborate_seconds, row.circuit_bytes / row.gates, row.kernel_bytes / row.gates,
        row.run_seconds, row.evaluations / 1e6 / row.run_seconds, row.changes / 1e6 / row.run_seconds,
        row.visits / 1e6 / row.run_seconds, row.access_rate / 1e6, row.textbook_seconds, row.ratio);
  }
}

// The table of docs/performance.md.
void print_markdown(const std::vector<Row>& rows) {
  fmt::print(
      "| circuit | gates | read MB/s | million gates built a second | bytes a gate: circuit, kernel | run s | ns a change | "
      "changes M/s | visits M/s | access M/s | ratio |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
  for (const Row& row : rows) {
    fmt::print("| {} | {} | {:.0f} | {:.1f} | {:.0f}, {:.0f} | {:.3f} | {:.0f} | {:.1f} | {:.1f} | {:.0f} | {:.1f} |\n", row.name,
               fmt::group_digits(row.gates), row.text_bytes / 1e6 / row.parse_seconds,
               row.gates / 1e6 / row.elaborate_seconds, row.circuit_bytes / row.gates, row.kernel_bytes / row.gates,
               row.run_seconds, 1e9 * row.run_seconds / row.changes, row.changes / 1e6 / row.run_seconds,
               row.visits / 1e6 / row.run_seconds, row.access_rate / 1e6, row.ratio);
  }
}

void print_json(const std::vector<Row>& rows) {
  fmt::print("[");
  const char* separator = "\n";
  for (const Row& row : rows) {
    fmt::print(
        "{}  {{\"circuit\": \"{}\", \"gates\": {}, \"text_bytes\": {:.0f}, \"parse_seconds\": {:.6f}, "
        "\"elaborate_seconds\": {:.6f}, \"circuit_bytes\": {:.0f}, \"kernel_bytes\": {:.0f}, "
        "\"run_seconds\": {:.6f}, \"evaluations\": {:.0f}, \"net_changes\": {:.0f}, "
        "\"fan_out_visits\": {:.0f}, \"textbook_seconds\": {:.6f}, \"ratio\": {:.2f}, \"random_accesses_per_second\": {:.0f}}}",
        separator, row.name, row.gates, row.text_bytes, row.parse_seconds, row.elaborate_seconds,
        row.circuit_bytes, row.kernel_bytes, row.run_seconds, row.evaluations, row.changes, row.visits,
        row.textbook_seconds, row.ratio, row.access_rate);
    separator = ",\n";
  }
  fmt::print("\n]\n");
}

}  // namespace

int main(int argc, char** argv) {
  bool json = false, markdown = false, quick = false, with_textbook = true, pipeline_only = false;
  int rounds = 5;
  std::string only;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--json") == 0) {
      json = true;
    } else if (std::strcmp(argv[i], "--markdown") == 0) {
      markdown = true;
    } else if (std::strcmp(argv[i], "--quick") == 0) {
      quick = true;
    } else if (std::strcmp(argv[i], "--no-textbook") == 0) {
      with_textbook = false;
    } else if (std::strcmp(argv[i], "--pipeline") == 0) {
      pipeline_only = true;
    } else if (std::strcmp(argv[i], "--rounds") == 0 && i + 1 < argc) {
      rounds = std::max(1, std::atoi(argv[++i]));
    } else if (std::strcmp(argv[i], "--only") == 0 && i + 1 < argc) {
      only = argv[++i];
    } else {
      std::fputs(
          "usage: settle_bench [--json] [--markdown] [--quick] [--no-textbook] [--pipeline] [--rounds N] [--only NAME]\n"
          "  --json         figures as JSON\n"
          "  --markdown     figures as the table of docs/performance.md\n"
          "  --quick        1,000 gates only, for a check that it works\n"
          "  --no-textbook  without the textbook kernel, which takes most of the time\n"
          "  --rounds N     medians of so many rounds (5)\n"
          "  --only NAME    only the circuits of this name, say \"shift register\"\n"
          "  --pipeline     only the any-delay search, beside a model checker's verifier\n",
          stderr);
      return 2;
    }
  }
  if (pipeline_only) return measure_pipeline(quick) ? 0 : 1;
  const std::uint64_t budget = quick ? 1'000'000 : 30'000'000;
  std::vector<Subject> subjects;
  for (const std::uint32_t size : quick ? std::vector{1'000u} : std::vector{1'000u, 100'000u, 1'000'000u}) {
    for (const auto make : {latch_memory, multiplier, shift_register}) subjects.push_back(make(size));
  }
  if (!quick) {
    subjects.push_back(shuffled(latch_memory(1'000'000)));
    subjects.push_back(multiplier(6 * 32 * 32));
    subjects.push_back(shift_register(8 * 1'000));
  }
  std::vector<Row> rows;
  for (const Subject& subject : subjects) {
    if (!only.empty() && only != subject.name) continue;
    if (!measure(subject, budget, rounds, with_textbook, rows.emplace_back())) return 1;
  }
  if (json) {
    print_json(rows);
  } else if (markdown) {
    print_markdown(rows);
  } else {
    print_table(rows);
  }
  return 0;
}
