// A run from the texts of a netlist and a stimulus.
#pragma once

#include <optional>
#include <string>

#include "settle/run.h"
#include "support/circuit_text.h"

namespace settle::testing {

/// What became of a run: maybe a result, and all messages as printed.
struct Ran {
  std::optional<RunResult> result;
  std::string messages;
};

inline Ran try_run(const std::string& netlist, const std::string& stimulus, const RunOptions& options = {}) {
  MemoryFiles files{{"test.gates", netlist}, {"test.stim", stimulus}};
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus parsed = parse_stimulus("test.stim", files, sources, diagnostics);
  ElaborateOptions elaborate_options;
  elaborate_options.cell = parsed.cell;
  elaborate_options.stimulus_unit = parsed.finest_unit;
  const auto built = load_circuit("test.gates", files, elaborate_options, sources, diagnostics);
  Ran ran;
  if (built && !diagnostics.has_errors()) ran.result = run(*built, parsed, options, diagnostics);
  ran.messages = render(diagnostics, sources);
  return ran;
}

/// The result of a run that must have no errors.
inline RunResult run_ok(const std::string& netlist, const std::string& stimulus, const RunOptions& options = {}) {
  Ran ran = try_run(netlist, stimulus, options);
  INFO(netlist << "\n" << stimulus << "\n" << ran.messages);
  REQUIRE(ran.result);
  return *std::move(ran.result);
}

/// Changes of a signal as "x@0 1@3"; empty when there is no such signal.
inline std::string changes_of(const RunResult& result, const std::string& name) {
  std::string text;
  for (const Signal& signal : result.waveform.signals) {
    if (signal.name != name) continue;
    for (const Change& c : signal.changes) {
      if (!text.empty()) text += ' ';
      text += to_char(c.value);
      text += '@' + std::to_string(c.time);
    }
  }
  return text;
}

}  // namespace settle::testing
