// Loops that no input can set or reset.
//
// Idea: let every net from outside a loop take whatever value suits each of its pins, even different
// ones at different pins. From "nothing in the loop is known", ask which gates can be given a known 0 and
// which a known 1: an AND gives 0 if one pin can be 0, and 1 if all can be 1. The least fixed point of
// this holds for every sequence of inputs, since a gate that becomes known does so by pins that are known
// before. A gate that can be given neither value keeps what it came up with as far as ternary
// simulation can see; a loop with such a gate has no set and no reset of its own. The converse does not
// hold, so a loop is passed over rather than accused wrongly.
// Each gate counts its pins that cannot yet take the value that all of them must take.
// Rings that must oscillate (one cycle, an odd number of inversions, no way in) store nothing: no finding.
// Cost: linear in the pins of the loops.
#include "circuit/lint_loops.h"

#include <fmt/format.h>

#include <algorithm>

#include "circuit/lint_findings.h"

namespace settle {
namespace {

constexpr std::uint8_t can_zero = 1, can_one = 2, can_both = 3;

constexpr std::uint8_t can_be(Value value) {
  return value == Value::zero ? can_zero : value == Value::one ? can_one : 0;
}
constexpr std::uint8_t swapped(std::uint8_t can) {
  return static_cast<std::uint8_t>(((can & can_zero) << 1) | ((can & can_one) >> 1));
}

class LoopForcing {
 public:
  LoopForcing(const Circuit& circuit, const std::vector<Value>& known)
      : circuit_(circuit), known_(known), can_(circuit.net_count(), 0), missing_(circuit.gate_count(), 0) {
    find_wire_loops();
  }

  /// Gates of the loop that can be given no value; ascending.
  std::vector<GateId> stuck_gates(std::uint32_t loop) {
    loop_ = loop;
    const auto gates = circuit_.loop(loop);
    for (const GateId gate : gates) missing_[gate] = static_cast<std::uint32_t>(circuit_.fan_in(gate).size());
    for (const GateId gate : gates) {
      for (const NetId pin : circuit_.fan_in(gate)) {
        if (!is_inside(pin)) take(gate, can_outside(pin), 0);
      }
      const NetId wire = circuit_.shared_wire(gate);
      if (wire != no_id) add_outer_drivers(wire);
    }
    while (!changes_.empty()) {
      const auto [net, gained, before] = changes_.back();
      changes_.pop_back();
      for (const GateId reader : circuit_.fan_out(net)) {
        if (circuit_.loop_of(reader) == loop_) take(reader, gained, before);
      }
    }
    std::vector<GateId> stuck;
    for (const GateId gate : gates) {
      if (is_push_pull(circuit_.kind(gate)) && can_[circuit_.output_of(gate)] == 0) stuck.push_back(gate);
    }
    return stuck;
  }

 private:
  struct Gain {
    NetId net;
    std::uint8_t gained, before;
  };

  bool is_inside(NetId net) const {
    if (circuit_.is_gate_output(net)) return circuit_.loop_of(circuit_.gate_of(net)) == loop_;
    return circuit_.is_resolved(net) && wire_loop_[net - circuit_.first_resolved()] == loop_;
  }

  /// A wire is part of the loop in which it has both a driver and a reader.
  void find_wire_loops() {
    wire_loop_.assign(circuit_.resolved_count(), no_id);
    std::vector<NetId> driven(circuit_.loop_count(), no_id);  // by loop: the last wire that it drives
    for (NetId wire = circuit_.first_resolved(); wire < circuit_.first_undriven(); ++wire) {
      for (const NetId driver : circuit_.drivers_of(wire)) {
        if (const auto loop = circuit_.loop_of(circuit_.gate_of(driver)); loop != no_id) driven[loop] = wire;
      }
      for (const GateId reader : circuit_.fan_out(wire)) {
        const auto loop = circuit_.loop_of(reader);
        if (loop != no_id && driven[loop] == wire) wire_loop_[wire - circuit_.first_resolved()] = loop;
      }
    }
  }

  std::uint8_t can_outside(NetId net) const {
    // What nothing drives is told as such, and need not be told again here.
    return is_binary(known_[net]) ? can_be(known_[net]) : can_both;
  }

  void gain(NetId net, std::uint8_t can) {
    // A net that the constants fix gains no other value.
    if (is_binary(known_[net])) can &= can_be(known_[net]);
    const auto before = can_[net];
    const auto gained = static_cast<std::uint8_t>(can & ~before);
    if (gained == 0) return;
    can_[net] |= gained;
    changes_.push_back({net, gained, before});
    if (!circuit_.is_gate_output(net)) return;
    const NetId wire = circuit_.shared_wire(circuit_.gate_of(net));
    if (wire != no_id) gain(wire, gained);  // a wire drives no further wire
  }

  void add_outer_drivers(NetId wire) {
    for (const NetId driver : circuit_.drivers_of(wire)) {
      if (circuit_.loop_of(circuit_.gate_of(driver)) != loop_) gain(wire, can_outside(driver));
    }
  }

  /// A pin of the gate can take the values `gained`, and could take `before`.
  void take(GateId gate, std::uint8_t gained, std::uint8_t before) {
    if (gained == 0) return;
    const GateKind kind = circuit_.kind(gate);
    const NetId output = circuit_.output_of(gate);
    std::uint8_t can = 0;
    switch (kind) {
      case GateKind::and_:
      case GateKind::nand:
      case GateKind::or_:
      case GateKind::nor: {
        const bool is_or = kind == GateKind::or_ || kind == GateKind::nor;
        const auto controlling = is_or ? can_one : can_zero;
        can = gained & controlling;
        if ((gained & ~controlling) != 0 && --missing_[gate] == 0) can |= swapped(controlling);
        if (kind == GateKind::nand || kind == GateKind::nor) can = swapped(can);
        break;
      }
      case GateKind::xor_:
      case GateKind::xnor:
        if (before == 0 && --missing_[gate] == 0) can = can_both;
        break;
      case GateKind::buf: can = gained; break;
      case GateKind::not_: can = swapped(gained); break;
      default: {
        // A three-state gate: as if it could always be switched on.
        const bool inverts = kind == GateKind::notif0 || kind == GateKind::notif1;
        const NetId data = circuit_.fan_in(gate)[0];
        const auto now = is_inside(data) ? can_[data] : can_outside(data);
        can = inverts ? swapped(now) : now;
      }
    }
    gain(output, can);
  }

  const Circuit& circuit_;
  const std::vector<Value>& known_;
  std::vector<std::uint32_t> wire_loop_;  // by resolved net, or no_id
  std::vector<std::uint8_t> can_;         // by net of the loops
  std::vector<std::uint32_t> missing_;    // by gate: pins that cannot take the value that all must have
  std::vector<Gain> changes_;
  std::uint32_t loop_ = 0;
};

/// One cycle, nothing else can move its pins, and it inverts: it has no stable state.
bool must_oscillate(const Circuit& circuit, const std::vector<Value>& known, std::uint32_t loop) {
  bool inverts = false;
  for (const GateId gate : circuit.loop(loop)) {
    NetId from = no_id;
    for (const NetId pin : circuit.fan_in(gate)) {
      if (is_binary(known[pin])) continue;
      if (!circuit.is_gate_output(pin) || circuit.loop_of(circuit.gate_of(pin)) != loop) return false;
      if (from != no_id && from != pin) return false;
      from = pin;
    }
    switch (circuit.kind(gate)) {
      case GateKind::not_:
      case GateKind::nand:
      case GateKind::nor: inverts = !inverts; break;
      case GateKind::buf:
      case GateKind::and_:
      case GateKind::or_: break;
      default: return false;
    }
  }
  return inverts;
}

std::string gate_list(const Circuit& circuit, const std::vector<GateId>& gates) {
  constexpr std::size_t shown = 4;
  const auto instance = circuit.names().gates[gates.front()].instance;
  const bool is_local = std::all_of(gates.begin(), gates.end(), [&](GateId gate) {
    const auto& name = circuit.names().gates[gate];
    return name.instance == instance && name.bit == no_id;
  });
  std::string list;
  const auto count = gates.size() <= shown + 1 ? gates.size() : shown;
  for (std::size_t i = 0; i < count; ++i) {
    list += i == 0 ? "" : i + 1 == gates.size() ? " and " : ", ";
    list += is_local ? local_name(circuit, gates[i]) : fmt::format("'{}'", circuit.gate_name(gates[i]));
  }
  if (count < gates.size()) list += fmt::format(" and {} more", gates.size() - count);
  return list;
}

}  // namespace

void lint_loops(const Circuit& circuit, const std::vector<Value>& known, const LintOptions& options,
                Diagnostics& diagnostics) {
  if (circuit.loop_count() == 0) return;
  LoopForcing forcing(circuit, known);
  // A loop stands for its first gate, so that one in a cell is told when it is stuck in all uses.
  std::vector<GateId> marked, first_gates;
  for (std::uint32_t loop = 0; loop < circuit.loop_count(); ++loop) {
    first_gates.push_back(circuit.loop(loop)[0]);
    if (must_oscillate(circuit, known, loop)) continue;
    if (!forcing.stuck_gates(loop).empty()) marked.push_back(circuit.loop(loop)[0]);
  }
  auto findings = true_in_all_uses(circuit, marked, first_gates);
  tell_findings("unforced-loop", std::move(findings), options, diagnostics, [&](std::uint32_t gate) {
    const auto stuck = LoopForcing(circuit, known).stuck_gates(circuit.loop_of(gate));
    return LintWords{
        fmt::format("no input sets or resets the loop of {}", gate_list(circuit, stuck)),
        "what it holds after power-up is unknown; give one of its gates an input that forces it"};
  });
}

}  // namespace settle
