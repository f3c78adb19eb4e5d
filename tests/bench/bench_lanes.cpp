// bench_lanes: 64 stimuli side by side against 64 runs of the one-lane kernel.
//
// Every lane gets random inputs of its own and settles; then all get the next ones. The kernels run
// the same ticks and their final values are compared, lane by lane. Figures are processor time.
#include <fmt/format.h>

#include <ctime>
#include <optional>
#include <vector>

#include "bench/netlists.h"
#include "settle/elaborate.h"
#include "settle/kernel.h"
#include "settle/lanes.h"
#include "support/memory_files.h"

namespace {

using namespace settle;
using namespace settle::bench;

double seconds_since(std::clock_t start) { return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC; }

bool measure(const Subject& subject, std::size_t rounds) {
  testing::MemoryFiles files{{"bench.gates", subject.text}};
  Sources sources;
  Diagnostics diagnostics;
  const auto circuit = load_circuit("bench.gates", files, {}, sources, diagnostics);
  if (!circuit) return false;
  // steps[lane][round]
  std::vector<std::vector<InputStep>> steps;
  for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) steps.push_back(subject.steps(*circuit, lane + 1, rounds));

  LaneKernel lanes(*circuit);
  std::vector<Time> ends;  // the ticks of each round
  std::vector<LaneWord> inputs(circuit->input_count());
  std::clock_t start = std::clock();
  for (std::size_t round = 0; round < rounds; ++round) {
    for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) {
      for (const auto& [net, value] : steps[lane][round]) {
        inputs[net].put(lane, value);
        lanes.set_input(net, inputs[net]);
      }
    }
    if (!lanes.settle(1'000'000)) return false;
    ends.push_back(lanes.now());
  }
  const double together = seconds_since(start);

  double alone = 0;
  std::uint64_t changes = 0;
  for (unsigned lane = 0; lane < LaneKernel::lanes; ++lane) {
    Kernel kernel(*circuit);
    start = std::clock();
    Time begin = 0;
    for (std::size_t round = 0; round < rounds; ++round) {
      for (const auto& [net, value] : steps[lane][round]) kernel.set_input(net, value);
      kernel.run_instant(begin);
      for (auto next = kernel.next_time(); next; next = kernel.next_time()) kernel.run_instant(*next);
      begin = ends[round] + 1;
    }
    alone += seconds_since(start);
    changes += kernel.net_changes();
    for (NetId net = 0; net < circuit->net_count(); ++net) {
      if (kernel.value(net) == lanes.value(net, lane)) continue;
      fmt::print(stderr, "{}: lane {} differs at net {}\n", subject.name, lane, circuit->net_name(net));
      return false;
    }
  }
  fmt::print("{:<15} {:>7} gates {:>5} rounds  {:>8.1f} M changes  64 runs {:>7.3f} s  lanes {:>7.3f} s  {:>5.1f} times\n",
             subject.name, circuit->gate_count(), rounds, static_cast<double>(changes) / 1e6, alone, together,
             alone / together);
  return true;
}

}  // namespace

int main() {
  return measure(latch_memory(1'000), 300) && measure(multiplier(6'144), 40) && measure(shift_register(8'000), 60) &&
                 measure(latch_memory(100'000), 100)
             ? 0
             : 1;
}
