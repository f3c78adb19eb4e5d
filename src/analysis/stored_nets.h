// What a characteristic table needs besides levels and outputs: inputs whose edges count, and inner
// nets that store something the outputs do not show.
#pragma once

#include "analysis/step_samples.h"

namespace settle {

/// The smallest set of inputs (positions in Table::free, ascending) such that what the watched nets
/// become depends, for given inputs and watched nets before, only on which input of this set
/// changed (or none). Steps that do not settle are kept apart from those that do.
std::vector<std::uint32_t> edge_inputs(const StepSamples& steps, const WatchedNets& nets,
                                       std::span<const std::uint32_t> watched);

struct StoredNets {
  std::vector<std::uint32_t> inner;  ///< watched numbers
  bool enough = true;                ///< false: no set was found that explains everything
};

/// Inner nets of loops, as few as can be found, that together with the outputs decide what all of
/// them become, each input change for itself. Empty where the outputs are enough.
StoredNets stored_inner_nets(const Circuit& circuit, const StepSamples& steps, WatchedNets& nets,
                             std::span<const std::uint32_t> outputs);

}  // namespace settle
