#include "sim/signals.h"

#include <algorithm>

#include <fmt/format.h>

#include "settle/pattern.h"

namespace settle {
namespace {

void add_port(const Port& port, SignalGroup::Role role, const std::vector<NetId>& nets, SignalPlan& plan) {
  SignalGroup group;
  group.name = port.name;
  group.msb = port.msb;
  group.lsb = port.lsb;
  group.is_bus = port.is_bus;
  group.role = role;
  for (std::uint32_t i = 0; i < port.width; ++i) {
    const std::uint32_t bit = port.msb >= port.lsb ? port.msb - i : port.msb + i;
    group.bits.push_back(static_cast<std::uint32_t>(plan.nets.size()));
    plan.nets.push_back(nets[port.first + i]);
    plan.names.push_back(port.is_bus ? fmt::format("{}[{}]", port.name, bit) : port.name);
  }
  plan.groups.push_back(std::move(group));
}

bool is_shown(const Circuit& circuit, NetId net, const std::vector<bool>& taken) {
  if (taken[net]) return false;
  // The private output of a gate on a shared wire is no net of the netlist.
  return !circuit.is_gate_output(net) || circuit.shared_wire(circuit.gate_of(net)) == no_id;
}

}  // namespace

SignalPlan plan_signals(const Circuit& circuit, const RunOptions& options) {
  SignalPlan plan;
  std::vector<NetId> inputs(circuit.input_count());
  for (NetId net = 0; net < circuit.input_count(); ++net) inputs[net] = net;
  for (const Port& port : circuit.input_ports()) add_port(port, SignalGroup::Role::input, inputs, plan);
  for (const Port& port : circuit.output_ports()) add_port(port, SignalGroup::Role::output, circuit.outputs(), plan);
  if (!options.record_all && options.patterns.empty()) return plan;
  std::vector<bool> taken(circuit.net_count(), false);
  for (const NetId net : plan.nets) taken[net] = true;
  for (NetId net = circuit.input_count(); net < circuit.const_zero(); ++net) {
    if (!is_shown(circuit, net, taken)) continue;
    std::string name = circuit.net_name(net);
    const bool wanted = options.record_all || std::any_of(options.patterns.begin(), options.patterns.end(),
                                                          [&](const std::string& p) { return matches(p, name); });
    if (!wanted) continue;
    SignalGroup group;
    group.name = name;
    group.bits.push_back(static_cast<std::uint32_t>(plan.nets.size()));
    plan.groups.push_back(std::move(group));
    plan.nets.push_back(net);
    plan.names.push_back(std::move(name));
  }
  return plan;
}

bool check_patterns(const SignalPlan& plan, const RunOptions& options, Diagnostics& diagnostics) {
  bool good = true;
  for (const std::string& pattern : options.patterns) {
    const auto fits = [&](const std::string& name) { return matches(pattern, name); };
    const bool found =
        std::any_of(plan.names.begin(), plan.names.end(), fits) ||
        std::any_of(plan.groups.begin(), plan.groups.end(), [&](const SignalGroup& group) {
          return fits(group.name) ||
                 (group.is_bus && fits(fmt::format("{}[{}:{}]", group.name, group.msb, group.lsb)));
        });
    if (found) continue;
    std::vector<std::string_view> names(plan.names.begin(), plan.names.end());
    for (const SignalGroup& group : plan.groups) names.push_back(group.name);
    const std::string_view near = nearest_name(pattern, names);
    diagnostics.error({}, fmt::format("no net matches '{}'", pattern),
                      near.empty() ? "'*' stands for any characters, '?' for one" : fmt::format("did you mean '{}'?", near));
    good = false;
  }
  return good;
}

Waveform SignalPlan::waveform(const Circuit& circuit, Recorder& recorder, Time end) const {
  Waveform wave;
  wave.time_unit = circuit.time_unit();
  wave.end = end;
  wave.groups = groups;
  wave.signals.reserve(nets.size());
  for (std::size_t i = 0; i < nets.size(); ++i) {
    wave.signals.push_back({names[i], nets[i], recorder.take(nets[i])});
    std::vector<Change>& changes = wave.signals.back().changes;
    if (!changes.empty()) continue;
    // Taken already: two pins on one net.
    const auto same = std::find_if(wave.signals.begin(), wave.signals.end(), [&](const Signal& s) { return s.net == nets[i]; });
    changes = std::vector<Change>(same->changes);
  }
  return wave;
}

Value Signal::at(Time time) const {
  const auto after = std::upper_bound(changes.begin(), changes.end(), time,
                                      [](Time t, const Change& c) { return t < c.time; });
  return after == changes.begin() ? Value::x : (after - 1)->value;
}

}  // namespace settle
