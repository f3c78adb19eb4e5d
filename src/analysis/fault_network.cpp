#include <algorithm>

#include "settle/fault.h"

namespace settle {

FaultNetwork::FaultNetwork(const Circuit& circuit) : input_count_(circuit.input_count()), zero_(circuit.const_zero()) {
  drivers_.resize(circuit.net_count());
  for (std::uint32_t input = 0; input < input_count_; ++input) drivers_[input] = {input_driver(input)};
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const auto pins = circuit.fan_in(gate);
    gates_.push_back({circuit.kind(gate), false, {pins.begin(), pins.end()}});
    net_of_.push_back(circuit.visible_net(gate));
    drivers_[circuit.visible_net(gate)].push_back(gate_driver(gate));
  }
  drivers_[zero()] = {drive_zero};
  drivers_[one()] = {drive_one};
  floating_ = net_count();
  drivers_.emplace_back();
  drivers_.push_back({drive_unknown});
}

std::uint32_t FaultNetwork::add_gate(GateKind kind, std::vector<std::uint32_t> nets) {
  const std::uint32_t gate = gate_count();
  gates_.push_back({kind, false, std::move(nets)});
  net_of_.push_back(net_count());
  drivers_.push_back({gate_driver(gate)});
  return gate;
}

}  // namespace settle
