// Runs put together by hand, so that the report layer is tested by itself.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/circuit_builder.h"
#include "settle/run.h"

namespace settle::test {

/// A net whose value at tick i is the character i of `values` (0 1 x z).
inline Signal signal(std::string name, std::string_view values) {
  Signal signal;
  signal.name = std::move(name);
  for (std::size_t time = 0; time < values.size(); ++time) {
    const Value value = value_from_char(values[time]).value();
    if (signal.changes.empty() || signal.changes.back().value != value) signal.changes.push_back({time, value});
  }
  return signal;
}

inline void add_net(Waveform& waveform, SignalGroup::Role role, Signal net) {
  SignalGroup group;
  group.name = net.name;
  group.role = role;
  group.bits = {static_cast<std::uint32_t>(waveform.signals.size())};
  waveform.groups.push_back(std::move(group));
  waveform.signals.push_back(std::move(net));
}

/// A net by its value at each tick; the run ends with the last of them.
inline void add_net(Waveform& waveform, SignalGroup::Role role, std::string name, std::string_view values) {
  waveform.end = values.size() - 1;
  add_net(waveform, role, signal(std::move(name), values));
}

/// A bus by its bits (msb first) at each tick.
inline void add_bus(Waveform& waveform, SignalGroup::Role role, const std::string& name,
                    const std::vector<std::string>& values) {
  const auto width = static_cast<std::uint32_t>(values[0].size());
  SignalGroup group{name, width - 1, 0, true, role, {}};
  for (std::uint32_t bit = 0; bit < width; ++bit) {
    std::string levels;
    for (const std::string& value : values) levels += value[bit];
    group.bits.push_back(static_cast<std::uint32_t>(waveform.signals.size()));
    waveform.signals.push_back(signal(name + "[" + std::to_string(width - 1 - bit) + "]", levels));
  }
  waveform.groups.push_back(std::move(group));
  waveform.end = values.size() - 1;
}

/// A circuit without gates: reports only read its name.
inline Circuit named_circuit(std::string name) {
  CircuitBuilder builder({});
  builder.set_cell_name(std::move(name));
  return builder.finish();
}

inline constexpr auto in = SignalGroup::Role::input;
inline constexpr auto out = SignalGroup::Role::output;
inline constexpr auto inner = SignalGroup::Role::inner;

}  // namespace settle::test
