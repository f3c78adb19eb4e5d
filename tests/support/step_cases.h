// Net values and steps for tests of the step analysis.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "settle/circuit.h"
#include "settle/step_analysis.h"
#include "support/catch.h"
#include "support/random.h"

namespace settle::testing {

/// All net values from input and gate values ("01x" characters, inputs then gates in order).
/// Shared wires follow their drivers.
inline std::vector<Value> net_values(const Circuit& circuit, std::string_view inputs,
                                     std::string_view gates) {
  REQUIRE(inputs.size() == circuit.input_count());
  REQUIRE(gates.size() == circuit.gate_count());
  std::vector<Value> values(circuit.net_count(), Value::z);
  for (NetId net = 0; net < circuit.input_count(); ++net) values[net] = *value_from_char(inputs[net]);
  for (GateId g = 0; g < circuit.gate_count(); ++g) values[circuit.output_of(g)] = *value_from_char(gates[g]);
  for (NetId net = circuit.first_resolved(); net < circuit.first_undriven(); ++net) {
    std::vector<Drive> strong, pull;
    for (const NetId driver : circuit.drivers_of(net)) {
      auto& list = is_pull(circuit.kind(circuit.gate_of(driver))) ? pull : strong;
      list.push_back(static_cast<Drive>(values[driver]));
    }
    values[net] = resolve(strong, pull);
  }
  values[circuit.const_zero()] = Value::zero;
  values[circuit.const_one()] = Value::one;
  return values;
}

/// The inputs that differ between the values and `to`, one character an input.
inline std::vector<InputChange> changes_to(const std::vector<Value>& values, std::string_view to) {
  std::vector<InputChange> changes;
  for (NetId net = 0; net < to.size(); ++net) {
    const Value v = *value_from_char(to[net]);
    if (v != values[net]) changes.push_back({net, v});
  }
  return changes;
}

/// Gate values as text, ascending.
inline std::string gate_text(const Circuit& circuit, const std::vector<Value>& nets) {
  std::string text;
  for (GateId g = 0; g < circuit.gate_count(); ++g) text += to_char(nets[circuit.output_of(g)]);
  return text;
}

/// A step with everything that it points to.
struct StepCase {
  std::vector<Value> values;
  std::vector<InputChange> changes;
  Step step() const { return {values, changes}; }
};

inline StepCase step_case(const Circuit& circuit, std::string_view from, std::string_view to,
                          std::string_view gates) {
  StepCase c;
  c.values = net_values(circuit, from, gates);
  c.changes = changes_to(c.values, to);
  return c;
}

/// A random start state and one to all inputs changed. With `settled`, the start is stable where
/// firing gates at random came to rest within a bounded number of firings.
inline StepCase random_step(const Circuit& circuit, Random& random, bool settled) {
  std::string inputs, gates;
  for (NetId i = 0; i < circuit.input_count(); ++i) inputs += random.chance(50) ? '1' : '0';
  for (GateId g = 0; g < circuit.gate_count(); ++g) gates += random.chance(50) ? '1' : '0';
  StepCase c;
  c.values = net_values(circuit, inputs, gates);
  for (int budget = settled ? 2000 : 0; budget > 0; --budget) {
    std::vector<GateId> excited;
    for (GateId g = 0; g < circuit.gate_count(); ++g) {
      std::vector<Value> in;
      for (const NetId pin : circuit.fan_in(g)) in.push_back(c.values[pin]);
      if (evaluate(circuit.kind(g), in) != c.values[circuit.output_of(g)]) excited.push_back(g);
    }
    if (excited.empty()) break;
    Value& output = c.values[circuit.output_of(random.pick(excited))];
    output = inverted(output);
  }
  for (NetId i = 0; i < circuit.input_count(); ++i) {
    if (random.chance(60)) c.changes.push_back({i, inverted(c.values[i])});
  }
  return c;
}

}  // namespace settle::testing
