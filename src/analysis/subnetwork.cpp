#include "analysis/subnetwork.h"

namespace settle {

std::uint32_t SubnetworkBuilder::local_of(NetId net) const {
  if (circuit_->is_gate_output(net)) {
    const GateId gate = circuit_->gate_of(net);
    return stamp_[gate] == epoch_ ? local_[gate] : no_id;
  }
  if (circuit_->is_input(net)) {
    for (std::size_t i = 0; i < delayed_->size(); ++i) {
      if ((*delayed_)[i] == net) return gates_in_ + static_cast<std::uint32_t>(i);
    }
  }
  return no_id;
}

bool SubnetworkBuilder::has_local_driver(NetId wire) const {
  if (!circuit_->is_resolved(wire)) return false;
  for (const NetId driver : circuit_->drivers_of(wire)) {
    if (local_of(driver) != no_id) return true;
  }
  return false;
}

void SubnetworkBuilder::finish(Subnetwork& out, Subnetwork::Gate gate) {
  gate.first = static_cast<std::uint32_t>(out.inputs.size());
  gate.count = static_cast<std::uint32_t>(pins_.size());
  out.inputs.insert(out.inputs.end(), pins_.begin(), pins_.end());
  out.gates.push_back(gate);
}

std::string Subnetwork::key() const {
  std::string text;
  const auto put = [&text](std::uint32_t number) {
    // Seven bits a letter, so that numbers of any length can follow one another.
    while (number >= 128) {
      text.push_back(static_cast<char>((number & 127u) | 128u));
      number >>= 7;
    }
    text.push_back(static_cast<char>(number));
  };
  for (std::size_t i = 0; i < gates.size(); ++i) {
    const Gate& gate = gates[i];
    put(static_cast<std::uint32_t>(gate.op) | (gate.inverts ? 4u : 0u) | (gate.unknown_pin ? 8u : 0u) |
        (start[i] ? 16u : 0u));
    put(gate.count);
    for (std::uint32_t k = 0; k < gate.count; ++k) put(inputs[gate.first + k]);
    if (gate.op == Op::table) {
      for (std::uint32_t row = 0; row < (1u << gate.count); ++row) {
        text.push_back(static_cast<char>(tables[gate.table + row]));
      }
    }
  }
  return text;
}

}  // namespace settle
