// The obvious twins of the event kernel, slow and plain, for tests only. They share nothing with it
// but the gate functions drive_of() and resolve() and the circuit's arrays.
#pragma once

#include <algorithm>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include "settle/circuit.h"
#include "settle/kernel.h"

namespace settle::testing {

/// Values of all nets, given the inputs and what each gate drives.
inline std::vector<Value> net_values(const Circuit& c, const std::vector<Value>& inputs,
                                     const std::vector<Drive>& drives) {
  std::vector<Value> values(c.net_count(), Value::z);
  for (NetId i = 0; i < c.input_count(); ++i) values[i] = inputs[i];
  for (GateId g = 0; g < c.gate_count(); ++g) values[c.output_of(g)] = to_value(drives[g]);
  for (NetId wire = c.first_resolved(); wire < c.first_undriven(); ++wire) {
    std::vector<Drive> strong, pull;
    for (const NetId driver : c.drivers_of(wire)) {
      const GateId g = c.gate_of(driver);
      (is_pull(c.kind(g)) ? pull : strong).push_back(drives[g]);
    }
    values[wire] = resolve(strong, pull);
  }
  values[c.const_zero()] = Value::zero;
  values[c.const_one()] = Value::one;
  return values;
}

/// What a gate does with these net values; half-known only where it shares its wire.
inline Drive function_of(const Circuit& c, GateId gate, const std::vector<Value>& values) {
  std::vector<Value> pins;
  for (const NetId net : c.fan_in(gate)) pins.push_back(values[net]);
  const Drive drive = drive_of(c.kind(gate), pins);
  return c.shared_wire(gate) == no_id ? static_cast<Drive>(to_value(drive)) : drive;
}

/// Unit delays: at each tick all gates take on their function of the values one tick before.
class ReferenceUnit {
 public:
  explicit ReferenceUnit(const Circuit& circuit)
      : circuit_(circuit), inputs(circuit.input_count(), Value::x), drives(circuit.gate_count(), Drive::x) {
    update();
  }
  void update() { values = net_values(circuit_, inputs, drives); }
  /// One tick on, then these inputs.
  void tick(const std::vector<Value>& new_inputs) {
    for (GateId g = 0; g < circuit_.gate_count(); ++g) drives[g] = function_of(circuit_, g, values);
    inputs = new_inputs;
    update();
  }
  bool is_stable() const {
    for (GateId g = 0; g < circuit_.gate_count(); ++g) {
      if (drives[g] != function_of(circuit_, g, values)) return false;
    }
    return true;
  }

 private:
  const Circuit& circuit_;

 public:
  std::vector<Value> inputs;
  std::vector<Drive> drives;
  std::vector<Value> values;
};

/// Explicit delays: the rules as they read, on a map from gates to their pending changes.
class ReferenceDelays {
 public:
  ReferenceDelays(const Circuit& circuit, DelayChoice choice, bool transport)
      : circuit_(circuit),
        choice_(choice),
        transport_(transport),
        inputs_(circuit.input_count(), Value::x),
        drives_(circuit.gate_count(), Drive::x),
        values(net_values(circuit, inputs_, drives_)) {}

  /// Time of the next change, or end_of_time.
  Time next() const {
    Time earliest = end_of_time;
    for (const auto& [gate, changes] : pending) {
      for (const auto& [due, drive] : changes) earliest = std::min(earliest, due);
    }
    return earliest;
  }

  /// Everything that happens at `time`: changes due, then `inputs`, then evaluations.
  void instant(Time time, const std::vector<Value>& inputs) {
    now = time;
    for (auto& [gate, changes] : pending) {
      const auto due = changes.find(now);
      if (due == changes.end()) continue;
      drives_[gate] = due->second;
      changes.erase(due);
    }
    std::erase_if(pending, [](const auto& entry) { return entry.second.empty(); });
    inputs_ = inputs;
    const std::vector<Value> before = std::exchange(values, net_values(circuit_, inputs_, drives_));
    for (GateId g = 0; g < circuit_.gate_count(); ++g) {
      const auto pins = circuit_.fan_in(g);
      const auto changed = [&](NetId net) { return before[net] != values[net]; };
      if (is_first_ || std::any_of(pins.begin(), pins.end(), changed)) evaluate(g);
    }
    is_first_ = false;
  }

 private:
  std::uint64_t choose(const DelayTriple& d) const {
    return choice_ == DelayChoice::min ? d.min : choice_ == DelayChoice::max ? d.max : d.typ;
  }

  void evaluate(GateId gate) {
    const Drive result = function_of(circuit_, gate, values);
    const std::uint64_t rise = choose(circuit_.delay(gate).rise), fall = choose(circuit_.delay(gate).fall);
    const Time due = now + (result == Drive::one    ? rise
                            : result == Drive::zero ? fall
                                                    : std::min(rise, fall));
    std::map<Time, Drive> changes;
    if (pending.count(gate) != 0) changes = pending[gate];
    if (transport_) {
      if (!changes.empty() && changes.rbegin()->second == result) return;
      changes.erase(changes.lower_bound(due), changes.end());  // overtaken
      const Drive before = changes.empty() ? drives_[gate] : changes.rbegin()->second;
      if (before != result) changes[due] = result;
    } else if (changes.empty()) {
      if (result != drives_[gate]) changes[due] = result;
    } else if (changes.begin()->second == result) {
      // stays at its time
    } else if (result == drives_[gate]) {
      changes.clear();
    } else {
      changes = {{due, result}};
    }
    if (changes.empty()) {
      pending.erase(gate);
    } else {
      pending[gate] = changes;
    }
  }

  const Circuit& circuit_;
  DelayChoice choice_;
  bool transport_;
  std::vector<Value> inputs_;
  std::vector<Drive> drives_;
  bool is_first_ = true;  // power-up: every gate is evaluated

 public:
  Time now = 0;
  std::vector<Value> values;
  std::map<GateId, std::map<Time, Drive>> pending;
};

}  // namespace settle::testing
