#include "sim/net_values.h"

#include <algorithm>

namespace settle {

NetValues::NetValues(const Circuit& circuit, std::span<const Value> inputs)
    : circuit_(circuit), values_(circuit.net_count(), Value::x), drives_(circuit.gate_count(), Drive::x) {
  std::copy(inputs.begin(), inputs.end(), values_.begin());
  for (NetId net = circuit.first_undriven(); net < circuit.const_zero(); ++net) values_[net] = Value::z;
  values_[circuit.const_zero()] = Value::zero;
  values_[circuit.const_one()] = Value::one;
}

Drive NetValues::function(GateId gate) {
  pins_.clear();
  for (const NetId net : circuit_.fan_in(gate)) pins_.push_back(values_[net]);
  return drive_of(circuit_.kind(gate), pins_);
}

NetId NetValues::put(GateId gate, Drive drive) {
  drives_[gate] = drive;
  const NetId own = circuit_.output_of(gate);
  const Value before = values_[own];
  values_[own] = to_value(drive);
  const NetId wire = circuit_.shared_wire(gate);
  if (wire == no_id) return before == values_[own] ? no_id : own;
  strong_.clear();
  pull_.clear();
  for (const NetId driver : circuit_.drivers_of(wire)) {
    const GateId g = circuit_.gate_of(driver);
    (is_pull(circuit_.kind(g)) ? pull_ : strong_).push_back(drives_[g]);
  }
  const Value wire_before = values_[wire];
  values_[wire] = resolve(strong_, pull_);
  return wire_before == values_[wire] ? no_id : wire;
}

}  // namespace settle
