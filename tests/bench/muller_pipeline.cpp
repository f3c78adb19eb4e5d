// Both searches run in processes of their own, so that time and memory are measured alike: processor
// time, and most resident memory less what an idle process of the same kind has.
//
// The relations differ, to the checker's advantage. Its model lets one excited gate at a time change, the
// cheapest form that there is (one process, one guarded command and one bit a gate; gcc -O3; no check for
// deadlock, no partial-order reduction, which one process cannot use, no compression), and it looks for
// nothing. settle's search covers any set of excited gates at once, which reaches more states on this
// circuit, and finds stable states, lasting cycles and what differs. So rates are compared, not times.
// That both reach the same states under the same relation is checked on a pipeline of two stages.
#include "bench/muller_pipeline.h"

#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <ctime>
#include <optional>
#include <vector>

#include "published/spin_model.h"
#include "settle/elaborate.h"
#include "settle/step_analysis.h"
#include "support/memory_files.h"

namespace settle::bench {
namespace {

struct Searched {
  std::uint64_t states = 0;
  double seconds = 0, bytes = 0;
};

std::optional<Circuit> load(const std::string& text) {
  testing::MemoryFiles files{{"pipeline.gates", text}};
  Sources sources;
  Diagnostics diagnostics;
  auto circuit = load_circuit("pipeline.gates", files, {}, sources, diagnostics);
  if (!circuit) std::fputs(render(diagnostics, sources).c_str(), stderr);
  return circuit;
}

// All zeros, but for the inverters between the stages: only the source is excited.
std::vector<Value> start_of(const Circuit& circuit) {
  std::vector<Value> values(circuit.net_count(), Value::zero);
  values[circuit.const_one()] = Value::one;
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    if (circuit.gate_name(g).starts_with("invert")) values[circuit.output_of(g)] = Value::one;
  }
  return values;
}

// Searches in a child process; `idle`: does all but the search.
std::optional<Searched> search_apart(const Circuit& circuit, const std::vector<Value>& values, bool idle) {
  int ends[2];
  if (pipe(ends) != 0) return std::nullopt;
  const pid_t child = fork();
  if (child < 0) return std::nullopt;
  if (child == 0) {
    Searched found;
    StepAnalyzer analyzer(circuit);
    if (!idle) {
      const std::clock_t start = std::clock();
      AnyDelayLimits limits;
      limits.states = std::uint64_t{1} << 24;
      limits.memory_bytes = std::uint64_t{4} << 30;
      const StepOutcome outcome = analyzer.any_delay({values, {}}, limits);
      found.seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
      for (const StepPart& part : outcome.parts) found.states += part.states;
      if (!outcome.complete) found.states = 0;
    }
    const bool written = write(ends[1], &found, sizeof found) == static_cast<ssize_t>(sizeof found);
    _exit(written ? 0 : 1);
  }
  close(ends[1]);
  Searched found;
  const bool was_read = read(ends[0], &found, sizeof found) == static_cast<ssize_t>(sizeof found);
  close(ends[0]);
  rusage used{};
  int status = 0;
  if (wait4(child, &status, 0, &used) != child || !was_read) return std::nullopt;
  found.bytes = static_cast<double>(used.ru_maxrss) * 1024;
  return found;
}

void print_row(const char* name, const Searched& found) {
  const auto states = static_cast<double>(found.states);
  fmt::print("{:<34} {:>10} {:>8.2f} {:>9.2f} {:>8.1f}\n", name, found.states, found.seconds,
             states / 1e6 / found.seconds, found.bytes / states);
}

}  // namespace

std::string muller_pipeline(std::uint32_t stages) {
  // Stage i takes over from i - 1 once i + 1 has taken over from it: c[i] = C(c[i-1], not c[i+1]). What
  // comes out at the end is taken away at once.
  std::string text = fmt::format("cell pipeline\n  out c{}\n", stages);
  text += "  not source: c1 -> c0\n";
  for (std::uint32_t i = 1; i <= stages; ++i) {
    text += fmt::format(
        "  not invert_{0}: c{2} -> n{0}\n  and ab_{0}: c{1} n{0} -> x{0}\n  and ac_{0}: c{1} c{0} -> y{0}\n"
        "  and bc_{0}: n{0} c{0} -> z{0}\n  or sum_{0}: x{0} y{0} z{0} -> c{0}\n",
        i, i - 1, i == stages ? i : i + 1);
  }
  return text + "end\n";
}

bool measure_pipeline(bool quick) {
  const auto small = load(muller_pipeline(2));
  if (!small) return false;
  const testing::RaceStart small_start{&*small, start_of(*small)};
  const auto small_ours = search_apart(*small, small_start.values, false);
  const testing::SpinRun check = testing::run_spin(testing::promela_of_races({&small_start, 1}),
                                                   {"-O0", "-DSAFETY", "-DNOREDUCE"}, {"-m100000", "-w20"});
  if (!check.error.empty()) {
    fmt::print("the model checker cannot be used: {}\n", check.error);
  } else if (!small_ours || small_ours->states + 1 != check.states) {  // its own start counts as a state
    std::fputs("the searches found different numbers of states\n", stderr);
    return false;
  }

  const std::uint32_t stages = quick ? 3 : 4;
  const auto circuit = load(muller_pipeline(stages));
  if (!circuit) return false;
  const testing::RaceStart start{&*circuit, start_of(*circuit)};
  const auto idle = search_apart(*circuit, start.values, true);
  auto ours = search_apart(*circuit, start.values, false);
  if (!idle || !ours || ours->states == 0) {
    std::fputs("the any-delay search of the pipeline failed\n", stderr);
    return false;
  }
  ours->bytes -= idle->bytes;
  fmt::print("{:<34} {:>10} {:>8} {:>9} {:>8}\n", fmt::format("pipeline of {} C-elements", stages), "states",
             "s", "Mstate/s", "B/state");
  print_row("settle, any set changes at once", *ours);
  if (!check.error.empty()) return true;

  const testing::SpinRun run = testing::run_spin(
      testing::promela_of_single_changes(start),
      {"-O3", "-DSAFETY", "-DNOREDUCE", "-DNOFAIR", "-DNOBOUNDCHECK", "-DMEMLIM=8000"},
      {"-E", "-n", fmt::format("-w{}", quick ? 16 : 20), fmt::format("-m{}", ours->states + 100)});
  if (!run.error.empty()) {
    std::fputs(run.error.c_str(), stderr);
    return false;
  }
  print_row("Spin's verifier, one changes", {run.states, run.verify.seconds, run.verify.peak_bytes});
  fmt::print("  by its own account {:.1f} B/state without stack and table; gcc took {:.1f} s\n",
             run.state_bytes / static_cast<double>(run.states), run.compile.seconds);
  return true;
}

}  // namespace settle::bench
