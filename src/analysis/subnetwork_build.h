// Template bodies of SubnetworkBuilder.
#pragma once

#include <algorithm>

#include "analysis/gate_function.h"
#include "analysis/subnetwork.h"

namespace settle {

template <class Read>
Subnetwork SubnetworkBuilder::build(const std::vector<GateId>& gates, const std::vector<NetId>& delayed,
                                    const std::vector<Value>& delayed_from, const Read& values) {
  Subnetwork out;
  ++epoch_;
  if (epoch_ == 0) {
    std::fill(stamp_.begin(), stamp_.end(), 0u);
    epoch_ = 1;
  }
  delayed_ = &delayed;
  gates_in_ = static_cast<std::uint32_t>(gates.size());
  for (std::uint32_t i = 0; i < gates_in_; ++i) {
    local_[gates[i]] = i;
    stamp_[gates[i]] = epoch_;
  }
  for (const GateId gate : gates) {
    const Value start = values(circuit_->output_of(gate));
    if (!is_binary(start)) out.known = false;
    out.start.push_back(start == Value::one);
    bool plain = is_push_pull(circuit_->kind(gate));
    for (const NetId pin : circuit_->fan_in(gate)) plain = plain && !has_local_driver(pin);
    if (plain) {
      add_simple(out, gate, values);
    } else {
      add_table(out, gate, values);
    }
  }
  for (std::size_t i = 0; i < delayed.size(); ++i) {
    const Value to = values(delayed[i]);
    if (!is_binary(to) || !is_binary(delayed_from[i])) out.known = false;
    out.start.push_back(delayed_from[i] == Value::one);
    pins_.clear();
    Subnetwork::Gate gate;
    gate.inverts = to != Value::one;
    finish(out, gate);
  }
  return out;
}

// Constant inputs that do not decide are dropped; one that decides makes the gate a constant.
template <class Read>
void SubnetworkBuilder::add_simple(Subnetwork& out, GateId id, const Read& values) {
  Subnetwork::Gate gate;
  const GateKind kind = circuit_->kind(id);
  const bool parity = kind == GateKind::xor_ || kind == GateKind::xnor;
  const bool wants_zeros = kind == GateKind::or_ || kind == GateKind::nor;
  gate.op = parity ? Subnetwork::Op::parity : wants_zeros ? Subnetwork::Op::none : Subnetwork::Op::all;
  gate.inverts =
      kind == GateKind::nand || kind == GateKind::not_ || kind == GateKind::xnor || kind == GateKind::or_;
  bool decided = false;
  pins_.clear();
  for (const NetId pin : circuit_->fan_in(id)) {
    const std::uint32_t local = local_of(pin);
    if (local != no_id) {
      pins_.push_back(local);
      continue;
    }
    const Value v = values(pin);
    if (!is_binary(v)) {
      gate.unknown_pin = true;
    } else if (parity) {
      gate.inverts ^= v == Value::one;
    } else if ((v == Value::one) == wants_zeros) {
      decided = true;
    }
  }
  std::sort(pins_.begin(), pins_.end());
  if (parity) {
    // An input that comes twice cancels itself.
    std::vector<std::uint32_t> odd;
    for (const std::uint32_t pin : pins_) {
      if (!odd.empty() && odd.back() == pin) {
        odd.pop_back();
      } else {
        odd.push_back(pin);
      }
    }
    pins_ = odd;
    if (gate.unknown_pin) out.known = false;
  } else {
    pins_.erase(std::unique(pins_.begin(), pins_.end()), pins_.end());
  }
  if (decided) {
    gate.op = Subnetwork::Op::all;
    gate.inverts = !gate.inverts;
    gate.unknown_pin = false;
    pins_.clear();
  }
  finish(out, gate);
}

// Three-state gates and readers of shared wires: all combinations of the moving nets are tried.
template <class Read>
void SubnetworkBuilder::add_table(Subnetwork& out, GateId id, const Read& values) {
  pins_.clear();
  for (const NetId pin : circuit_->fan_in(id)) {
    if (local_of(pin) != no_id) pins_.push_back(local_of(pin));
    if (!has_local_driver(pin)) continue;
    for (const NetId driver : circuit_->drivers_of(pin)) {
      if (local_of(driver) != no_id) pins_.push_back(local_of(driver));
    }
  }
  std::sort(pins_.begin(), pins_.end());
  pins_.erase(std::unique(pins_.begin(), pins_.end()), pins_.end());
  if (pins_.size() > table_inputs) {
    out.known = false;
    pins_.clear();
  }
  Subnetwork::Gate gate;
  gate.op = Subnetwork::Op::table;
  gate.table = static_cast<std::uint32_t>(out.tables.size());
  for (std::uint32_t row = 0; row < (1u << pins_.size()); ++row) {
    const auto single = [&](NetId net) {
      const std::uint32_t local = local_of(net);
      if (local == no_id) return values(net);
      const auto at = std::lower_bound(pins_.begin(), pins_.end(), local) - pins_.begin();
      return to_value(((row >> at) & 1u) != 0);
    };
    const auto read = [&](NetId net) {
      return has_local_driver(net) ? wire_value(*circuit_, net, single) : single(net);
    };
    const Value v = out.known ? gate_value(*circuit_, id, read) : Value::x;
    out.tables.push_back(is_binary(v) ? static_cast<std::uint8_t>(v) : std::uint8_t{2});
  }
  finish(out, gate);
}

}  // namespace settle
