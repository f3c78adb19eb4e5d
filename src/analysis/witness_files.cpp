// Netlist and stimulus texts that replay an ending.
#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "settle/netlist.h"
#include "settle/witness.h"

namespace settle {
namespace {

// Flat names cut down to identifiers, each used once.
class FlatNames {
 public:
  std::string identifier(std::string_view name) {
    std::string text;
    for (const char c : name) {
      const bool good = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_';
      if (good || (!text.empty() && text.back() != '_')) text += good ? c : '_';
    }
    while (text.size() > 1 && text.back() == '_') text.pop_back();
    if (text.empty() || (text[0] >= '0' && text[0] <= '9') || text == "_") text.insert(0, "n");
    if (is_reserved(text)) text += '_';
    std::string unique = text;
    for (int i = 2; !used_.insert(unique).second; ++i) unique = fmt::format("{}_{}", text, i);
    return unique;
  }
  void reserve(const std::string& name) { used_.insert(name); }

 private:
  std::unordered_set<std::string> used_;
};

std::string port_text(const Port& port) {
  return port.is_bus ? fmt::format("{}[{}:{}]", port.name, port.msb, port.lsb) : port.name;
}

// Names of all nets in the flat cell: pins as they are, everything else flattened.
class CellText {
 public:
  explicit CellText(const Circuit& circuit) : circuit_(circuit), names_(circuit.net_count()) {
    FlatNames flat;
    for (const Port& port : circuit.input_ports()) flat.reserve(port.name);
    for (const Port& port : circuit.output_ports()) flat.reserve(port.name);
    for (NetId net = 0; net < circuit.input_count(); ++net) names_[net] = circuit.net_name(net);
    for (const Port& port : circuit.output_ports()) {
      // A pin whose nets have other names already is seen under those.
      bool own = true;
      for (std::uint32_t b = port.first; b < port.first + port.width; ++b) {
        const NetId net = circuit.outputs()[b];
        own = own && names_[net].empty() && !circuit.is_input(net) && !circuit.is_constant(net) &&
              circuit.net_name(net) == circuit.output_bit_name(b);
      }
      if (!own) continue;
      shown_.push_back(port_text(port));
      for (std::uint32_t b = port.first; b < port.first + port.width; ++b) {
        names_[circuit.outputs()[b]] = circuit.output_bit_name(b);
      }
    }
    names_[circuit.const_zero()] = "0";
    names_[circuit.const_one()] = "1";
    for (NetId net = circuit.input_count(); net < circuit.const_zero(); ++net) {
      const bool is_private = circuit.is_gate_output(net) && circuit.shared_wire(circuit.gate_of(net)) != no_id;
      if (names_[net].empty() && !is_private) names_[net] = flat.identifier(circuit.net_name(net));
    }
  }

  const std::string& net(NetId net) const { return names_[net]; }

  std::string text(const std::string& cell, const std::vector<Ending::Delay>& delays) const {
    std::string out = fmt::format("cell {}\n", cell);
    if (!circuit_.input_ports().empty()) {
      out += "  in ";
      for (const Port& port : circuit_.input_ports()) out += " " + port_text(port);
      out += '\n';
    }
    if (!shown_.empty()) {
      out += "  out";
      for (const std::string& port : shown_) out += " " + port;
      out += '\n';
    }
    FlatNames flat;
    auto delay = delays.begin();
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      out += fmt::format("  {} {}:", name_of(circuit_.kind(gate)), flat.identifier(circuit_.gate_name(gate)));
      for (const NetId pin : circuit_.fan_in(gate)) out += " " + names_[pin];
      out += " -> " + names_[circuit_.visible_net(gate)];
      if (delay != delays.end() && delay->gate == gate) {
        out += delay->rise == delay->fall ? fmt::format(" {{delay={}}}", delay->rise)
                                          : fmt::format(" {{rise={} fall={}}}", delay->rise, delay->fall);
        ++delay;
      }
      out += '\n';
    }
    return out + "end\n";
  }

 private:
  const Circuit& circuit_;
  std::vector<std::string> names_;   // by net
  std::vector<std::string> shown_;   // output pins
};

class Replay {
 public:
  Replay(const Circuit& circuit, const StateSpace& space) : circuit_(circuit), space_(space), cell_(circuit) {}

  std::string stimulus(const Transition& step, const Ending& ending, const std::string& netlist,
                       const std::string& cell) const {
    std::string out = fmt::format("# {}: from a stable state, one step, {}.\n", circuit_.cell_name(),
                                  ending.state == no_state ? "and it never rests" : "and where it ends");
    out += fmt::format("netlist \"{}\"\ncell {}\n", netlist, cell);
    if (space_.gates != 0) out += "power-up" + gates(step.from) + "\n";
    out += '\n';
    out += set_inputs(space_.stable[step.from].inputs, ~VectorIndex{0});
    out += "settle\n";
    if (space_.gates != 0) out += "expect" + gates(step.from) + "\n";
    out += "wait 4\n\n";
    out += set_inputs(step.inputs, step.inputs ^ space_.stable[step.from].inputs);
    if (ending.state == no_state) {
      const Time last = ending.order.empty() ? 0 : ending.order.back().time;
      out += fmt::format("expect warning {}\nwait {}\n", step.to.empty() ? "oscillation" : "indeterminate",
                         last + 3 * ending.period + 4);
    } else {
      out += "settle\nexpect" + gates(ending.state) + "\nwait 4\n";
    }
    return out;
  }

  std::string cell_text(const std::string& cell, const std::vector<Ending::Delay>& delays) const {
    return cell_.text(cell, delays);
  }

 private:
  std::string set_inputs(VectorIndex inputs, VectorIndex which) const {
    std::string out;
    for (NetId net = 0; net < space_.input_bits; ++net) {
      const std::uint32_t shift = space_.input_bits - 1 - net;
      if ((which >> shift & 1u) != 0) out += fmt::format(" {}={}", cell_.net(net), inputs >> shift & 1u);
    }
    return out.empty() ? out : "set" + out + "\n";
  }
  std::string gates(std::uint32_t state) const {
    std::string out;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (circuit_.shared_wire(gate) != no_id) continue;
      out += fmt::format(" {}={}", cell_.net(circuit_.output_of(gate)), to_char(space_.nodes_of(state)[gate]));
    }
    return out;
  }

  const Circuit& circuit_;
  const StateSpace& space_;
  CellText cell_;
};

}  // namespace

std::string witness_netlist(const Circuit& circuit, const std::string& cell, const std::vector<Ending::Delay>& delays) {
  return CellText(circuit).text(cell, delays);
}

namespace {

// A stimulus can start gates with outputs of their own at chosen values, and all else follows from those;
// but not shared wires whose drivers hang on these very wires.
bool start_can_be_chosen(const Circuit& circuit) {
  std::vector<bool> known(circuit.net_count(), true);
  for (NetId wire = circuit.first_resolved(); wire < circuit.first_undriven(); ++wire) known[wire] = false;
  const auto follows = [&](NetId wire) {
    for (const NetId driver : circuit.drivers_of(wire)) {
      for (const NetId pin : circuit.fan_in(circuit.gate_of(driver))) {
        if (!known[pin]) return false;
      }
    }
    return true;
  };
  std::uint32_t left = circuit.resolved_count();
  for (bool again = true; again && left != 0;) {
    again = false;
    for (NetId wire = circuit.first_resolved(); wire < circuit.first_undriven(); ++wire) {
      if (known[wire] || !follows(wire)) continue;
      known[wire] = again = true;
      --left;
    }
  }
  return left == 0;
}

}  // namespace

std::vector<ReplayFile> replay_files(const Circuit& circuit, const StateSpace& space,
                                     const std::vector<StepWitness>& witnesses, const std::string& name) {
  const Replay replay(circuit, space);
  std::vector<ReplayFile> files(1);
  files[0].name = name + ".gates";
  files[0].text = fmt::format("# {} with gate delays that decide its races: one cell for each ending.\n",
                              circuit.cell_name());
  const std::size_t folder = name.find_last_of('/') + 1;  // 0 when there is none
  std::size_t number = 0;
  if (!start_can_be_chosen(circuit)) return files;
  for (const StepWitness& witness : witnesses) {
    for (const Ending& ending : witness.endings) {
      if (!ending.has_delays) continue;
      const std::string cell = fmt::format("ending_{}", ++number);
      files[0].text += "\n" + replay.cell_text(cell, ending.delays);
      files.push_back({fmt::format("{}-{}.stim", name, number),
                       replay.stimulus(space.transitions[witness.transition], ending, files[0].name.substr(folder), cell)});
    }
  }
  return files;
}

}  // namespace settle
