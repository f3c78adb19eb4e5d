// Which faults there are without a word about chips: one gate, one pin, one net or one button at a time.
// Cost: linear in pins, and quadratic in nets where there are few.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "settle/fault.h"

namespace settle {
namespace {

using FaultKind = Fault::Kind;

class GateFaults {
 public:
  GateFaults(const Circuit& circuit, const FaultLimits& limits) : circuit_(circuit), limits_(limits), most_faults_(limits.faults_of(circuit)), model_(circuit) {}

  FaultModel run() {
    add_net_places(circuit_, model_);
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      pin_place_.push_back(static_cast<std::uint32_t>(model_.places.size()));
      const auto fan_in = circuit_.fan_in(gate);
      for (std::size_t pin = 0; pin < fan_in.size(); ++pin) {
        model_.places.push_back({fmt::format("input {} of {}", pin + 1, circuit_.gate_name(gate)), fan_in[pin], false, true});
      }
    }
    for (GateId gate = 0; gate < circuit_.gate_count() && has_room(); ++gate) {
      if (is_pull(circuit_.kind(gate))) continue;
      open_inputs(gate);
      stuck_output(gate);
      other_kinds(gate);
    }
    add_pull_faults(circuit_, model_);
    add_input_faults(circuit_, model_);
    shorts();
    model_.close(most_faults_);
    return std::move(model_);
  }

 private:
  bool has_room() {
    if (model_.faults.size() < most_faults_) return true;
    model_.complete = false;
    return false;
  }

  void open_inputs(GateId gate) {
    const auto fan_in = circuit_.fan_in(gate);
    const FaultNetwork& n = model_.network;
    const std::array<std::pair<std::uint32_t, std::string_view>, 3> levels = {
        {{n.floating(), "its level is unknown"}, {n.zero(), "it reads as 0"}, {n.one(), "it reads as 1"}}};
    for (std::uint32_t pin = 0; pin < fan_in.size(); ++pin) {
      for (const auto& [net, assumed] : levels) {
        Fault fault;
        fault.kind = FaultKind::missing_wire;
        std::vector<std::uint32_t> nets(fan_in.begin(), fan_in.end());
        nets[pin] = net;
        fault.gates.push_back({gate, circuit_.kind(gate), std::move(nets)});
        fault.seen.push_back({pin_place_[gate] + pin, {net, false}});
        fault.what = fmt::format("no wire at input {} of {} (net '{}')", pin + 1, circuit_.gate_name(gate), circuit_.net_name(fan_in[pin]));
        fault.assumed = assumed;
        fault.remedy = fmt::format("wire input {} of {} to '{}'", pin + 1, circuit_.gate_name(gate), circuit_.net_name(fan_in[pin]));
        fault.names = {circuit_.gate_name(gate), circuit_.net_name(fan_in[pin])};
        model_.faults.push_back(std::move(fault));
      }
    }
  }

  void stuck_output(GateId gate) {
    for (const std::uint32_t driver : {FaultNetwork::drive_zero, FaultNetwork::drive_one}) {
      Fault fault;
      fault.kind = FaultKind::stuck;
      const NetId net = circuit_.visible_net(gate);
      fault.nets.push_back({net, {driver}});
      const char level = driver == FaultNetwork::drive_one ? '1' : '0';
      fault.what = fmt::format("output of {} stays at {} (net '{}')", circuit_.gate_name(gate), level, circuit_.net_name(net));
      fault.remedy = fmt::format("look for a short of '{}' to the {}; else replace the gate {}", circuit_.net_name(net),
                                 level == '1' ? "supply" : "ground", circuit_.gate_name(gate));
      fault.names = {circuit_.gate_name(gate), circuit_.net_name(net)};
      model_.faults.push_back(std::move(fault));
    }
  }

  void other_kinds(GateId gate) {
    const GateKind own = circuit_.kind(gate);
    const auto fan_in = circuit_.fan_in(gate);
    const auto add = [&](GateKind kind) {
      if (kind == own) return;
      Fault fault;
      fault.kind = FaultKind::wrong_part;
      fault.gates.push_back({gate, kind, {fan_in.begin(), fan_in.end()}});
      fault.what = fmt::format("{} is a '{}' gate instead of '{}'", circuit_.gate_name(gate), name_of(kind), name_of(own));
      fault.remedy = fmt::format("replace {} by a '{}' gate", circuit_.gate_name(gate), name_of(own));
      fault.names = {circuit_.gate_name(gate)};
      model_.faults.push_back(std::move(fault));
    };
    if (own == GateKind::buf || own == GateKind::not_) {
      add(GateKind::buf);
      add(GateKind::not_);
    } else if (is_push_pull(own)) {
      for (const GateKind kind : {GateKind::and_, GateKind::nand, GateKind::or_, GateKind::nor, GateKind::xor_, GateKind::xnor}) add(kind);
    }
  }

  /// All pairs of nets where there are few, else those that meet at a gate.
  void shorts() {
    std::set<std::pair<std::uint32_t, std::uint32_t>> pairs;
    std::vector<std::uint32_t> nets;
    for (const FaultPlace& place : model_.places) {
      if (!place.is_pin) nets.push_back(place.net);
    }
    std::sort(nets.begin(), nets.end());
    nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
    const auto add = [&](std::uint32_t a, std::uint32_t b) {
      if (a != b && !circuit_.is_constant(a) && !circuit_.is_constant(b)) pairs.emplace(std::min(a, b), std::max(a, b));
    };
    if (nets.size() <= limits_.short_nets) {
      for (std::size_t i = 0; i < nets.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) add(nets[j], nets[i]);
      }
    } else {
      for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
        for (const NetId a : circuit_.fan_in(gate)) {
          add(a, circuit_.visible_net(gate));
          for (const NetId b : circuit_.fan_in(gate)) add(a, b);
        }
      }
    }
    for (const auto& [a, b] : pairs) {
      if (!has_room()) return;
      const std::string first = circuit_.net_name(a), second = circuit_.net_name(b);
      add_short(a, b, fmt::format("nets '{}' and '{}' are joined", first, second), {first, second}, model_);
    }
  }

  const Circuit& circuit_;
  const FaultLimits& limits_;
  std::uint64_t most_faults_;
  FaultModel model_;
  std::vector<std::uint32_t> pin_place_;  // by gate: place of its first input
};

}  // namespace

std::string_view name_of(Fault::Kind kind) {
  constexpr std::array<std::string_view, 10> names = {"none",     "missing-wire", "wrong-pin", "exchanged-wires", "stuck",
                                                      "shorted",  "wrong-part",   "no-power",  "inverted-input",  "exchanged-inputs"};
  return names[static_cast<std::size_t>(kind)];
}

std::string_view text_of(Fault::Clash clash) {
  switch (clash) {
    case Fault::Clash::low_wins: return "where drivers disagree, the low level wins";
    case Fault::Clash::high_wins: return "where drivers disagree, the high level wins";
    case Fault::Clash::unknown: break;
  }
  return "where drivers disagree, the level is unknown";
}

std::vector<Fault::Clash> clashes_of(const FaultNetwork&, std::span<const std::uint32_t> drivers) {
  if (drivers.size() < 2) return {Fault::Clash::unknown};
  return {Fault::Clash::unknown, Fault::Clash::low_wins, Fault::Clash::high_wins};
}

void add_net_places(const Circuit& circuit, FaultModel& model) {
  std::vector<bool> has_place(circuit.net_count(), false);
  for (std::uint32_t bit = 0; bit < circuit.outputs().size(); ++bit) {
    const NetId net = circuit.outputs()[bit];
    if (circuit.is_constant(net)) continue;
    model.places.push_back({circuit.output_bit_name(bit), net, true, false});
    has_place[net] = true;
  }
  for (NetId net = 0; net < circuit.const_zero(); ++net) {
    if (has_place[net]) continue;
    // Nets without a name of their own lead nowhere.
    if (circuit.names().nets[net].name != no_symbol) model.places.push_back({circuit.net_name(net), net, false, false});
  }
}

void add_pull_faults(const Circuit& circuit, FaultModel& model) {
  const FaultNetwork& network = model.network;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    if (!is_pull(circuit.kind(gate))) continue;
    const NetId net = circuit.visible_net(gate);
    const auto drivers = network.drivers(net);
    Fault fault;
    fault.kind = FaultKind::missing_wire;
    fault.nets.push_back({net, {drivers.begin(), drivers.end()}});
    std::erase(fault.nets[0].drivers, network.gate_driver(gate));
    const char* supply = circuit.kind(gate) == GateKind::pullup ? "supply" : "ground";
    fault.what = fmt::format("no resistor from net '{}' to the {} (gate {})", circuit.net_name(net), supply, circuit.gate_name(gate));
    fault.remedy = "put that resistor in, and look whether both of its ends are in the right holes";
    fault.names = {circuit.gate_name(gate), circuit.net_name(net)};
    model.faults.push_back(std::move(fault));
  }
}

void add_input_faults(const Circuit& circuit, FaultModel& model) {
  const FaultNetwork& network = model.network;
  for (std::uint32_t i = 0; i < circuit.input_count(); ++i) {
    const std::string name = circuit.net_name(i);
    Fault inverted;
    inverted.kind = FaultKind::inverted_input;
    inverted.nets.push_back({i, {network.input_driver(i)}, Fault::Clash::unknown, true});
    inverted.what = fmt::format("input '{}' is inverted: its button is wired the other way round", name);
    inverted.remedy = fmt::format("exchange button and pull resistor of '{}'", name);
    inverted.names = {name};
    model.faults.push_back(std::move(inverted));
    for (const std::uint32_t driver : {FaultNetwork::drive_zero, FaultNetwork::drive_one}) {
      Fault stuck;
      stuck.kind = FaultKind::stuck;
      stuck.nets.push_back({i, {driver}});
      stuck.what = fmt::format("input '{}' stays at {}", name, driver == FaultNetwork::drive_one ? 1 : 0);
      stuck.remedy = fmt::format("look at the button of '{}', its wire and its pull resistor", name);
      stuck.names = {name};
      model.faults.push_back(std::move(stuck));
    }
    // Of many buttons only neighbours are mixed up.
    for (std::uint32_t j = circuit.input_count() > 64 && i > 0 ? i - 1 : 0; j < i; ++j) {
      Fault exchanged;
      exchanged.kind = FaultKind::exchanged_inputs;
      exchanged.nets.push_back({i, {network.input_driver(j)}});
      exchanged.nets.push_back({j, {network.input_driver(i)}});
      exchanged.what = fmt::format("inputs '{}' and '{}' are exchanged", circuit.net_name(j), name);
      exchanged.remedy = fmt::format("exchange the wires of the buttons '{}' and '{}'", circuit.net_name(j), name);
      exchanged.names = {circuit.net_name(j), name};
      model.faults.push_back(std::move(exchanged));
    }
  }
}

void add_short(std::uint32_t a, std::uint32_t b, const std::string& what, std::vector<std::string> names, FaultModel& model) {
  const FaultNetwork& network = model.network;
  std::vector<std::uint32_t> drivers(network.drivers(a).begin(), network.drivers(a).end());
  drivers.insert(drivers.end(), network.drivers(b).begin(), network.drivers(b).end());
  // A supply is stronger than any gate.
  if (network.is_rail(a)) drivers.assign(network.drivers(a).begin(), network.drivers(a).end());
  if (network.is_rail(b)) drivers.assign(network.drivers(b).begin(), network.drivers(b).end());
  const auto clashes = clashes_of(network, drivers);
  for (const Fault::Clash clash : clashes) {
    Fault fault;
    fault.kind = FaultKind::shorted;
    if (!network.is_rail(a)) fault.nets.push_back({a, drivers, clash});
    if (!network.is_rail(b)) fault.nets.push_back({b, drivers, clash});
    fault.what = what;
    if (clashes.size() > 1) fault.assumed = text_of(clash);
    fault.names = names;
    fault.remedy = "look for wires in neighbouring holes, and for bare ends that touch";
    model.faults.push_back(std::move(fault));
  }
}

FaultModel gate_faults(const Circuit& circuit, const FaultLimits& limits) { return GateFaults(circuit, limits).run(); }

}  // namespace settle
