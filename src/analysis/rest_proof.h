// Does a circuit come to rest from every state, with inputs that rest?
#pragma once

#include <span>
#include <vector>

#include "settle/step_analysis.h"

namespace settle {

class RestProof {
 public:
  /// The circuit must live as long.
  RestProof(const Circuit& circuit, const AnyDelayLimits& limits);

  /// Proved for all gate delays: whatever the gates are at the start, all come to rest. `inputs`: 0 or 1 each.
  /// False as well when a limit was met.
  bool always_rests(std::span<const Value> inputs);
  /// By net, the level that it takes in the end from every state, for all gate delays; x: none is known.
  std::vector<Value> certain_levels(std::span<const Value> inputs);

 private:
  const Circuit* circuit_;
  AnyDelayLimits limits_;
  StepAnalyzer analyzer_;
};

}  // namespace settle
