#include "report/state_names.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle::report {

std::vector<NetId> node_nets(const Circuit& circuit) {
  std::vector<NetId> nets;
  std::vector<bool> listed(circuit.net_count(), false);
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const NetId net = circuit.visible_net(gate);
    if (!listed[net]) nets.push_back(net);
    listed[net] = true;
  }
  return nets;
}

std::vector<NetId> input_nets(const Circuit& circuit) {
  std::vector<NetId> nets(circuit.input_count());
  for (NetId net = 0; net < nets.size(); ++net) nets[net] = net;
  return nets;
}

std::vector<NetId> shown_outputs(const Circuit& circuit) {
  std::vector<NetId> nets;
  for (const NetId net : circuit.outputs()) {
    if (!circuit.is_input(net) && std::find(nets.begin(), nets.end(), net) == nets.end()) nets.push_back(net);
  }
  return nets;
}

std::string short_names(const Circuit& circuit, std::span<const NetId> nets) {
  std::string text;
  const auto add = [&text](const std::string& name) { text += (text.empty() ? "" : " ") + name; };
  for (std::size_t i = 0; i < nets.size();) {
    const Port* whole = nullptr;
    const auto try_ports = [&](const std::vector<Port>& ports, const auto& net_of) {
      for (const Port& port : ports) {
        bool same = port.is_bus && i + port.width <= nets.size();
        for (std::uint32_t b = 0; same && b < port.width; ++b) same = net_of(port.first + b) == nets[i + b];
        if (same) whole = &port;
      }
    };
    try_ports(circuit.input_ports(), [](std::uint32_t bit) { return NetId{bit}; });
    if (whole == nullptr) try_ports(circuit.output_ports(), [&](std::uint32_t bit) { return circuit.outputs()[bit]; });
    add(whole == nullptr ? circuit.net_name(nets[i]) : fmt::format("{}[{}:{}]", whole->name, whole->msb, whole->lsb));
    i += whole == nullptr ? 1 : whole->width;
  }
  return text;
}

std::string bits_of(const StateSpace& space, const Circuit& circuit, std::uint32_t state,
                    std::span<const NetId> nets) {
  std::string text;
  for (const NetId net : nets) text += to_char(space.value(circuit, state, net));
  return text;
}

std::string assignments(const StateSpace& space, const Circuit& circuit, std::uint32_t state,
                        std::span<const NetId> nets) {
  std::string text;
  for (const NetId net : nets) {
    if (!text.empty()) text += ' ';
    text += fmt::format("{}={}", circuit.net_name(net), to_char(space.value(circuit, state, net)));
  }
  return text;
}

std::string input_assignments(const StateSpace& space, const Circuit& circuit, VectorIndex inputs, VectorIndex which) {
  std::string text;
  for (NetId net = 0; net < space.input_bits; ++net) {
    const std::uint32_t shift = space.input_bits - 1 - net;
    if ((which >> shift & 1u) == 0) continue;
    if (!text.empty()) text += ' ';
    text += fmt::format("{}={}", circuit.net_name(net), inputs >> shift & 1u);
  }
  return text;
}

std::vector<NetId> telling_nets(const StateSpace& space, const Circuit& circuit, std::span<const std::uint32_t> states,
                                std::size_t most) {
  std::vector<NetId> all = shown_outputs(circuit);
  const std::size_t outputs = all.size();
  for (const NetId net : node_nets(circuit)) {
    if (std::find(all.begin(), all.begin() + outputs, net) == all.begin() + outputs) all.push_back(net);
  }
  std::vector<NetId> nets;
  const auto distinct = [&] {
    std::vector<std::string> texts;
    for (const std::uint32_t state : states) texts.push_back(bits_of(space, circuit, state, nets));
    std::sort(texts.begin(), texts.end());
    return std::adjacent_find(texts.begin(), texts.end()) == texts.end();
  };
  for (std::size_t i = 0; i < all.size() && nets.size() < most; ++i) {
    if (i >= outputs && distinct()) break;
    const bool differs = std::any_of(states.begin(), states.end(), [&](std::uint32_t s) {
      return space.value(circuit, s, all[i]) != space.value(circuit, states[0], all[i]);
    });
    if (differs) nets.push_back(all[i]);
  }
  if (nets.empty() && !all.empty()) nets.push_back(all[0]);
  return nets;
}

}  // namespace settle::report
