// Gate functions read through an accessor, so that each analysis keeps its values where it likes.
#pragma once

#include <array>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// Value of a push-pull gate; `read(net)` gives net values. Tables 7-3 and 7-4 of IEEE 1364-2005.
template <class Read>
Value push_pull_value(GateKind kind, std::span<const NetId> pins, const Read& read) {
  bool unknown = false;
  switch (kind) {
    case GateKind::and_:
    case GateKind::nand:
    case GateKind::or_:
    case GateKind::nor: {
      const Value controlling = kind == GateKind::and_ || kind == GateKind::nand ? Value::zero : Value::one;
      const bool inverts = kind == GateKind::nand || kind == GateKind::nor;
      for (const NetId pin : pins) {
        const Value v = read(pin);
        if (v == controlling) return inverts ? inverted(v) : v;
        unknown |= !is_binary(v);
      }
      if (unknown) return Value::x;
      return inverts ? controlling : inverted(controlling);
    }
    case GateKind::xor_:
    case GateKind::xnor: {
      unsigned parity = kind == GateKind::xnor ? 1u : 0u;
      for (const NetId pin : pins) {
        const Value v = read(pin);
        if (!is_binary(v)) return Value::x;
        parity ^= static_cast<unsigned>(v);
      }
      return static_cast<Value>(parity);
    }
    case GateKind::not_: return inverted(read(pins[0]));
    default: return as_input(read(pins[0]));
  }
}

/// Value that a gate of any kind drives.
template <class Read>
Value gate_value(const Circuit& circuit, GateId gate, const Read& read) {
  const GateKind kind = circuit.kind(gate);
  const auto pins = circuit.fan_in(gate);
  if (is_push_pull(kind)) return push_pull_value(kind, pins, read);
  std::array<Value, 2> in{};
  for (std::size_t i = 0; i < pins.size() && i < 2; ++i) in[i] = read(pins[i]);
  return evaluate(kind, {in.data(), pins.size()});
}

/// Value of a wire with several drivers from the values of the driving gates.
template <class Read>
Value wire_value(const Circuit& circuit, NetId wire, const Read& read) {
  std::vector<Drive> strong, pull;
  for (const NetId driver : circuit.drivers_of(wire)) {
    auto& list = is_pull(circuit.kind(circuit.gate_of(driver))) ? pull : strong;
    list.push_back(static_cast<Drive>(read(driver)));  // the first four drives are the four values
  }
  return resolve(strong, pull);
}

}  // namespace settle
