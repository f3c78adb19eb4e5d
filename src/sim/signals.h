// Which nets a run shows, and how they form buses.
#pragma once

#include <vector>

#include "settle/circuit.h"
#include "settle/run.h"
#include "settle/waveform.h"
#include "sim/recorder.h"

namespace settle {

/// The nets to record for the waveform: inputs, outputs, then inner nets when asked for.
struct SignalPlan {
  std::vector<NetId> nets;              ///< one per signal
  std::vector<std::string> names;
  std::vector<SignalGroup> groups;
  /// Takes the changes out of the recorder.
  Waveform waveform(const Circuit& circuit, Recorder& recorder, Time end) const;
};

/// Does each pattern of the options match a signal, a bus or a bit of one? Errors have no place.
bool check_patterns(const SignalPlan& plan, const RunOptions& options, Diagnostics& diagnostics);

SignalPlan plan_signals(const Circuit& circuit, const RunOptions& options);

}  // namespace settle
