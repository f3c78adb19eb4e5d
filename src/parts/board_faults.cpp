// Which faults a board can have.
//
// A fault at the bench is a change of the wiring: a pin on another net or on none, two nets joined, a chip
// with other gates between its pins. Each is written down as such, and one function turns it into changed
// gates and nets by comparing the wiring with the one intended. So a wire from an output in the hole beside
// it gives the open output, the net without a driver and the clash with the neighbour all at once.
// Gates at rest are part of the network here, since a wire may end at one of their pins.
// Cost: linear in pins and in the parts of the catalogue, quadratic in nets where there are few.
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

#include "settle/board.h"

namespace settle {
namespace {

using FaultKind = Fault::Kind;
using Role = BoardPin::Role;

/// A pin of the whole board.
struct PinRef {
  std::uint32_t chip = 0, pin = 0;  // the pin from 0
  auto operator<=>(const PinRef&) const = default;
};

/// A board wired otherwise than meant.
struct Rewiring {
  std::vector<std::pair<PinRef, std::uint32_t>> moved;              // pins on other nets; no_id: on none
  std::optional<std::pair<std::uint32_t, std::uint32_t>> joined;    // two nets
  std::optional<std::uint32_t> dead_chip;
  std::optional<std::pair<std::uint32_t, const Part*>> other_part;  // of a chip
  std::uint32_t open_reads = no_id;                                 // net that open inputs show; no_id: by family
};

class BoardFaults {
 public:
  BoardFaults(const Circuit& circuit, const Board& board, const Catalogue& catalogue, const FaultLimits& limits)
      : circuit_(circuit), board_(board), catalogue_(catalogue), limits_(limits), most_faults_(limits.faults_of(circuit)), model_(circuit) {}

  FaultModel run() {
    add_net_places(circuit_, model_);
    leave_out_inner_nets();
    lay_out();
    for (std::uint32_t chip = 0; chip < board_.chips.size() && model_.complete; ++chip) {
      faults_of_pins(chip);
      faults_of_chip(chip);
    }
    for (std::uint32_t chip = 0; chip < board_.chips.size() && model_.complete; ++chip) stuck_outputs(chip);
    add_pull_faults(circuit_, model_);
    add_input_faults(circuit_, model_);
    shorts();
    model_.close(most_faults_);
    return std::move(model_);
  }

 private:
  // ---- The board as intended ----

  /// What lies between a gate and its open collector is inside the chip, where no probe comes.
  void leave_out_inner_nets() {
    std::set<std::uint32_t> inner;
    for (const BoardChip& chip : board_.chips) {
      for (std::size_t g = 0; g < chip.gates.size(); ++g) {
        if (chip.gates[g] != chip.outputs[g]) inner.insert(circuit_.visible_net(chip.gates[g]));
      }
    }
    std::erase_if(model_.places, [&](const FaultPlace& place) { return inner.contains(place.net); });
  }

  /// Gates at rest join the network; each chip gets as many gates as any package of its size has.
  void lay_out() {
    FaultNetwork& n = model_.network;
    std::size_t most_gates = 0;
    for (const Part& part : catalogue_.parts()) most_gates = std::max(most_gates, part.gates.size());
    gate_.resize(board_.chips.size());
    net_.resize(board_.chips.size());
    place_.resize(board_.chips.size());
    collector_.resize(board_.chips.size());
    for (std::uint32_t c = 0; c < board_.chips.size(); ++c) {
      const BoardChip& chip = board_.chips[c];
      for (const BoardPin& pin : chip.pins) net_[c].push_back(pin.net);
      for (std::size_t g = 0; g < most_gates; ++g) {
        std::uint32_t gate = g < chip.gates.size() ? chip.gates[g] : no_id;
        if (gate == no_id) {
          gate = n.add_gate(GateKind::buf, {n.unknown()});
          if (g < chip.gates.size()) at_rest(c, g, gate);
        }
        if (chip.floats_high) n.set_floats_high(gate);
        gate_[c].push_back(gate);
        if (chip.type->output == Part::Output::open_collector && g < chip.gates.size()) {
          collector_[c].push_back(chip.outputs[g] != no_id ? chip.outputs[g] : n.add_gate(GateKind::bufif0, {n.zero(), n.net_of(gate)}));
        }
      }
      for (std::uint32_t p = 0; p < chip.pins.size(); ++p) {
        place_[c].push_back(no_id);
        if (!carries_signal({c, p})) continue;
        const std::uint32_t net = net_[c][p];
        // An open pin of a gate in use shows what its family makes of it.
        if (net == no_id || (!is_rail(net) && !is_named(circuit_, net))) continue;
        place_[c][p] = static_cast<std::uint32_t>(model_.places.size());
        model_.places.push_back({pin_text(chip, p + 1), net, false, true});
      }
    }
  }

  void at_rest(std::uint32_t c, std::size_t g, std::uint32_t gate) {
    const BoardChip& chip = board_.chips[c];
    std::vector<std::uint32_t> nets;
    for (const auto pin : chip.type->gates[g].inputs) nets.push_back(net_[c][pin - 1u] == no_id ? model_.network.floating() : net_[c][pin - 1u]);
    model_.network.set_gate(gate, chip.type->kind, std::move(nets));
  }

  bool carries_signal(PinRef pin) const {
    const Role role = board_.chips[pin.chip].pins[pin.pin].role;
    return role == Role::input || role == Role::output;
  }
  bool is_output(PinRef pin) const { return board_.chips[pin.chip].pins[pin.pin].role == Role::output; }
  std::uint32_t net_of(PinRef pin) const { return net_[pin.chip][pin.pin]; }
  bool is_rail(std::uint32_t net) const { return model_.network.is_rail(net); }
  /// On a net that carries a signal?
  bool is_wired(PinRef pin) const { return carries_signal(pin) && net_of(pin) != no_id && !is_rail(net_of(pin)); }
  std::string text(PinRef pin) const { return pin_text(board_.chips[pin.chip], pin.pin + 1); }
  std::string net_name(std::uint32_t net) const {
    if (net == model_.network.zero()) return "ground";
    if (net == model_.network.one()) return "supply";
    return is_named(circuit_, net) ? "net '" + circuit_.net_name(net) + "'" : "nothing";
  }

  /// What drives the output pin of a gate: the gate, or its open collector.
  std::uint32_t driver_of(std::uint32_t c, std::uint32_t g, const Part& part) const {
    const bool has_collector = part.output == Part::Output::open_collector;
    return model_.network.gate_driver(has_collector ? collector_[c][g] : gate_[c][g]);
  }

  // ---- From a rewired board to a fault ----

  std::uint32_t net_after(const Rewiring& r, PinRef pin) const {
    for (const auto& [moved, net] : r.moved) {
      if (moved == pin) return net;
    }
    return net_of(pin);
  }

  const Part& part_after(const Rewiring& r, std::uint32_t chip) const {
    return r.other_part && r.other_part->first == chip ? *r.other_part->second : *board_.chips[chip].type;
  }

  /// The gates whose inputs or outputs the rewiring touches, chip by chip.
  std::set<std::uint32_t> chips_touched(const Rewiring& r) const {
    std::set<std::uint32_t> chips;
    for (const auto& [pin, net] : r.moved) chips.insert(pin.chip);
    if (r.dead_chip) chips.insert(*r.dead_chip);
    if (r.other_part) chips.insert(r.other_part->first);
    return chips;
  }

  Fault fault_of(const Rewiring& r, Fault::Clash clash, std::vector<std::uint32_t>* most_drivers) const {
    const FaultNetwork& n = model_.network;
    Fault fault;
    // Drivers of each net that may have others than before.
    std::vector<std::pair<std::uint32_t, std::vector<std::uint32_t>>> drivers;
    const auto drivers_on = [&](std::uint32_t net) -> std::vector<std::uint32_t>& {
      const auto at = std::find_if(drivers.begin(), drivers.end(), [&](const auto& d) { return d.first == net; });
      if (at != drivers.end()) return at->second;
      return drivers.emplace_back(net, std::vector<std::uint32_t>(n.drivers(net).begin(), n.drivers(net).end())).second;
    };
    for (const std::uint32_t c : chips_touched(r)) {
      const Part& before = *board_.chips[c].type;
      const Part& after = part_after(r, c);
      const bool is_dead = r.dead_chip == c;
      for (std::uint32_t g = 0; g < gate_[c].size(); ++g) {
        const std::uint32_t gate = gate_[c][g];
        if (g >= before.gates.size() && g >= after.gates.size()) continue;
        // The output.
        const std::uint32_t out_before = g < before.gates.size() ? net_[c][before.gates[g].output - 1u] : no_id;
        const std::uint32_t out_after = g < after.gates.size() && !is_dead ? net_after(r, {c, after.gates[g].output - 1u}) : no_id;
        const std::uint32_t driver_before = out_before != no_id ? driver_of(c, g, before) : no_id;
        const std::uint32_t driver_after = out_after != no_id ? driver_of(c, g, after) : no_id;
        if (out_before != out_after || driver_before != driver_after) {
          if (out_before != no_id && !is_rail(out_before)) std::erase(drivers_on(out_before), driver_before);
          if (out_after != no_id && !is_rail(out_after)) drivers_on(out_after).push_back(driver_after);
        }
        if (is_dead && out_before != no_id && !is_rail(out_before)) drivers_on(out_before).push_back(FaultNetwork::drive_unknown);
        // The inputs.
        if (g >= after.gates.size()) continue;
        std::vector<std::uint32_t> nets;
        for (const auto pin : after.gates[g].inputs) {
          const std::uint32_t net = net_after(r, {c, pin - 1u});
          nets.push_back(net != no_id ? net : r.open_reads != no_id && net_of({c, pin - 1u}) != no_id ? r.open_reads : n.floating());
        }
        const FaultNetwork::Gate& own = n.gate(gate);
        if (own.kind != after.kind || own.nets != nets) fault.gates.push_back({gate, after.kind, std::move(nets)});
      }
    }
    if (r.joined) {
      const auto [a, b] = *r.joined;
      if (is_rail(a) || is_rail(b)) {
        const std::uint32_t rail = is_rail(a) ? a : b, other = is_rail(a) ? b : a;
        if (!is_rail(other)) drivers_on(other).assign(n.drivers(rail).begin(), n.drivers(rail).end());
      } else {
        std::vector<std::uint32_t> both = drivers_on(a);
        const std::vector<std::uint32_t> second = drivers_on(b);
        both.insert(both.end(), second.begin(), second.end());
        drivers_on(a) = both;
        drivers_on(b) = std::move(both);
      }
    }
    for (auto& [net, list] : drivers) {
      std::sort(list.begin(), list.end());
      if (std::equal(list.begin(), list.end(), n.drivers(net).begin(), n.drivers(net).end())) continue;
      if (most_drivers != nullptr && list.size() > most_drivers->size()) *most_drivers = list;
      fault.nets.push_back({net, list, clash, false});
    }
    for (const auto& [pin, net] : r.moved) see_at(fault, r, pin, net);
    return fault;
  }

  /// What the pin shows now.
  void see_at(Fault& fault, const Rewiring& r, PinRef pin, std::uint32_t net) const {
    const std::uint32_t place = place_[pin.chip][pin.pin];
    if (place == no_id) return;
    const FaultNetwork& n = model_.network;
    if (net != no_id) {
      fault.seen.push_back({place, {net, false}});
    } else if (is_output(pin)) {
      const BoardChip& chip = board_.chips[pin.chip];
      fault.seen.push_back({place, {driver_of(pin.chip, chip.pins[pin.pin].gate, *chip.type), true}});
    } else {
      fault.seen.push_back({place, {r.open_reads != no_id ? r.open_reads : n.floating(), false}});
    }
  }

  /// Adds the rewiring once for each way in which levels may come out.
  void add(FaultKind kind, const Rewiring& rewiring, const std::string& what, const std::string& remedy, std::vector<std::string> pins,
           std::vector<std::string> names) {
    if (model_.faults.size() >= most_faults_) {
      model_.complete = false;
      return;
    }
    std::vector<std::uint32_t> most_drivers;
    const Fault first = fault_of(rewiring, Fault::Clash::unknown, &most_drivers);
    if (first.gates.empty() && first.nets.empty()) return;  // nothing that could be seen
    const auto clashes = clashes_of(model_.network, most_drivers);
    const bool has_rail = most_drivers.size() == 1;
    for (const Fault::Clash clash : clashes) {
      Fault fault = clash == Fault::Clash::unknown ? first : fault_of(rewiring, clash, nullptr);
      fault.kind = kind;
      fault.what = what;
      if (clashes.size() > 1 && !has_rail) fault.assumed = text_of(clash);
      if (rewiring.open_reads == model_.network.zero()) fault.assumed = "the open input reads as 0";
      if (rewiring.open_reads == model_.network.one()) fault.assumed = "the open input reads as 1";
      if (rewiring.open_reads == model_.network.unknown()) fault.assumed = "the level of the open input is unknown";
      fault.remedy = remedy;
      fault.pins = pins;
      fault.names = names;
      model_.faults.push_back(std::move(fault));
    }
  }

  // ---- Wires ----

  std::vector<std::string> names_at(PinRef pin) const {
    std::vector<std::string> names;
    const BoardPin& p = board_.chips[pin.chip].pins[pin.pin];
    const GateId gate = board_.chips[pin.chip].gates[p.gate];
    if (gate != no_id) names.push_back(circuit_.gate_name(gate));
    if (is_wired(pin)) names.push_back(circuit_.net_name(net_of(pin)));
    return names;
  }

  void faults_of_pins(std::uint32_t c) {
    const BoardChip& chip = board_.chips[c];
    for (std::uint32_t p = 0; p < chip.pins.size(); ++p) {
      const PinRef pin{c, p};
      if (is_used(pin)) missing_wire(pin);
    }
    for (std::uint32_t p = 0; p < chip.pins.size(); ++p) {
      const PinRef pin{c, p};
      if (!is_used(pin)) continue;
      for (const PinRef other : wrong_holes(pin)) {
        wrong_pin(pin, other);
        if (pin < other || !is_used(other)) exchanged(pin, other);
      }
    }
  }

  /// A pin of a gate that does something.
  bool is_used(PinRef pin) const {
    if (!carries_signal(pin) || net_of(pin) == no_id) return false;
    const BoardPin& p = board_.chips[pin.chip].pins[pin.pin];
    const GateId gate = board_.chips[pin.chip].outputs[p.gate];
    return gate != no_id && is_named(circuit_, circuit_.visible_net(gate));
  }

  void missing_wire(PinRef pin) {
    Rewiring r;
    r.moved.emplace_back(pin, no_id);
    const std::string what = fmt::format("no wire at {} ({})", text(pin), net_name(net_of(pin)));
    const std::string remedy = fmt::format("wire {} to {}", text(pin), net_name(net_of(pin)));
    const auto names = names_at(pin);
    const auto add_one = [&] { add(FaultKind::missing_wire, r, what, remedy, {text(pin)}, names); };
    if (is_output(pin)) return add_one();
    const FaultNetwork& n = model_.network;
    for (const std::uint32_t level : {n.unknown(), n.zero(), n.one()}) {
      if (level == n.zero() && board_.chips[pin.chip].floats_high) continue;  // it never reads low
      r.open_reads = level;
      add_one();
    }
  }

  /// Holes that a wire to this pin may end in by mistake: beside it, the same pin of another gate, another pin
  /// of its gate.
  std::vector<PinRef> wrong_holes(PinRef pin) const {
    const BoardChip& chip = board_.chips[pin.chip];
    const std::uint32_t count = static_cast<std::uint32_t>(chip.pins.size()), row = count / 2;
    std::set<std::uint32_t> holes;
    if (pin.pin % row != 0) holes.insert(pin.pin - 1);
    if (pin.pin % row != row - 1) holes.insert(pin.pin + 1);
    const BoardPin& own = chip.pins[pin.pin];
    for (std::uint32_t g = 0; g < chip.type->gates.size(); ++g) {
      const PartGate& gate = chip.type->gates[g];
      if (g == own.gate) {
        for (const auto input : gate.inputs) holes.insert(input - 1u);
        holes.insert(gate.output - 1u);
      } else {
        holes.insert(own.role == Role::output ? gate.output - 1u : gate.inputs[own.index] - 1u);
      }
    }
    holes.erase(pin.pin);
    std::vector<PinRef> result;
    for (const std::uint32_t hole : holes) result.push_back({pin.chip, hole});
    return result;
  }

  void wrong_pin(PinRef pin, PinRef hole) {
    const std::uint32_t net = net_of(pin), other = net_of(hole);
    if (net == other || (is_rail(net) && other != no_id && is_rail(other))) return;
    Rewiring r;
    r.moved.emplace_back(pin, no_id);
    const Role role = board_.chips[hole.chip].pins[hole.pin].role;
    if (role == Role::supply || role == Role::ground || role == Role::none) {
      if (other == no_id) return;  // as if the wire were missing
      if (!is_rail(net)) r.joined = std::pair(net, other);
    } else if (other == no_id) {
      if (!is_output(hole) && !is_output(pin)) return;  // as if the wire were missing
      r.moved.emplace_back(hole, net);
    } else if (is_output(pin) && is_rail(net)) {
      return;
    } else {
      r.joined = std::pair(net, other);
    }
    auto names = names_at(pin);
    for (auto& name : names_at(hole)) names.push_back(std::move(name));
    add(FaultKind::wrong_pin, r, fmt::format("the wire of {} ({}) is in {} instead", text(pin), net_name(net), text(hole)),
        fmt::format("move that wire from {} to {}", text(hole), text(pin)), {text(pin), text(hole)}, names);
  }

  void exchanged(PinRef a, PinRef b) {
    if (!carries_signal(b) || net_of(a) == net_of(b) || net_of(b) == no_id) return;
    const BoardPin &pa = board_.chips[a.chip].pins[a.pin], &pb = board_.chips[b.chip].pins[b.pin];
    const GateKind kind = board_.chips[a.chip].type->kind;
    // Inputs of one gate do the same, but for three-state gates.
    if (pa.gate == pb.gate && pa.role == Role::input && pb.role == Role::input && is_push_pull(kind)) return;
    Rewiring r;
    r.moved.emplace_back(a, net_of(b));
    r.moved.emplace_back(b, net_of(a));
    auto names = names_at(a);
    for (auto& name : names_at(b)) names.push_back(std::move(name));
    add(FaultKind::exchanged_wires, r,
        fmt::format("the wires of {} ({}) and {} ({}) are exchanged", text(a), net_name(net_of(a)), text(b), net_name(net_of(b))),
        fmt::format("exchange the wires at {} and {}", text(a), text(b)), {text(a), text(b)}, names);
  }

  // ---- Chips ----

  void faults_of_chip(std::uint32_t c) {
    const BoardChip& chip = board_.chips[c];
    Rewiring dead;
    dead.dead_chip = c;
    add(FaultKind::no_power, dead, fmt::format("{} ({}) has no power", chip.name, chip.part),
        fmt::format("wire pin {} of {} to the supply and pin {} to ground", chip.type->supply, chip.name, chip.type->ground), {chip.name}, {});
    for (const Part& part : catalogue_.parts()) {
      if (part.number == chip.type->number || part.pin_count != chip.type->pin_count || part.supply != chip.type->supply ||
          part.ground != chip.type->ground || part.output == Part::Output::open_collector) {
        continue;
      }
      Rewiring r;
      r.other_part = std::pair(c, &part);
      const auto own = part_number_from(chip.part);
      const std::string number = part_number_text(part.number, own && part.is_made_in(own->family) ? own->family : std::string());
      add(FaultKind::wrong_part, r, fmt::format("{} is a {} instead of a {}", chip.name, number, chip.part),
          fmt::format("read what is printed on {}, and put a {} in its place", chip.name, chip.part), {chip.name}, {});
    }
  }

  void stuck_outputs(std::uint32_t c) {
    const BoardChip& chip = board_.chips[c];
    for (std::uint32_t p = 0; p < chip.pins.size(); ++p) {
      const PinRef pin{c, p};
      if (!is_used(pin) || !is_output(pin)) continue;
      for (const std::uint32_t driver : {FaultNetwork::drive_zero, FaultNetwork::drive_one}) {
        if (model_.faults.size() >= most_faults_) model_.complete = false;
        const char level = driver == FaultNetwork::drive_one ? '1' : '0';
        Fault fault;
        fault.kind = FaultKind::stuck;
        fault.nets.push_back({net_of(pin), {driver}});
        fault.what = fmt::format("the output at {} ({}) stays at {}", text(pin), net_name(net_of(pin)), level);
        fault.remedy = fmt::format("look for a short of {} to the {}; else replace {}", net_name(net_of(pin)),
                                   level == '1' ? "supply" : "ground", chip.name);
        fault.pins = {text(pin)};
        fault.names = names_at(pin);
        model_.faults.push_back(std::move(fault));
      }
    }
  }

  // ---- Nets ----

  void shorts() {
    std::vector<std::uint32_t> nets;
    for (const FaultPlace& place : model_.places) nets.push_back(place.net);
    std::sort(nets.begin(), nets.end());
    nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
    std::erase_if(nets, [&](std::uint32_t net) { return is_rail(net); });
    std::set<std::pair<std::uint32_t, std::uint32_t>> known;
    const auto add_pair = [&](std::uint32_t a, std::uint32_t b, std::vector<std::string> pins) {
      if (a == b || a == no_id || b == no_id || (is_rail(a) && is_rail(b))) return;
      if (!known.emplace(std::min(a, b), std::max(a, b)).second) return;
      if (model_.faults.size() >= most_faults_) {
        model_.complete = false;
        return;
      }
      const std::size_t first = model_.faults.size();
      std::vector<std::string> names;
      for (const std::uint32_t net : {a, b}) {
        if (!is_rail(net)) names.push_back(circuit_.net_name(net));
      }
      std::string where;
      if (!pins.empty()) where = fmt::format(", for example between {} and {}", pins[0], pins[1]);
      add_short(a, b, fmt::format("{} and {} are joined{}", net_name(a), net_name(b), where), names, model_);
      for (std::size_t i = first; i < model_.faults.size(); ++i) model_.faults[i].pins = pins;
    };
    for (std::uint32_t c = 0; c < board_.chips.size(); ++c) {
      const auto count = static_cast<std::uint32_t>(net_[c].size());
      for (std::uint32_t p = 0; p + 1 < count; ++p) {
        if (p + 1 == count / 2) continue;  // the ends of the rows are far apart
        const PinRef a{c, p}, b{c, p + 1};
        const auto joinable = [&](PinRef pin) {
          const std::uint32_t net = net_of(pin);
          return net != no_id && (is_rail(net) || is_named(circuit_, net));
        };
        if (joinable(a) && joinable(b)) add_pair(net_of(a), net_of(b), {text(a), text(b)});
      }
    }
    if (nets.size() > limits_.short_nets) return;
    for (std::size_t i = 0; i < nets.size(); ++i) {
      for (std::size_t j = 0; j < i; ++j) add_pair(nets[j], nets[i], {});
    }
  }

  const Circuit& circuit_;
  const Board& board_;
  const Catalogue& catalogue_;
  const FaultLimits& limits_;
  std::uint64_t most_faults_;
  FaultModel model_;
  std::vector<std::vector<std::uint32_t>> gate_;   // by chip and gate of the package: gate of the network
  std::vector<std::vector<std::uint32_t>> collector_;  // the same, of chips with open-collector outputs
  std::vector<std::vector<std::uint32_t>> net_;    // by chip and pin
  std::vector<std::vector<std::uint32_t>> place_;  // by chip and pin, or no_id
};

}  // namespace

FaultModel board_faults(const Circuit& circuit, const Board& board, const Catalogue& catalogue, const FaultLimits& limits) {
  return BoardFaults(circuit, board, catalogue, limits).run();
}

}  // namespace settle
