#include "analysis/active_graph.h"

#include <algorithm>

#include "analysis/gate_function.h"

namespace settle {

ActiveGraphBuilder::ActiveGraphBuilder(const Circuit& circuit)
    : circuit_(&circuit),
      input_(circuit.input_count(), Value::x),
      input_stamp_(circuit.input_count(), 0),
      input_node_(circuit.input_count(), no_id),
      node_(circuit.gate_count(), 0),
      node_stamp_(circuit.gate_count(), 0) {}

std::uint32_t ActiveGraphBuilder::node_of(NetId net) const {
  if (circuit_->is_input(net)) return input_stamp_[net] == epoch_ ? input_node_[net] : no_id;
  if (!circuit_->is_gate_output(net)) return no_id;
  const GateId gate = circuit_->gate_of(net);
  return node_stamp_[gate] == epoch_ ? node_[gate] : no_id;
}

// Shared wires count with all their active drivers.
void ActiveGraphBuilder::add_preds(ActiveGraph& graph, GateId gate) {
  const auto first = static_cast<std::ptrdiff_t>(graph.preds.size());
  const auto add = [&](NetId net) {
    if (node_of(net) != no_id) graph.preds.push_back(node_of(net));
  };
  for (const NetId pin : circuit_->fan_in(gate)) {
    if (circuit_->is_resolved(pin)) {
      for (const NetId driver : circuit_->drivers_of(pin)) add(driver);
    } else {
      add(pin);
    }
  }
  std::sort(graph.preds.begin() + first, graph.preds.end());
  graph.preds.erase(std::unique(graph.preds.begin() + first, graph.preds.end()), graph.preds.end());
}

ActiveGraph ActiveGraphBuilder::build(const Step& step, const std::vector<GateId>& active, bool skewed,
                                      bool active_only) {
  if (++epoch_ == 0) {
    std::fill(input_stamp_.begin(), input_stamp_.end(), 0u);
    std::fill(node_stamp_.begin(), node_stamp_.end(), 0u);
    epoch_ = 1;
  }
  values_ = step.values;
  ActiveGraph graph;
  if (active_only) {
    graph.gates = active;
    std::sort(graph.gates.begin(), graph.gates.end());
  } else {
    for (GateId gate = 0; gate < circuit_->gate_count(); ++gate) {
      if (is_binary(values_[circuit_->output_of(gate)])) graph.gates.push_back(gate);
    }
  }
  for (std::uint32_t i = 0; i < graph.gates.size(); ++i) {
    node_[graph.gates[i]] = i;
    node_stamp_[graph.gates[i]] = epoch_;
  }
  for (const InputChange& change : step.changes) {
    input_[change.net] = change.value;
    input_stamp_[change.net] = epoch_;
    input_node_[change.net] = no_id;
    const Value old = values_[change.net];
    if (!skewed || !is_binary(old) || !is_binary(change.value) || old == change.value) continue;
    input_node_[change.net] = static_cast<std::uint32_t>(graph.gates.size() + graph.delayed.size());
    graph.delayed.push_back(change.net);
  }

  const auto at_start = [this](NetId net) { return node_of(net) != no_id ? values_[net] : start_value(net); };
  graph.pred_start.assign(1, 0);
  for (const GateId gate : graph.gates) {
    add_preds(graph, gate);
    graph.pred_start.push_back(static_cast<std::uint32_t>(graph.preds.size()));
    graph.excited.push_back(gate_value(*circuit_, gate, at_start) != values_[circuit_->output_of(gate)]);
  }
  for (std::size_t i = 0; i < graph.delayed.size(); ++i) {
    graph.pred_start.push_back(static_cast<std::uint32_t>(graph.preds.size()));
    graph.excited.push_back(true);
  }
  graph.link();
  return graph;
}

}  // namespace settle
