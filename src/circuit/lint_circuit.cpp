// What the wiring alone shows about single gates and nets.
//
// Each kind marks flat gates in one pass over arrays, then true_in_all_uses() turns them into places of
// the text. Duplicates are found in one open-addressing table over instance, kind and the sum of the
// mixed pin numbers, which does not depend on the order of the pins.
// Cost: linear in the pins; a sort of the pins of two gates only where their hashes meet.
#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <unordered_map>
#include <unordered_set>

#include "circuit/constant_nets.h"
#include "circuit/lint_findings.h"
#include "circuit/lint_loops.h"

namespace settle {
namespace {

bool is_open(const Circuit& circuit, GateId gate) {
  return circuit.names().nets[circuit.visible_net(gate)].name == no_symbol;
}

class CircuitLint {
 public:
  CircuitLint(const Netlist& netlist, const Circuit& circuit, const LintOptions& options,
              Diagnostics& diagnostics)
      : netlist_(netlist),
        circuit_(circuit),
        options_(options),
        diagnostics_(diagnostics),
        known_(constant_nets(circuit)) {}

  void run() {
    find_constant_gates();
    find_duplicates();
    find_fan_outs();
    lint_loops(circuit_, known_, options_, diagnostics_);
    find_unused_gates();
  }

 private:
  // --- constant gates

  /// Pins that are each in pairs: an exclusive or of them is fixed whatever they are.
  bool cancels_out(GateId gate) {
    const auto kind = circuit_.kind(gate);
    if (kind != GateKind::xor_ && kind != GateKind::xnor) return false;
    sort_pins(gate, pins_);
    if (pins_.size() % 2 != 0) return false;
    for (std::size_t i = 0; i < pins_.size(); i += 2) {
      if (pins_[i] != pins_[i + 1]) return false;
    }
    return true;
  }

  void find_constant_gates() {
    std::vector<GateId> marked;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (!is_push_pull(circuit_.kind(gate)) || is_open(circuit_, gate)) continue;
      if (is_binary(known_[circuit_.output_of(gate)]) || cancels_out(gate)) marked.push_back(gate);
    }
    tell_findings("constant-gate", true_in_all_uses(circuit_, marked), options_, diagnostics_,
                  [&](std::uint32_t gate) { return words_of_constant(gate); });
  }

  LintWords words_of_constant(GateId gate) const {
    const auto pins = circuit_.fan_in(gate);
    const auto kind = circuit_.kind(gate);
    const auto value = known_[circuit_.output_of(gate)];
    if (!is_binary(value)) {
      return {fmt::format("the output of gate {} is always {}: its inputs cancel each other out",
                          local_name(circuit_, gate), kind == GateKind::xor_ ? 0 : 1),
              "an exclusive or of a net with itself is no gate; was another net meant?"};
    }
    std::string why = pins.size() == 1 ? "its input is constant" : "all its inputs are constant";
    for (std::size_t i = 0; i < pins.size() && pins.size() > 1; ++i) {
      const Value one_known = known_[pins[i]];
      if (!is_binary(one_known)) continue;
      // The pin alone decides when the gate gives the value with all other pins unknown.
      std::vector<Value> values(pins.size(), Value::x);
      values[i] = one_known;
      if (evaluate(kind, values) != value) continue;
      why = fmt::format("its input {} is always {}", i + 1, to_char(one_known));
      break;
    }
    return {fmt::format("the output of gate {} is always {}: {}", local_name(circuit_, gate), to_char(value),
                        why),
            "take the gate out and use the constant, or connect the input that was meant"};
  }

  // --- duplicates

  void sort_pins(GateId gate, std::vector<NetId>& pins) const {
    const auto fan_in = circuit_.fan_in(gate);
    pins.assign(fan_in.begin(), fan_in.end());
    std::sort(pins.begin(), pins.end());
  }

  std::uint64_t hash_of(GateId gate) const {
    const auto spread = [](std::uint64_t z) {
      z *= 0x9e3779b97f4a7c15u;
      return z ^ (z >> 29);
    };
    std::uint64_t hash = spread(std::uint64_t{circuit_.names().gates[gate].instance} << 8 |
                                static_cast<std::uint64_t>(circuit_.kind(gate)));
    for (const NetId pin : circuit_.fan_in(gate)) hash += spread(spread(pin + 1) + 1);
    return hash * 0x9e3779b97f4a7c15u;
  }

  bool do_the_same(GateId a, GateId b) {
    if (circuit_.kind(a) != circuit_.kind(b) || circuit_.fan_in(a).size() != circuit_.fan_in(b).size())
      return false;
    if (circuit_.names().gates[a].instance != circuit_.names().gates[b].instance) return false;
    sort_pins(a, pins_);
    sort_pins(b, other_pins_);
    return pins_ == other_pins_;
  }

  /// May the gate be told to be a copy? Buffers share the load of a net, and constants have their own kind.
  bool may_be_duplicate(GateId gate) const {
    return is_push_pull(circuit_.kind(gate)) && circuit_.kind(gate) != GateKind::buf &&
           circuit_.shared_wire(gate) == no_id && !is_binary(known_[circuit_.output_of(gate)]) &&
           !is_open(circuit_, gate);
  }

  void find_duplicates() {
    std::vector<GateId> marked;
    std::unordered_map<GateId, GateId> original;
    const std::size_t slots = std::bit_ceil(std::size_t{circuit_.gate_count()} * 2 + 2);
    const int shift = 64 - std::countr_zero(slots);
    std::vector<GateId> table(slots, no_id);
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (!may_be_duplicate(gate)) continue;
      auto slot = static_cast<std::size_t>(hash_of(gate) >> shift);
      while (table[slot] != no_id && !do_the_same(table[slot], gate)) slot = (slot + 1) & (slots - 1);
      if (table[slot] == no_id) {
        table[slot] = gate;
      } else if (circuit_.names().gates[table[slot]].name != circuit_.names().gates[gate].name) {
        // Elements of one array are alike on purpose.
        marked.push_back(gate);
        original.emplace(gate, table[slot]);
      }
    }
    tell_findings("duplicate-gate", true_in_all_uses(circuit_, marked), options_, diagnostics_,
                  [&](std::uint32_t gate) {
                    return LintWords{fmt::format("gates {} and {} do the same: {} of the same inputs",
                                                 local_name(circuit_, original[gate]),
                                                 local_name(circuit_, gate), name_of(circuit_.kind(gate))),
                                     "one gate can feed both nets, unless the load is shared on purpose"};
                  });
  }

  // --- fan-out

  Place place_of_input(NetId net) const {
    const auto symbol = netlist_.symbols->find(circuit_.cell_name());
    const int cell = symbol == no_symbol ? -1 : netlist_.find_cell(symbol);
    if (cell < 0) return {};
    const auto& syntax = netlist_.cells[static_cast<std::size_t>(cell)];
    const auto& ports = circuit_.input_ports();
    for (std::size_t i = 0; i < ports.size() && i < syntax.inputs.size(); ++i) {
      if (net - ports[i].first < ports[i].width) return {syntax.place.file, syntax.inputs[i].offset};
    }
    return syntax.place;
  }

  void find_fan_outs() {
    std::vector<LintFinding> findings;
    const auto width = [&](NetId net) { return circuit_.fan_out(net).size(); };
    for (NetId net = 0; net < circuit_.const_zero(); ++net) {
      if (width(net) <= options_.fan_out || circuit_.is_undriven(net)) continue;
      if (circuit_.is_input(net)) {
        findings.push_back({place_of_input(net), net});
      } else {
        const NetId driver = circuit_.is_resolved(net) ? circuit_.drivers_of(net)[0] : net;
        findings.push_back({circuit_.gate_place(circuit_.gate_of(driver)), net});
      }
    }
    // The widest of each place is told.
    std::stable_sort(findings.begin(), findings.end(), [&](const LintFinding& a, const LintFinding& b) {
      return width(a.subject) > width(b.subject);
    });
    tell_findings("fan-out", std::move(findings), options_, diagnostics_, [&](std::uint32_t net) {
      return LintWords{
          fmt::format("net '{}' feeds {}, more than {}", circuit_.net_name(net),
                      counted(width(net), "gate input"), options_.fan_out),
          "each input adds load and delay: share them among buffers, or check the drive of the chip"};
    });
  }

  // --- unused gates

  void find_unused_gates() {
    std::vector<bool> is_used(circuit_.gate_count());
    std::vector<GateId> open;
    const auto use_gate = [&](GateId gate) {
      if (is_used[gate]) return;
      is_used[gate] = true;
      open.push_back(gate);
    };
    const auto use = [&](NetId net) {
      if (circuit_.is_gate_output(net)) use_gate(circuit_.gate_of(net));
      if (!circuit_.is_resolved(net)) return;
      for (const NetId driver : circuit_.drivers_of(net)) use_gate(circuit_.gate_of(driver));
    };
    for (const NetId net : circuit_.outputs()) use(net);
    use_left_open(use);
    while (!open.empty()) {
      const GateId gate = open.back();
      open.pop_back();
      for (const NetId pin : circuit_.fan_in(gate)) use(pin);
      if (const NetId wire = circuit_.shared_wire(gate); wire != no_id) use(wire);
    }
    std::vector<GateId> marked;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      // An output that nothing reads at all is told of at each load.
      if (!is_used[gate] && !circuit_.fan_out(circuit_.visible_net(gate)).empty()) marked.push_back(gate);
    }
    tell_findings("unused-gate", true_in_all_uses(circuit_, marked), options_, diagnostics_,
                  [&](std::uint32_t gate) {
                    return LintWords{
                        fmt::format("no path leads from gate {} to an output of cell '{}'",
                                    local_name(circuit_, gate), circuit_.cell_name()),
                        "it changes nothing that can be seen: take it out, or connect what it was meant for"};
                  });
  }

  /// Outputs of gates and parts that are left open on purpose.
  template <class Use>
  void use_left_open(const Use& use) const {
    std::unordered_set<std::uint64_t> output_pins;  // cell and pin
    const auto key = [](Symbol cell, Symbol pin) { return std::uint64_t{cell} << 32 | pin; };
    for (const auto& cell : netlist_.cells) {
      for (const auto& pin : cell.outputs) output_pins.insert(key(cell.name, pin.name));
    }
    const auto& names = circuit_.names();
    for (NetId net = circuit_.input_count(); net < circuit_.first_undriven(); ++net) {
      const auto& name = names.nets[net];
      const bool is_private =
          circuit_.is_gate_output(net) && circuit_.visible_net(circuit_.gate_of(net)) != net;
      if (is_private) continue;
      if (name.name == no_symbol) {
        use(net);
      } else if (name.instance != 0 &&
                 output_pins.contains(key(names.instances[name.instance].cell, name.name))) {
        use(net);
      }
    }
  }

  const Netlist& netlist_;
  const Circuit& circuit_;
  const LintOptions& options_;
  Diagnostics& diagnostics_;
  std::vector<Value> known_;
  std::vector<NetId> pins_, other_pins_;
};

}  // namespace

void lint_circuit(const Netlist& netlist, const Circuit& circuit, const LintOptions& options,
                  Diagnostics& diagnostics) {
  CircuitLint(netlist, circuit, options, diagnostics).run();
}

}  // namespace settle
