// Cuts a circuit where one storage loop feeds another.
//
// A loop (strongly connected component) is visible when one of its nets is an output of the circuit.
// Nets of visible loops are cut: for whoever reads them they are inputs. What lies in front of a
// visible loop, back to inputs and cut nets, is one part with it; so a master-slave flip-flop, whose
// master is a loop without an output, stays whole, and a shift register falls into its stages.
// Parts that share an invisible loop are joined until none do. A plain ring with an odd number of inversions stores
// nothing, so it is cut out as if one of its nets were an output: else nothing in front of an output that such a ring
// drives would ever be seen at rest. That is done only where there are other loops.
//
// A part sees its cut inputs as free, though in the whole circuit they follow the outputs of other
// parts: what is proved of a part for all input changes holds in the whole circuit.
// Cost: linear in the sum of the parts; keys are compared as texts.
#include "analysis/part_split.h"

#include <algorithm>
#include <unordered_map>

#include "circuit/circuit_builder.h"

namespace settle {
namespace {

class PartSplitter {
 public:
  PartSplitter(const Circuit& circuit, std::uint64_t gate_limit)
      : circuit_(circuit), left_(gate_limit), visible_(circuit.loop_count(), false), seen_(circuit.gate_count(), 0) {}

  bool run(std::vector<CircuitPart>& parts) {
    find_roots();
    if (!join()) return false;
    std::vector<std::uint32_t> part_of(leader_.size(), no_id);
    for (std::uint32_t r = 0; r < roots_.size(); ++r) {
      const std::uint32_t group = find(group_of_root_[r]);
      if (part_of[group] == no_id) {
        part_of[group] = static_cast<std::uint32_t>(parts.size());
        parts.emplace_back();
      }
      parts[part_of[group]].observed.push_back(roots_[r]);
    }
    for (CircuitPart& part : parts) {
      part.output_count = static_cast<std::uint32_t>(part.observed.size());
      if (!collect(find(group_of_net(part.observed[0])), part)) return false;
    }
    observe_cut_nets(parts, part_of);
    if (parts.size() > 1) {
      for (CircuitPart& part : parts) order_inputs(part);
    }
    for (CircuitPart& part : parts) part.key = key_of(part);
    return true;
  }

 private:
  // The gates that drive a net.
  template <class Visit>
  void each_driver(NetId net, const Visit& visit) const {
    if (circuit_.is_gate_output(net)) visit(circuit_.gate_of(net));
    if (circuit_.is_resolved(net)) {
      for (const NetId driver : circuit_.drivers_of(net)) visit(circuit_.gate_of(driver));
    }
  }
  std::uint32_t loop_of_net(NetId net) const {
    std::uint32_t loop = no_id;
    each_driver(net, [&](GateId gate) {
      if (circuit_.loop_of(gate) != no_id) loop = circuit_.loop_of(gate);
    });
    return loop;
  }

  // Groups: one a loop, then one for each output net outside loops.
  std::uint32_t group_of_net(NetId net) const {
    const std::uint32_t loop = loop_of_net(net);
    return loop != no_id ? loop : loose_.at(net);
  }
  std::uint32_t find(std::uint32_t group) {
    while (leader_[group] != group) group = leader_[group] = leader_[leader_[group]];
    return group;
  }

  void find_roots() {
    std::vector<bool> known(circuit_.net_count(), false);
    for (std::uint32_t i = 0; i < circuit_.loop_count(); ++i) leader_.push_back(i);
    for (const NetId net : circuit_.outputs()) {
      if (known[net] || !(circuit_.is_gate_output(net) || circuit_.is_resolved(net))) continue;
      known[net] = true;
      roots_.push_back(net);
      const std::uint32_t loop = loop_of_net(net);
      if (loop != no_id) {
        visible_[loop] = true;
        group_of_root_.push_back(loop);
      } else {
        loose_.emplace(net, static_cast<std::uint32_t>(leader_.size()));
        group_of_root_.push_back(static_cast<std::uint32_t>(leader_.size()));
        leader_.push_back(static_cast<std::uint32_t>(leader_.size()));
      }
    }
    cut_rings();
  }

  // One way round, an odd number of inversions.
  bool is_inverting_ring(std::uint32_t loop) const {
    bool inverts = false;
    for (const GateId gate : circuit_.loop(loop)) {
      const GateKind kind = circuit_.kind(gate);
      using enum GateKind;
      const bool negative = kind == not_ || kind == nand || kind == nor;
      if (!negative && kind != buf && kind != and_ && kind != or_) return false;
      if (circuit_.shared_wire(gate) != no_id) return false;
      std::size_t inside = 0;
      for (const NetId net : circuit_.fan_in(gate)) inside += loop_of_net(net) == loop ? 1 : 0;
      if (inside != 1) return false;
      inverts = inverts != negative;
    }
    return inverts;
  }

  void cut_rings() {
    std::vector<bool> reached(circuit_.gate_count(), false);
    std::vector<GateId> stack;
    const auto reach = [&](NetId net) {
      each_driver(net, [&](GateId gate) {
        if (!reached[gate]) stack.push_back(gate);
        reached[gate] = true;
      });
    };
    for (const NetId net : circuit_.outputs()) reach(net);
    while (!stack.empty()) {
      const GateId gate = stack.back();
      stack.pop_back();
      for (const NetId net : circuit_.fan_in(gate)) reach(net);
    }
    std::vector<std::uint32_t> rings;
    bool others = false;
    for (std::uint32_t loop = 0; loop < circuit_.loop_count(); ++loop) {
      if (!reached[circuit_.loop(loop)[0]]) continue;
      if (!is_inverting_ring(loop)) {
        others = true;
      } else if (!visible_[loop]) {
        rings.push_back(loop);
      }
    }
    if (!others) return;
    for (const std::uint32_t loop : rings) {
      for (const GateId gate : circuit_.loop(loop)) {
        const NetId net = circuit_.output_of(gate);
        const auto readers = circuit_.fan_out(net);
        const bool leaves = std::any_of(readers.begin(), readers.end(), [&](GateId reader) {
          return reached[reader] && circuit_.loop_of(reader) != loop;
        });
        if (!leaves) continue;
        visible_[loop] = true;
        roots_.push_back(net);
        group_of_root_.push_back(loop);
        break;
      }
    }
  }

  // Visits the gates of a group backwards; `on_cut` gets the nets at which it ends.
  template <class OnGate, class OnEnd>
  bool trace(std::uint32_t group, const OnGate& on_gate, const OnEnd& on_end) {
    ++stamp_;
    std::vector<GateId> stack;
    const auto reach = [&](GateId gate) {
      if (seen_[gate] == stamp_) return;
      seen_[gate] = stamp_;
      stack.push_back(gate);
    };
    for (const std::uint32_t member : members_[group]) {
      for (const NetId net : roots_of_[member]) each_driver(net, reach);
      if (member < circuit_.loop_count()) {
        for (const GateId gate : circuit_.loop(member)) reach(gate);
      }
    }
    while (!stack.empty()) {
      const GateId gate = stack.back();
      stack.pop_back();
      if (left_ == 0) return false;
      --left_;
      on_gate(gate);
      // Other drivers of the same wire belong to it.
      if (const NetId wire = circuit_.shared_wire(gate); wire != no_id) each_driver(wire, reach);
      for (const NetId net : circuit_.fan_in(gate)) {
        if (circuit_.is_constant(net) || circuit_.is_undriven(net)) continue;
        const std::uint32_t loop = loop_of_net(net);
        if (circuit_.is_input(net) || (loop != no_id && visible_[loop] && find(loop) != group)) {
          on_end(net);
        } else {
          each_driver(net, reach);
        }
      }
    }
    return true;
  }

  void list_members() {
    members_.assign(leader_.size(), {});
    for (std::uint32_t member = 0; member < leader_.size(); ++member) {
      if (!roots_of_[member].empty()) members_[find(member)].push_back(member);
    }
  }

  bool join() {
    const std::uint64_t budget = left_;
    roots_of_.resize(leader_.size());
    for (std::uint32_t r = 0; r < roots_.size(); ++r) roots_of_[group_of_root_[r]].push_back(roots_[r]);
    for (bool joined = true; joined;) {
      joined = false;
      left_ = budget;
      list_members();
      std::vector<std::pair<std::uint32_t, std::uint32_t>> to_join;
      std::vector<std::uint32_t> owner(circuit_.loop_count(), no_id);
      for (std::uint32_t group = 0; group < leader_.size(); ++group) {
        if (members_[group].empty()) continue;
        const bool done = trace(
            group,
            [&](GateId gate) {
              const std::uint32_t loop = circuit_.loop_of(gate);
              if (loop == no_id || owner[loop] == group) return;
              if (owner[loop] == no_id) {
                owner[loop] = group;
              } else if (find(owner[loop]) != find(group)) {
                to_join.emplace_back(owner[loop], group);
              }
            },
            [](NetId) {});
        if (!done) return false;
      }
      for (const auto& [a, b] : to_join) {
        if (find(a) == find(b)) continue;
        leader_[std::max(find(a), find(b))] = std::min(find(a), find(b));
        joined = true;
      }
    }
    left_ = budget;
    return true;
  }

  bool collect(std::uint32_t group, CircuitPart& part) {
    const bool done = trace(
        group,
        [&](GateId gate) {
          part.gates.push_back(gate);
          part.has_loop = part.has_loop || circuit_.loop_of(gate) != no_id;
        },
        [&](NetId net) { part.inputs.push_back(net); });
    std::sort(part.gates.begin(), part.gates.end());
    std::sort(part.inputs.begin(), part.inputs.end());
    part.inputs.erase(std::unique(part.inputs.begin(), part.inputs.end()), part.inputs.end());
    return done;
  }

  void observe_cut_nets(std::vector<CircuitPart>& parts, const std::vector<std::uint32_t>& part_of) {
    std::vector<NetId> cut;
    for (const CircuitPart& part : parts) {
      for (const NetId net : part.inputs) {
        if (!circuit_.is_input(net)) cut.push_back(net);
      }
    }
    std::sort(cut.begin(), cut.end());
    cut.erase(std::unique(cut.begin(), cut.end()), cut.end());
    for (const NetId net : cut) {
      CircuitPart& owner = parts[part_of[find(loop_of_net(net))]];
      if (std::find(owner.observed.begin(), owner.observed.end(), net) == owner.observed.end()) {
        owner.observed.push_back(net);
      }
    }
  }

  // In the order in which the gates read them, so that equal cells have equal keys wherever their inputs
  // come from.
  void order_inputs(CircuitPart& part) const {
    std::vector<NetId> order;
    std::vector<bool> placed(part.inputs.size(), false);
    for (const GateId gate : part.gates) {
      for (const NetId net : circuit_.fan_in(gate)) {
        const auto at = std::lower_bound(part.inputs.begin(), part.inputs.end(), net);
        if (at == part.inputs.end() || *at != net) continue;
        if (const auto i = static_cast<std::size_t>(at - part.inputs.begin()); !placed[i]) {
          placed[i] = true;
          order.push_back(net);
        }
      }
    }
    part.inputs = std::move(order);
  }

  std::string key_of(const CircuitPart& part) const {
    std::unordered_map<NetId, std::size_t> input_index;
    for (std::size_t i = 0; i < part.inputs.size(); ++i) input_index.emplace(part.inputs[i], i);
    const auto local = [&](NetId net) -> std::string {
      if (circuit_.is_constant(net)) return net == circuit_.const_zero() ? "L" : "H";
      if (circuit_.is_undriven(net)) return "u";
      if (const auto input = input_index.find(net); input != input_index.end()) return "i" + std::to_string(input->second);
      if (circuit_.is_resolved(net)) {
        std::string text = "w";
        for (const NetId driver : circuit_.drivers_of(net)) text += position(part, circuit_.gate_of(driver)) + "+";
        return text;
      }
      return position(part, circuit_.gate_of(net));
    };
    std::string key;
    for (const GateId gate : part.gates) {
      key += name_of(circuit_.kind(gate));
      for (const NetId net : circuit_.fan_in(gate)) key += " " + local(net);
      key += ';';
    }
    for (const NetId net : part.observed) key += " " + local(net);
    return key + "/" + std::to_string(part.output_count);
  }
  static std::string position(const CircuitPart& part, GateId gate) {
    return std::to_string(std::lower_bound(part.gates.begin(), part.gates.end(), gate) - part.gates.begin());
  }

  const Circuit& circuit_;
  std::uint64_t left_;
  std::vector<bool> visible_;                  // by loop
  std::vector<std::uint32_t> seen_;            // by gate
  std::uint32_t stamp_ = 0;
  std::vector<std::uint32_t> leader_;          // by group
  std::vector<NetId> roots_;
  std::vector<std::uint32_t> group_of_root_;
  std::vector<std::vector<NetId>> roots_of_;            // by group before joining
  std::vector<std::vector<std::uint32_t>> members_;     // groups joined, by their leader
  std::unordered_map<NetId, std::uint32_t> loose_;
};

// Copies gates into a new circuit whose names are whole texts.
class Copier {
 public:
  explicit Copier(const Circuit& from)
      : from_(from), symbols_(std::make_shared<SymbolTable>()), builder_({}), wires_(from.net_count(), no_id) {
    builder_.names().instances.push_back({});
  }

  NameRef name(const std::string& text) { return {0, symbols_->intern(text), no_id}; }
  void input(NetId net) {
    const std::string text = from_.net_name(net);
    wires_[net] = builder_.add_input(name(text));
    builder_.add_input_port({text, 0, 0, false, inputs_++, 1});
  }
  WireId wire(NetId net) {
    if (net == from_.const_zero()) return wire_zero;
    if (net == from_.const_one()) return wire_one;
    if (wires_[net] == no_id) wires_[net] = builder_.add_wire(name(from_.net_name(net)));
    return wires_[net];
  }
  void gate(GateId gate, std::span<const WireId> more, std::uint16_t delay, bool always_on = false) {
    GateKind kind = from_.kind(gate);
    auto pins = from_.fan_in(gate);
    if (always_on) {
      kind = kind == GateKind::notif0 || kind == GateKind::notif1 ? GateKind::not_ : GateKind::buf;
      pins = pins.first(1);
    }
    for (const NetId net : pins) builder_.add_pin(wire(net));
    for (const WireId pin : more) builder_.add_pin(pin);
    builder_.finish_gate(kind, wire(from_.visible_net(gate)), name(from_.gate_name(gate)),
                         from_.gate_place(gate), delay);
  }
  void output(NetId net, const std::string& text) {
    builder_.add_output(wire(net));
    builder_.add_output_port({text, 0, 0, false, outputs_++, 1});
  }
  Circuit finish() {
    builder_.set_cell_name(from_.cell_name());
    builder_.names().symbols = symbols_;
    return builder_.finish();
  }
  CircuitBuilder& builder() { return builder_; }

 private:
  const Circuit& from_;
  std::shared_ptr<SymbolTable> symbols_;
  CircuitBuilder builder_;
  std::vector<WireId> wires_;
  std::uint32_t inputs_ = 0, outputs_ = 0;
};

}  // namespace

bool split_into_parts(const Circuit& circuit, std::uint64_t gate_limit, std::vector<CircuitPart>& parts) {
  return PartSplitter(circuit, gate_limit).run(parts);
}

Circuit extract_part(const Circuit& circuit, const CircuitPart& part) {
  Copier copy(circuit);
  for (const NetId net : part.inputs) copy.input(net);
  for (const GateId gate : part.gates) copy.gate(gate, {}, 0);
  for (const NetId net : part.observed) copy.output(net, circuit.net_name(net));
  return copy.finish();
}

Circuit changed_copy(const Circuit& circuit, const CircuitChange& change) {
  Copier copy(circuit);
  std::vector<std::uint16_t> delay_class(circuit.gate_count(), 0);
  if (!change.delays.empty()) {
    std::vector<GateDelay> classes{GateDelay{}};
    for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
      const std::uint64_t d = change.delays[gate];
      const GateDelay delay{{d, d, d}, {d, d, d}};
      const auto known = std::find(classes.begin(), classes.end(), delay);
      delay_class[gate] = static_cast<std::uint16_t>(known - classes.begin());
      if (known == classes.end()) classes.push_back(delay);
    }
    copy.builder().set_delays(std::move(classes), TimeUnit::none);
  }
  for (NetId net = 0; net < circuit.input_count(); ++net) copy.input(net);
  WireId added = no_id;
  if (change.adds_gate) added = copy.builder().add_wire(copy.name("added"));
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const bool reads = change.adds_gate && gate == change.reader;
    const bool on = std::find(change.always_on.begin(), change.always_on.end(), gate) != change.always_on.end();
    copy.gate(gate, reads ? std::span<const WireId>(&added, 1) : std::span<const WireId>(), delay_class[gate], on);
  }
  if (change.adds_gate) {
    for (const NetId pin : change.pins) copy.builder().add_pin(copy.wire(pin));
    copy.builder().finish_gate(change.kind, added, copy.name("added"), Place{}, 0);
  }
  std::uint32_t bit = 0;
  for (const NetId net : circuit.outputs()) copy.output(net, circuit.output_bit_name(bit++));
  return copy.finish();
}

}  // namespace settle
