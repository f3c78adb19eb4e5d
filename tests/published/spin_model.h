// Races of gate circuits as models for Spin, a general model checker (G. J. Holzmann, "The Model
// Checker SPIN", IEEE Trans. Software Engineering 23 (5), 1997). It shares nothing with our own search:
// the gates are written out as expressions of its language, and its compiled verifier walks the states.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"

namespace settle::testing {

/// One start of a race: all net values, the inputs already changed. 0 and 1 only, no three-state gates.
struct RaceStart {
  const Circuit* circuit = nullptr;
  std::vector<Value> values;
};

/// A model with all races in it, one chosen at the start. In a step each excited gate either takes its
/// new value or keeps the old one, as computed from the state before the step: the general
/// multiple-winner relation. Whenever no gate is excited the verifier prints the line
/// "stable K VALUES": the number of the race and the gate values in order.
std::string promela_of_races(std::span<const RaceStart> races);

/// One race in which one excited gate at a time changes: the most compact and quickest form for the
/// verifier, one guarded command a gate and a bit a gate. Prints nothing.
std::string promela_of_single_changes(const RaceStart& race);

/// What a program used while it ran.
struct Usage {
  double seconds = 0;     ///< processor time
  double peak_bytes = 0;  ///< most resident memory
};

struct SpinRun {
  std::string error;         ///< why there is no result; empty when all went well
  std::string output;        ///< what the verifier printed
  std::uint64_t states = 0;  ///< states it stored
  double state_bytes = 0;    ///< "actual memory usage for states" by its own account
  Usage generate, compile, verify;

  /// The gate values of the "stable" lines of race K, sorted, each once.
  std::vector<std::string> stable(std::size_t race) const;
};

/// Writes the model into a folder of its own, runs `spin -a`, compiles the verifier with gcc and these
/// flags, and runs it. The search must be complete and without errors.
SpinRun run_spin(const std::string& model, const std::vector<std::string>& compiler_flags,
                 const std::vector<std::string>& verifier_flags);

}  // namespace settle::testing
