// The flat circuit: arrays of gates and nets, nothing else. Knows no file and no text.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "settle/gate_kind.h"
#include "settle/netlist.h"

namespace settle {

using NetId = std::uint32_t;
using GateId = std::uint32_t;
inline constexpr std::uint32_t no_id = 0xffffffffu;

/// One pin of the whole circuit, one bit or a bus.
struct Port {
  std::string name;
  std::uint32_t msb = 0, lsb = 0;
  bool is_bus = false;
  std::uint32_t first = 0;  ///< first bit in Circuit::input bits or output bits, the msb
  std::uint32_t width = 1;
};

/// Delays of a gate in ticks (Circuit::time_unit each), at least 1.
struct GateDelay {
  DelayTriple rise, fall;
  bool operator==(const GateDelay&) const = default;
};

/// Where a flat gate or net comes from; names are put together from it when asked for.
struct NameRef {
  std::uint32_t instance = 0;   ///< index into Names::instances; 0 is the top
  Symbol name = no_symbol;
  std::uint32_t bit = no_id;    ///< array element or bus bit, or no_id
};

/// Flat names, kept as a tree of instances and built on demand.
struct Names {
  struct Instance {
    std::uint32_t parent = 0;
    Symbol name = no_symbol;
    std::uint32_t bit = no_id;
    Symbol cell = no_symbol;    ///< the cell that it is an instance of
  };
  /// Range of a bus, once for each cell that has it (not for each instance).
  struct Bus {
    Symbol cell = no_symbol;
    Symbol name = no_symbol;
    std::uint32_t msb = 0, lsb = 0;
  };
  std::shared_ptr<const SymbolTable> symbols;
  std::vector<Instance> instances;  ///< [0] is the top; parents come before children
  std::vector<NameRef> gates;       ///< by GateId
  std::vector<NameRef> nets;        ///< by NetId; constants and outputs without a net have no name
  std::vector<Bus> buses;
  std::string join(const NameRef& ref) const;  ///< "bit[3].keep.hold_a"
};

/// A flat circuit.
///
/// Net numbers: first the inputs, bit by bit in declaration order (a bus from its msb as written),
/// then the output of each gate in gate order (net input_count + g belongs to gate g), then the
/// resolved nets (wires with several drivers), then undriven nets, then constant 0 and constant 1.
/// A gate that shares its wire with other drivers has a private output net without fan-out; the
/// wire itself is a resolved net, which follows its drivers without delay.
///
/// Invariants are checked by verify(). Immutable once built.
class Circuit {
 public:
  // --- sizes
  std::uint32_t input_count() const { return input_count_; }
  std::uint32_t gate_count() const { return static_cast<std::uint32_t>(kinds_.size()); }
  std::uint32_t resolved_count() const { return static_cast<std::uint32_t>(driver_start_.size()) - 1; }
  std::uint32_t undriven_count() const { return undriven_count_; }
  std::uint32_t net_count() const { return const_one() + 1; }

  // --- nets
  bool is_input(NetId net) const { return net < input_count_; }
  bool is_gate_output(NetId net) const { return net - input_count_ < gate_count(); }
  bool is_resolved(NetId net) const { return net >= first_resolved() && net < first_undriven(); }
  bool is_undriven(NetId net) const { return net >= first_undriven() && net < const_zero(); }
  bool is_constant(NetId net) const { return net >= const_zero(); }
  NetId output_of(GateId gate) const { return input_count_ + gate; }
  GateId gate_of(NetId net) const { return net - input_count_; }  ///< of a gate output
  NetId first_resolved() const { return input_count_ + gate_count(); }
  NetId first_undriven() const { return first_resolved() + resolved_count(); }
  NetId const_zero() const { return first_undriven() + undriven_count_; }
  NetId const_one() const { return const_zero() + 1; }
  /// Gate output nets that feed resolved net first_resolved() + i.
  std::span<const NetId> drivers_of(NetId resolved) const {
    const auto i = resolved - first_resolved();
    return {drivers_.data() + driver_start_[i], drivers_.data() + driver_start_[i + 1]};
  }
  /// The resolved net that a gate drives together with others, or no_id.
  NetId shared_wire(GateId gate) const { return shared_wire_.empty() ? no_id : shared_wire_[gate]; }
  /// The net on which the gate's output is seen: its own or the shared wire.
  NetId visible_net(GateId gate) const {
    const NetId wire = shared_wire(gate);
    return wire == no_id ? output_of(gate) : wire;
  }

  // --- gates
  GateKind kind(GateId gate) const { return kinds_[gate]; }
  std::span<const NetId> fan_in(GateId gate) const {
    return {fan_in_.data() + fan_in_start_[gate], fan_in_.data() + fan_in_start_[gate + 1]};
  }
  /// Gates that read a net, one entry a pin, ascending.
  std::span<const GateId> fan_out(NetId net) const {
    return {fan_out_.data() + fan_out_start_[net], fan_out_.data() + fan_out_start_[net + 1]};
  }
  const std::vector<GateKind>& kinds() const { return kinds_; }

  // --- delays
  /// False: every gate has one unit of delay.
  bool has_delays() const { return !delay_class_.empty(); }
  const GateDelay& delay(GateId gate) const {
    return delays_[has_delays() ? delay_class_[gate] : 0];
  }
  TimeUnit time_unit() const { return time_unit_; }  ///< of a tick; none: unit delays

  // --- parts
  /// The part that a gate names, as in {part=74HC02}; empty when it names none.
  std::string_view part(GateId gate) const {
    return part_of_.empty() ? std::string_view() : std::string_view(parts_[part_of_[gate]]);
  }

  // --- loops: strongly connected components of the gate graph with more than one gate or a
  // gate that feeds itself (through resolved nets too)
  std::uint32_t loop_count() const { return static_cast<std::uint32_t>(loop_start_.size()) - 1; }
  std::span<const GateId> loop(std::uint32_t index) const {
    return {loop_gates_.data() + loop_start_[index], loop_gates_.data() + loop_start_[index + 1]};
  }
  /// Loop index of a gate, or no_id.
  std::uint32_t loop_of(GateId gate) const { return loop_of_.empty() ? no_id : loop_of_[gate]; }
  /// True for gates in a loop and gates with a path into one.
  bool reaches_loop(GateId gate) const { return !reaches_loop_.empty() && reaches_loop_[gate]; }

  // --- pins and names
  const std::string& cell_name() const { return cell_name_; }
  const std::vector<Port>& input_ports() const { return input_ports_; }
  const std::vector<Port>& output_ports() const { return output_ports_; }
  /// Nets of the output bits, in declaration order.
  const std::vector<NetId>& outputs() const { return outputs_; }
  std::string output_bit_name(std::uint32_t bit) const;  ///< "route[3]"
  std::string net_name(NetId net) const;                 ///< "bit[3].keep.occupied"; "0", "1" for constants
  std::string gate_name(GateId gate) const;              ///< "bit[3].keep.hold_a"
  Place gate_place(GateId gate) const { return gate_places_.empty() ? Place{} : gate_places_[gate]; }
  const Names& names() const { return names_; }
  /// A net by flat name; constants and private nets cannot be found. Output pins that share a net
  /// with another pin are found by either name.
  std::optional<NetId> find_net(std::string_view name) const;
  /// The bits of a bus by name, msb first as declared: a port, or an internal bus of the flat
  /// netlist ("n" for n[7]..n[0]); a single net gives one bit. Empty when there is none.
  std::vector<NetId> find_bus(std::string_view name) const;

  /// Bytes held by the arrays, names included.
  std::size_t bytes() const;

  // Text form for tests, one gate a line: "hold_a nor leave clear -> occupied".
  std::string dump() const;

 private:
  friend class CircuitBuilder;
  std::uint32_t input_count_ = 0;
  std::uint32_t undriven_count_ = 0;
  std::vector<GateKind> kinds_;
  std::vector<std::uint32_t> fan_in_start_{0};
  std::vector<NetId> fan_in_;
  std::vector<std::uint32_t> fan_out_start_{0};
  std::vector<GateId> fan_out_;
  std::vector<std::uint32_t> driver_start_{0};
  std::vector<NetId> drivers_;
  std::vector<NetId> shared_wire_;
  std::vector<std::uint16_t> delay_class_;
  std::vector<GateDelay> delays_{GateDelay{}};
  TimeUnit time_unit_ = TimeUnit::none;
  std::vector<std::uint32_t> part_of_;  // index into parts_; empty when no gate names one
  std::vector<std::string> parts_;      // [0] is empty
  std::vector<std::uint32_t> loop_start_{0};
  std::vector<GateId> loop_gates_;
  std::vector<std::uint32_t> loop_of_;
  std::vector<bool> reaches_loop_;
  std::string cell_name_;
  std::vector<Port> input_ports_, output_ports_;
  std::vector<NetId> outputs_;
  std::vector<Place> gate_places_;
  Names names_;
  struct NameIndex;
  mutable std::shared_ptr<const NameIndex> name_index_;  // built by the first find; not thread-safe
};

/// Broken invariants, one a line; empty when all hold. Runs after every load in debug builds.
std::string verify(const Circuit& circuit);

}  // namespace settle
