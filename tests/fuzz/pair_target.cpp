// A generated netlist and stimulus through the whole program but for its command line: run, table, states
// with replays of its witnesses, explain, and every report. The first byte chooses which.
#include <algorithm>
#include <cstdio>
#include <string>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "fuzz/generate.h"
#include "fuzz/short_run.h"
#include "fuzz/well_formed.h"
#include "settle/elaborate.h"
#include "settle/explain_report.h"
#include "settle/states_report.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

struct Loaded {
  Sources sources;
  Diagnostics diagnostics;
  std::optional<Circuit> circuit;
};

Loaded load(testing::MemoryFiles& files, const std::string& path, const std::string& cell) {
  Loaded loaded;
  ElaborateOptions options;
  options.cell = cell;
  loaded.circuit = load_circuit(path, files, options, loaded.sources, loaded.diagnostics);
  if (loaded.circuit) return loaded;
  std::fputs(render(loaded.diagnostics, loaded.sources).c_str(), stderr);
  FAIL("a netlist that should be valid");
}

void check_run(Loaded& loaded, testing::MemoryFiles& files, std::uint32_t choice) {
  Stimulus stimulus = parse_stimulus("main.stim", files, loaded.sources, loaded.diagnostics);
  if (loaded.diagnostics.has_errors() || work_of(stimulus) > 400) return;
  RunOptions options = short_run();
  options.record_all = choice % 2 == 0;
  options.kernel.transport = choice % 3 == 0;
  options.kernel.delays = choice % 5 == 0   ? DelayChoice::max
                          : choice % 7 == 0 ? DelayChoice::unit
                                            : DelayChoice::typ;
  const auto result = run(*loaded.circuit, stimulus, options, loaded.diagnostics);
  CHECK(result.has_value() != loaded.diagnostics.has_errors());
  if (!result) return;
  check_run_reports(*result, *loaded.circuit, loaded.sources);
  const auto again = run(*loaded.circuit, stimulus, options, loaded.diagnostics);
  CHECK(run_json(*again, *loaded.circuit, loaded.sources) ==
        run_json(*result, *loaded.circuit, loaded.sources));
}

void check_table(const Circuit& circuit, bool merge) {
  TableOptions options;
  options.merge = merge;
  options.row_limit = 300;
  options.any_delay = short_run().any_delay;
  if (!table_refusal(circuit, options).empty()) return;
  const Table table = make_table(circuit, options);
  check_json(table_json(table, circuit), "table/1");
  check_csv(table_csv(table));
  CHECK(!table_text(table, circuit, {}).empty());
  CHECK(!table_markdown(table, circuit).empty());
}

// Drivers may fight on the way; the stimulus speaks of the ending alone.
bool shows_its_ending(const RunResult& result) {
  return result.failed == 0 && std::all_of(result.findings.begin(), result.findings.end(), [](const Finding& finding) {
    return finding.expected || finding.severity != FindingSeverity::warning || finding.kind == Finding::Kind::contention;
  });
}

// Every stimulus written for an ending must be met by its circuit.
void check_replays(const Circuit& circuit, const StatesStudy& study) {
  const auto replays = replay_files(circuit, study.space, study.witnesses, "replay");
  testing::MemoryFiles files;
  for (const ReplayFile& replay : replays) files.put(replay.name, replay.text);
  for (std::size_t i = 1; i < replays.size(); ++i) {
    Sources sources;
    Diagnostics diagnostics;
    const Stimulus stimulus = parse_stimulus(replays[i].name, files, sources, diagnostics);
    ElaborateOptions options;
    options.cell = stimulus.cell;
    options.stimulus_unit = stimulus.finest_unit;
    const auto replayed = load_circuit(replays[0].name, files, options, sources, diagnostics);
    if (replayed) {
      const auto result = run(*replayed, stimulus, {}, diagnostics);
      if (result && shows_its_ending(*result)) continue;
    }
    std::fprintf(stderr, "%s%s%s", render(diagnostics, sources).c_str(), replays[0].text.c_str(),
                 replays[i].text.c_str());
    FAIL("a replay that does not show its ending");
  }
}

void check_states(const Circuit& circuit, bool single) {
  StatesOptions options;
  options.space.any_delay = short_run().any_delay;
  options.space.stable_limit = 100;
  options.space.transition_limit = 500;
  options.space.input_limit = 5;
  options.space.single_changes_only = single;
  options.witness_limit = 4;
  const StatesStudy study = study_states(circuit, options);
  check_json(states_json(study, circuit), "states/1");
  CHECK(!states_text(study, circuit, {}, single).empty());
  CHECK(states_dot(study, circuit, !single).ends_with("}\n"));
  check_replays(circuit, study);
}

void check_explain(const Circuit& circuit) {
  ExplainOptions options;
  options.any_delay = short_run().any_delay;
  options.stable_limit = 200;
  options.transition_limit = 1000;
  options.input_limit = 5;
  const Explanation explanation = explain(circuit, options);
  check_json(explain_json(explanation), "explain/1");
  CHECK(!explain_text(explanation, {}).empty());
}

// Flattened to the netlist language and read again, it is the same circuit.
void check_flat_text(const Circuit& circuit) {
  testing::MemoryFiles files{{"flat.gates", witness_netlist(circuit, "flat", {})}};
  const Loaded flat = load(files, "flat.gates", "flat");
  CHECK(flat.circuit->kinds() == circuit.kinds());
  CHECK(flat.circuit->input_count() == circuit.input_count());
  CHECK(flat.circuit->loop_count() == circuit.loop_count());
}

void run_pair(std::string_view text) {
  ByteSource bytes(text);
  const std::uint32_t choice = bytes.byte();
  const Pair pair = generate_pair(bytes);
  testing::MemoryFiles files{{"main.gates", pair.netlist}, {"main.stim", pair.stimulus}};
  Loaded loaded = load(files, "main.gates", "top");
  switch (choice % 4) {
    case 0: check_run(loaded, files, choice / 4); break;
    case 1: check_table(*loaded.circuit, choice / 4 % 2 == 0); break;
    case 2: check_states(*loaded.circuit, choice / 4 % 2 != 0); break;
    default: check_explain(*loaded.circuit); break;
  }
  if (choice >= 240) check_flat_text(*loaded.circuit);
}

std::string show_pair(std::string_view text) {
  ByteSource bytes(text);
  bytes.byte();
  const Pair pair = generate_pair(bytes);
  return join_files({{"main.gates", pair.netlist}, {"main.stim", pair.stimulus}});
}

}  // namespace

const Target pair_target{"pair", run_pair, show_pair};

}  // namespace settle::fuzz
