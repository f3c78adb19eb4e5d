// bench_run: how long does a whole `settle run` take, where does the time go, and how fast is a dump written?
//
// First a flat memory of a million gates, from a file on disk to the end of a run of 500 steps, with the
// most memory that the process ever had. Then 150 products of the 32 x 32 multiplier with its pins
// recorded, with all nets recorded, and the value change dump of these. Processor time, medians of rounds.
#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "bench/netlists.h"
#include "settle/elaborate.h"
#include "settle/report.h"
#include "settle/run.h"
#include "support/memory_files.h"
#include "support/random.h"

namespace {

using namespace settle;

class Laps {
 public:
  double lap() {
    const std::clock_t now = std::clock();
    const double seconds = static_cast<double>(now - last_) / CLOCKS_PER_SEC;
    last_ = now;
    return seconds;
  }

 private:
  std::clock_t last_ = std::clock();
};

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

double most_memory() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024;
}

std::string memory_steps(std::uint32_t columns, std::uint32_t rows) {
  testing::Random random(1);
  std::string text = "set lever=0 read=0\nsettle\n";
  for (int i = 0; i < 166; ++i) {
    const auto row = random.below(rows);
    text += fmt::format("set lever[{}]={}\nsettle\nset read[{}]=1\nsettle\nset read[{}]=0\nsettle\n", random.below(columns),
                        random.below(2), row, row);
  }
  return text;
}

bool measure_load(std::uint32_t gates, int rounds) {
  namespace fs = std::filesystem;
  std::string folder = (fs::temp_directory_path() / "settle-bench-XXXXXX").string();
  if (mkdtemp(folder.data()) == nullptr) return false;
  const std::string path = folder + "/memory.gates";
  std::uintmax_t bytes = 0;
  {
    const std::string text = bench::latch_memory(gates).text;
    bytes = text.size();
    std::ofstream(path, std::ios::binary) << text;
  }
  std::vector<double> parse, build, run_all, whole;
  double per_gate = 0;
  bool good = true;
  for (int i = 0; i < rounds && good; ++i) {
    Laps laps;
    DiskReader files(std::uint64_t{1} << 32);
    Sources sources;
    Diagnostics diagnostics;
    Netlist tree = parse_netlist(path, files, sources, diagnostics);
    parse.push_back(laps.lap());
    const auto circuit = build_circuit(std::move(tree), {0, 0}, !diagnostics.has_errors(), {}, sources, diagnostics);
    build.push_back(laps.lap());
    good = circuit.has_value();
    if (!good) break;
    per_gate = static_cast<double>(circuit->bytes()) / circuit->gate_count();
    testing::MemoryFiles steps{{"memory.stim", memory_steps(circuit->input_ports()[0].width, circuit->input_ports()[1].width)}};
    const Stimulus stimulus = parse_stimulus("memory.stim", steps, sources, diagnostics);
    const auto result = run(*circuit, stimulus, {}, diagnostics);
    run_all.push_back(laps.lap());
    good = result.has_value() && result->complete;
    whole.push_back(parse.back() + build.back() + run_all.back());
  }
  std::error_code ignored;
  fs::remove_all(folder, ignored);
  if (!good) return false;
  fmt::print("flat memory, {:.0f} MB of text: file to tree {:.2f} s, tree to circuit {:.2f} s, run of 500 steps {:.2f} s,\n"
             "  together {:.2f} s; {:.0f} bytes a gate, {:.0f} MiB at the most\n",
             static_cast<double>(bytes) / 1e6, median(parse), median(build), median(run_all), median(whole), per_gate,
             most_memory());
  return true;
}

bool measure_dump(int products, int rounds) {
  testing::Random random(2);
  std::string steps;
  for (int i = 0; i < products; ++i)
    steps += fmt::format("set a={} b={}\nsettle\n", random.below(0xffffffffu), random.below(0xffffffffu));
  testing::MemoryFiles files{{"multiplier.gates", bench::multiplier(6 * 32 * 32).text}, {"multiplier.stim", steps}};
  Sources sources;
  Diagnostics diagnostics;
  const auto circuit = load_circuit("multiplier.gates", files, {}, sources, diagnostics);
  const Stimulus stimulus = parse_stimulus("multiplier.stim", files, sources, diagnostics);
  if (!circuit || diagnostics.has_errors()) return false;
  std::vector<double> pins, all, dump;
  std::size_t bytes = 0;
  for (int i = 0; i < rounds; ++i) {
    RunOptions options;
    Laps laps;
    if (!run(*circuit, stimulus, options, diagnostics)) return false;
    pins.push_back(laps.lap());
    options.record_all = true;
    const auto result = run(*circuit, stimulus, options, diagnostics);
    all.push_back(laps.lap());
    if (!result || !result->complete) return false;
    bytes = run_vcd(*result, *circuit, {}).size();
    dump.push_back(laps.lap());
  }
  const double megabytes = static_cast<double>(bytes) / 1e6;
  fmt::print("{} products: run with pins recorded {:.2f} s, with all nets {:.2f} s; dump of {:.1f} MB {:.2f} s, {:.0f} MB/s\n",
             products, median(pins), median(all), megabytes, median(dump), megabytes / median(dump));
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  bool quick = false;
  int rounds = 3;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--quick") == 0) {
      quick = true;
    } else if (std::strcmp(argv[i], "--rounds") == 0 && i + 1 < argc) {
      rounds = std::max(1, std::atoi(argv[++i]));
    } else {
      std::fputs("usage: bench_run [--quick] [--rounds N]\n", stderr);
      return 2;
    }
  }
  return measure_load(quick ? 10'000 : 1'000'000, rounds) && measure_dump(quick ? 10 : 150, rounds) ? 0 : 1;
}
