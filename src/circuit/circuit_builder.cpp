// Wires and gates -> the arrays of a Circuit.
//
// A wire becomes an input, the output of its only driver, a resolved net (several drivers), or an
// undriven net; finish() counts the kinds, gives out the numbers and rewrites every reference.
// Fan-out lists are filled by counting sort: count the readers of each net, prefix sums, then one
// pass over the gates in order, which leaves each list ascending. Cost: linear, three passes over
// the pins.
#include "circuit/circuit_builder.h"

#include <algorithm>
#include <array>
#include <map>

#include "text/large_pages.h"

namespace settle {

CircuitBuilder::CircuitBuilder(const Sizes& sizes) {
  circuit_.kinds_.reserve(sizes.gates);
  circuit_.fan_in_start_.reserve(sizes.gates + 1);
  circuit_.fan_in_.reserve(sizes.pins);
  circuit_.gate_places_.reserve(sizes.gates);
  circuit_.names_.gates.reserve(sizes.gates);
  circuit_.names_.instances.reserve(sizes.instances);
  // A wire a gate, and some for inputs: growing would copy them all.
  const std::size_t wires = sizes.gates + sizes.gates / 32 + 64;
  wire_names_.reserve(wires);
  driver_.reserve(wires);
  const auto in_large_pages = [](auto&... arrays) {
    (prefer_large_pages(arrays.data(), arrays.capacity() * sizeof(arrays[0])), ...);
  };
  in_large_pages(circuit_.fan_in_start_, circuit_.fan_in_, circuit_.gate_places_, circuit_.names_.gates,
                 circuit_.names_.instances, wire_names_, driver_);
}

WireId CircuitBuilder::add_input(const NameRef& name) {
  ++circuit_.input_count_;
  return add_wire(name);
}

WireId CircuitBuilder::add_wire(const NameRef& name) {
  wire_names_.push_back(name);
  driver_.push_back(no_id);
  return static_cast<WireId>(wire_names_.size() - 1);
}

GateId CircuitBuilder::finish_gate(GateKind kind, WireId output, const NameRef& name, Place place,
                                   std::uint16_t delay, std::uint32_t part) {
  const auto gate = circuit_.gate_count();
  circuit_.kinds_.push_back(kind);
  circuit_.fan_in_start_.push_back(static_cast<std::uint32_t>(circuit_.fan_in_.size()));
  circuit_.gate_places_.push_back(place);
  circuit_.names_.gates.push_back(name);
  if (circuit_.delays_.size() > 1) circuit_.delay_class_.push_back(delay);
  if (!circuit_.parts_.empty()) circuit_.part_of_.push_back(part);
  if (output != no_id) {
    if (driver_[output] == no_id) {
      driver_[output] = gate;
    } else {
      further_drivers_.emplace_back(output, gate);
    }
  }
  return gate;
}

void CircuitBuilder::set_delays(std::vector<GateDelay> classes, TimeUnit unit) {
  circuit_.delays_ = std::move(classes);
  circuit_.time_unit_ = unit;
  if (circuit_.delays_.size() > 1) circuit_.delay_class_.reserve(circuit_.kinds_.capacity());
}

bool CircuitBuilder::replace_delays(Circuit& circuit, std::span<const GateDelay> delays) {
  std::vector<GateDelay> classes{GateDelay{}};
  std::vector<std::uint16_t> class_of;
  class_of.reserve(delays.size());
  std::map<std::array<std::uint64_t, 6>, std::uint16_t> known;
  for (const GateDelay& d : delays) {
    const std::array key{d.rise.min, d.rise.typ, d.rise.max, d.fall.min, d.fall.typ, d.fall.max};
    const auto [entry, is_new] = known.try_emplace(key, static_cast<std::uint16_t>(classes.size()));
    if (is_new) {
      if (classes.size() == 65536) return false;
      classes.push_back(d);
    }
    class_of.push_back(entry->second);
  }
  circuit.delays_ = std::move(classes);
  circuit.delay_class_ = std::move(class_of);
  return true;
}

void CircuitBuilder::set_parts(std::vector<std::string> names) {
  if (names.size() < 2) return;
  circuit_.parts_ = std::move(names);
  circuit_.part_of_.reserve(circuit_.kinds_.capacity());
}

std::vector<CircuitBuilder::SharedWire> CircuitBuilder::shared_wires() const {
  auto further = further_drivers_;
  std::sort(further.begin(), further.end());
  std::vector<SharedWire> shared;
  for (const auto& [wire, gate] : further) {
    if (shared.empty() || shared.back().wire != wire) shared.push_back({wire, {driver_[wire]}});
    shared.back().drivers.push_back(gate);
  }
  return shared;
}

void CircuitBuilder::number_nets(std::vector<NetId>& net_of_wire) {
  const auto inputs = circuit_.input_count_;
  const auto gates = circuit_.gate_count();
  const auto shared = shared_wires();

  reserve_large(net_of_wire, wire_names_.size());
  net_of_wire.assign(wire_names_.size(), no_id);
  for (WireId wire = 0; wire < inputs; ++wire) net_of_wire[wire] = wire;
  if (!shared.empty()) circuit_.shared_wire_.assign(gates, no_id);
  circuit_.driver_start_.reserve(shared.size() + 1);
  NetId next = inputs + gates;
  for (const auto& [wire, drivers] : shared) {
    for (const GateId gate : drivers) {
      circuit_.shared_wire_[gate] = next;
      circuit_.drivers_.push_back(circuit_.output_of(gate));
    }
    circuit_.driver_start_.push_back(static_cast<std::uint32_t>(circuit_.drivers_.size()));
    net_of_wire[wire] = next++;
  }
  for (WireId wire = inputs; wire < wire_names_.size(); ++wire) {
    if (net_of_wire[wire] != no_id) continue;
    if (driver_[wire] != no_id) {
      net_of_wire[wire] = circuit_.output_of(driver_[wire]);
    } else {
      net_of_wire[wire] = next++;
      ++circuit_.undriven_count_;
    }
  }
  // Private outputs and the constants keep the empty name.
  reserve_large(circuit_.names_.nets, circuit_.net_count());
  circuit_.names_.nets.assign(circuit_.net_count(), NameRef{});
  for (WireId wire = 0; wire < wire_names_.size(); ++wire) {
    circuit_.names_.nets[net_of_wire[wire]] = wire_names_[wire];
  }
  wire_names_ = std::vector<NameRef>();
  driver_ = std::vector<GateId>();
}

void CircuitBuilder::build_fan_out() {
  auto& start = circuit_.fan_out_start_;
  const auto& fan_in = circuit_.fan_in_;
  reserve_large(start, circuit_.net_count() + std::size_t{1});
  start.assign(circuit_.net_count() + 1, 0);
  for (const NetId net : fan_in) ++start[net];
  std::uint32_t sum = 0;
  for (auto& entry : start) {
    sum += entry;
    entry = sum;  // the end of each list; filling backwards moves it to the start
  }
  reserve_large(circuit_.fan_out_, fan_in.size());
  circuit_.fan_out_.resize(fan_in.size());
  for (GateId gate = circuit_.gate_count(); gate-- > 0;) {
    const auto pins = circuit_.fan_in(gate);
    for (const NetId net : pins) circuit_.fan_out_[--start[net]] = gate;
  }
}

Circuit CircuitBuilder::finish() {
  std::vector<NetId> net_of_wire;
  number_nets(net_of_wire);
  const auto net_of = [&](WireId wire) {
    if (wire == wire_zero) return circuit_.const_zero();
    if (wire == wire_one) return circuit_.const_one();
    return net_of_wire[wire];
  };
  for (auto& pin : circuit_.fan_in_) pin = net_of(pin);
  for (auto& output : circuit_.outputs_) output = net_of(output);
  if (std::all_of(circuit_.delay_class_.begin(), circuit_.delay_class_.end(),
                  [](std::uint16_t entry) { return entry == 0; })) {
    circuit_.delay_class_ = {};
  }
  build_fan_out();
  auto loops = find_loops(circuit_);
  circuit_.loop_start_ = std::move(loops.start);
  circuit_.loop_gates_ = std::move(loops.gates);
  circuit_.loop_of_ = std::move(loops.loop_of);
  circuit_.reaches_loop_ = std::move(loops.reaches_loop);
  return std::move(circuit_);
}

}  // namespace settle
