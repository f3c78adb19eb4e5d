// Nets that depend on inputs only are in front of the loops: they may serve several parts without
// tying them together, since an input vector settles their values. All other nets belong to the part
// of the nets that they read.
#include "analysis/loop_parts.h"

#include <algorithm>
#include <numeric>

#include "analysis/gate_function.h"

namespace settle {

// The nets with variables on which the value of a net depends directly.
template <class Visit>
void LoopParts::for_each_source(NetId net, const Visit& visit) const {
  const auto visit_pins = [&](GateId gate) {
    for (const NetId pin : circuit_->fan_in(gate)) {
      if (network_->known[pin] == Value::x) visit(pin);
    }
  };
  if (circuit_->is_gate_output(net)) {
    visit_pins(circuit_->gate_of(net));
  } else if (circuit_->is_resolved(net)) {
    for (const NetId driver : circuit_->drivers_of(net)) {
      const GateId gate = circuit_->gate_of(driver);
      if (is_three_state(circuit_->kind(gate))) {
        visit_pins(gate);
      } else if (network_->known[driver] == Value::x) {
        visit(driver);
      }
    }
  }
}

LoopParts::LoopParts(const Circuit& circuit, const StableNetwork& network)
    : circuit_(&circuit),
      network_(&network),
      decides_(circuit.net_count(), false),
      position_(circuit.net_count(), no_id) {
  for (std::size_t i = network.free_inputs; i < network.deciding.size(); ++i) {
    decides_[network.net_of[network.deciding[i]]] = true;
  }
  std::vector<NetId> nets;
  for (const NetId net : network.net_of) {
    if (net != no_id && !circuit.is_input(net)) nets.push_back(net);
  }
  // Readers by net, then an order in which only deciding nets are read before they are written.
  std::vector<std::uint32_t> start(circuit.net_count() + 1, 0), open(circuit.net_count(), 0);
  for (const NetId net : nets) for_each_source(net, [&](NetId source) { ++start[source + 1]; });
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<NetId> readers(start.back());
  std::vector<std::uint32_t> fill(start.begin(), start.end() - 1);
  for (const NetId net : nets) {
    for_each_source(net, [&](NetId source) {
      readers[fill[source]++] = net;
      if (!circuit.is_input(source) && !decides_[source]) ++open[net];
    });
  }
  std::vector<NetId> order;
  for (const NetId net : nets) {
    if (open[net] == 0) order.push_back(net);
  }
  for (std::size_t next = 0; next < order.size(); ++next) {
    position_[order[next]] = static_cast<std::uint32_t>(next);
    if (decides_[order[next]]) continue;
    for (std::uint32_t i = start[order[next]]; i < start[order[next] + 1]; ++i) {
      if (--open[readers[i]] == 0) order.push_back(readers[i]);
    }
  }

  // What a deciding net reaches depends on a loop.
  std::vector<bool> depends(decides_);
  std::vector<NetId> reached;
  for (const NetId net : nets) {
    if (depends[net]) reached.push_back(net);
  }
  for (std::size_t next = 0; next < reached.size(); ++next) {
    for (std::uint32_t i = start[reached[next]]; i < start[reached[next] + 1]; ++i) {
      if (depends[readers[i]]) continue;
      depends[readers[i]] = true;
      reached.push_back(readers[i]);
    }
  }
  std::vector<NetId> parent(circuit.net_count());
  std::iota(parent.begin(), parent.end(), 0u);
  const auto find = [&parent](NetId net) {
    while (parent[net] != net) net = parent[net] = parent[parent[net]];
    return net;
  };
  for (const NetId net : nets) {
    if (!depends[net]) continue;
    for_each_source(net, [&](NetId source) {
      if (depends[source]) parent[find(net)] = find(source);
    });
  }
  std::vector<std::uint32_t> part_of(circuit.net_count(), no_id);
  for (const NetId net : nets) {
    // A wire can float, or have drivers at odds, without any loop.
    const bool is_wire = circuit.is_resolved(net) || !is_push_pull(circuit.kind(circuit.gate_of(net)));
    if (!depends[net] && !is_wire) continue;
    const NetId root = find(net);
    if (part_of[root] == no_id) {
      part_of[root] = size();
      roots_.emplace_back();
    }
    roots_[part_of[root]].push_back(net);
  }
}

LoopPart LoopParts::part(std::uint32_t index) const {
  LoopPart result;
  result.nets = roots_[index];
  std::vector<NetId> known(result.nets);
  std::sort(known.begin(), known.end());
  // Backwards to the inputs, through the nets in front.
  std::vector<NetId> todo(result.nets), found;
  while (!todo.empty()) {
    found.clear();
    for (const NetId net : todo) for_each_source(net, [&](NetId source) { found.push_back(source); });
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    todo.clear();
    std::set_difference(found.begin(), found.end(), known.begin(), known.end(), std::back_inserter(todo));
    const auto middle = static_cast<std::ptrdiff_t>(known.size());
    known.insert(known.end(), todo.begin(), todo.end());
    std::inplace_merge(known.begin(), known.begin() + middle, known.end());
  }
  result.nets.clear();
  for (const NetId net : known) (circuit_->is_input(net) ? result.inputs : result.nets).push_back(net);
  std::sort(result.nets.begin(), result.nets.end(),
            [this](NetId a, NetId b) { return position_[a] < position_[b]; });
  return result;
}

Value LoopParts::function(NetId net, const std::vector<Value>& values) const {
  const auto read = [&values](NetId pin) { return values[pin]; };
  if (circuit_->is_gate_output(net)) return gate_value(*circuit_, circuit_->gate_of(net), read);
  const auto driven = [&](NetId driver) {
    const GateId gate = circuit_->gate_of(driver);
    return is_push_pull(circuit_->kind(gate)) ? values[driver] : gate_value(*circuit_, gate, read);
  };
  return wire_value(*circuit_, net, driven);
}

bool LoopParts::is_stable(const LoopPart& part, std::vector<Value>& values) const {
  for (const NetId net : part.nets) {
    const Value value = function(net, values);
    const bool is_gate =
        circuit_->is_gate_output(net) && is_push_pull(circuit_->kind(circuit_->gate_of(net)));
    if (decides_[net] ? value != values[net] : !is_gate && !is_binary(value)) return false;
    values[net] = value;
  }
  return true;
}

}  // namespace settle
