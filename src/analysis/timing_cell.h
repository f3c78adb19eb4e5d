// One cell whose timing is measured: the part as a circuit of its own, with the delays of the whole.
#pragma once

#include <vector>

#include "analysis/cell_study.h"
#include "analysis/timing_run.h"
#include "settle/timing.h"

namespace settle {

/// "d=1 c=0" for the inputs of a circuit.
std::string timing_inputs_text(const Circuit& circuit, std::span<const Value> inputs);

/// Stable states to start from: inputs and gates of each.
struct TimingStarts {
  std::vector<std::vector<Value>> inputs, gates;
  std::size_t size() const { return inputs.size(); }
};

/// Propagation from every input to every output, from all these states. `restless` counts changes after
/// which the circuit never comes to rest. False: `run_limit` was too small or the stop flag set.
bool measure_propagation(OffsetRunner& runner, const TimingStarts& starts, const TimingOptions& options,
                         std::vector<Propagation>& rows, std::uint64_t& restless);

/// The same by the lengths of paths, for a circuit without loops.
std::vector<Propagation> bound_propagation(const Circuit& circuit,
                                           const std::vector<OffsetRunner::Ticks>& delays);

/// Pulse widths, setup, hold, recovery and removal by the rules found. False as above.
bool measure_constraints(OffsetRunner& runner, const CellStudy& study, const TimingOptions& options,
                         std::vector<TimingConstraint>& constraints);

}  // namespace settle
