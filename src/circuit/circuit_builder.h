// Puts a Circuit together: wires and gates one by one, then all its arrays in one go.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// A wire under construction; numbered as added, renumbered by finish().
using WireId = std::uint32_t;
inline constexpr WireId wire_zero = 0xfffffffeu;  ///< constant 0
inline constexpr WireId wire_one = 0xfffffffdu;   ///< constant 1

class CircuitBuilder {
 public:
  struct Sizes {
    std::size_t gates = 0, pins = 0, instances = 0;
  };
  /// Exact sizes, so that no array is larger than it needs to be.
  explicit CircuitBuilder(const Sizes& sizes);

  Names& names() { return circuit_.names_; }
  const Names& names() const { return circuit_.names_; }

  /// All input bits come before every other wire.
  WireId add_input(const NameRef& name);
  WireId add_wire(const NameRef& name);

  /// The input pins of the gate that the next finish_gate() adds.
  void add_pin(WireId wire) { circuit_.fan_in_.push_back(wire); }
  /// `output` may be no_id: an open output. `delay` is a class from add_delay() or 0.
  /// `part` is an index into the names of set_parts(), 0 for none.
  GateId finish_gate(GateKind kind, WireId output, const NameRef& name, Place place, std::uint16_t delay,
                     std::uint32_t part = 0);

  void set_cell_name(std::string name) { circuit_.cell_name_ = std::move(name); }
  void add_input_port(Port port) { circuit_.input_ports_.push_back(std::move(port)); }
  void add_output_port(Port port) { circuit_.output_ports_.push_back(std::move(port)); }
  void add_output(WireId wire) { circuit_.outputs_.push_back(wire); }
  /// Class 0 must be one tick. Without a call every gate has one tick.
  void set_delays(std::vector<GateDelay> classes, TimeUnit unit);
  /// Names of parts, [0] empty. Without a call, or with no other name, gates keep none.
  void set_parts(std::vector<std::string> names);

  /// Wires with several drivers, each with its gates in ascending order, one range a wire.
  struct SharedWire {
    WireId wire = no_id;
    std::vector<GateId> drivers;
  };
  std::vector<SharedWire> shared_wires() const;

  GateId gate_count() const { return circuit_.gate_count(); }
  GateKind kind_of(GateId gate) const { return circuit_.kinds_[gate]; }
  Place place_of(GateId gate) const { return circuit_.gate_places_[gate]; }
  const NameRef& name_of_wire(WireId wire) const { return wire_names_[wire]; }

  /// Other delays for a finished circuit, one a gate. False, and nothing done, when more than 65,535 differ.
  static bool replace_delays(Circuit& circuit, std::span<const GateDelay> delays);

  /// Renumbers the wires as Circuit describes and builds fan-out and loops. Once only.
  Circuit finish();

 private:
  void number_nets(std::vector<NetId>& net_of_wire);
  void build_fan_out();

  Circuit circuit_;
  std::vector<NameRef> wire_names_;
  std::vector<GateId> driver_;  // first driver by wire, or no_id
  std::vector<std::pair<WireId, GateId>> further_drivers_;
};

/// Fills loop_start, loop_gates, loop_of and reaches_loop.
struct Loops {
  std::vector<std::uint32_t> start{0};
  std::vector<GateId> gates;
  std::vector<std::uint32_t> loop_of;
  std::vector<bool> reaches_loop;
};
Loops find_loops(const Circuit& circuit);

}  // namespace settle
