// Builds the graph of active gates for step_split.h.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/step_split.h"
#include "settle/circuit.h"

namespace settle {

/// Keeps its arrays from step to step.
class ActiveGraphBuilder {
 public:
  explicit ActiveGraphBuilder(const Circuit& circuit);

  /// The graph of these gates, or of all gates with a definite start value unless `active_only`.
  /// `skewed`: a delay element behind each changing input whose old and new value are 0 or 1.
  /// `step.values` must live as long as start_value() is used.
  ActiveGraph build(const Step& step, const std::vector<GateId>& active, bool skewed, bool active_only);

  /// Net values of the start state: inputs at their new values.
  Value start_value(NetId net) const {
    return circuit_->is_input(net) && input_stamp_[net] == epoch_ ? input_[net] : values_[net];
  }

 private:
  void add_preds(ActiveGraph& graph, GateId gate);
  std::uint32_t node_of(NetId net) const;

  const Circuit* circuit_;
  std::span<const Value> values_;
  std::uint32_t epoch_ = 0;
  std::vector<Value> input_;  // new value, by input
  std::vector<std::uint32_t> input_stamp_;
  std::vector<std::uint32_t> input_node_;         // its delay element, or no_id
  std::vector<std::uint32_t> node_, node_stamp_;  // by gate
};

}  // namespace settle
