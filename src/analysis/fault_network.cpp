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

void FaultNetwork::finish() {
  reader_start_.assign(net_count() + 1, 0);
  for (const Gate& gate : gates_) {
    has_pulls_ = has_pulls_ || is_pull(gate.kind);
    for (const auto net : gate.nets) ++reader_start_[net + 1];
  }
  for (std::uint32_t net = 0; net < net_count(); ++net) reader_start_[net + 1] += reader_start_[net];
  readers_.resize(reader_start_.back());
  std::vector<std::uint32_t> at(reader_start_.begin(), reader_start_.end() - 1);
  for (std::uint32_t gate = 0; gate < gate_count(); ++gate) {
    for (const auto net : gates_[gate].nets) readers_[at[net]++] = gate;
  }
}

std::uint64_t FaultLimits::faults_of(const Circuit& circuit) const {
  constexpr std::uint64_t bytes_a_net = 80, faults_a_word = 63;
  const std::uint64_t word = bytes_a_net * (std::uint64_t{circuit.net_count()} + circuit.gate_count() + 64);
  return std::min(faults, std::max<std::uint64_t>(1, memory_bytes / word) * faults_a_word);
}

}  // namespace settle
