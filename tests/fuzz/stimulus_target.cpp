// Stimulus texts for a few fixed cells: parser, binding, a short run, its reports.
#include <string>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "fuzz/short_run.h"
#include "fuzz/well_formed.h"
#include "settle/elaborate.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

constexpr const char* fixed_cells = R"(cell block_memory
  in  enter leave
  out occupied clear
  nor hold_a: leave clear    -> occupied
  nor hold_b: enter occupied -> clear
end
cell lever_latch
  in  lever read
  out seen seen_n
  nor  invert: lever lever -> lever_n
  and  gate_s: lever   read -> s
  and  gate_r: lever_n read -> r
  block_memory keep: s r -> seen seen_n
end
cell route_register
  in  lever[3:0] read
  out route[3:0]
  lever_latch bit[3:0]: lever[3:0] read -> route[3:0] _
end
cell slow
  in  s r
  out q q_n
  nor a: r q_n -> q {rise=4ns fall=6ns}
  nor b: s q -> q_n {delay=1..2..3ns}
end
cell wire
  in  a b[0:1]
  out w
  bufif1 t0: b[0] a -> w
  notif0 t1: b[1] a -> w
  pullup p: -> w
end
cell ring
  out a b c
  not first: c -> a
  not second: a -> b
  not third: b -> c
end
)";

void run_stimulus(std::string_view bytes) {
  testing::MemoryFiles files{{"cells.gates", fixed_cells}, {"main.stim", std::string(bytes)}};
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus stimulus = parse_stimulus("main.stim", files, sources, diagnostics);
  CHECK(render(diagnostics, sources).empty() == diagnostics.all().empty());
  if (diagnostics.has_errors()) return;

  ElaborateOptions options;
  options.cell = stimulus.cell.empty() ? "route_register" : stimulus.cell;
  options.stimulus_unit = stimulus.finest_unit;
  const auto circuit = load_circuit("cells.gates", files, options, sources, diagnostics);
  CHECK(circuit.has_value() != diagnostics.has_errors());
  if (!circuit || work_of(stimulus) > 200) return;
  RunOptions limits = short_run();
  limits.record_all = bytes.size() % 2 == 0;
  limits.kernel.transport = bytes.size() % 3 == 0;
  const auto result = run(*circuit, stimulus, limits, diagnostics);
  CHECK(result.has_value() != diagnostics.has_errors());
  CHECK(render(diagnostics, sources).empty() == diagnostics.all().empty());
  if (result) check_run_reports(*result, *circuit, sources);
}

std::string show_stimulus(std::string_view bytes) {
  return join_files({{"main.stim", std::string(bytes)}, {"cells.gates", fixed_cells}});
}

}  // namespace

const Target stimulus_target{"stimulus", run_stimulus, show_stimulus};

}  // namespace settle::fuzz
