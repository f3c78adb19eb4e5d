// The obvious twin of every search for stable states.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "support/step_cases.h"

namespace settle::testing {

inline std::vector<Value> values_of(const std::string& text) {
  std::vector<Value> values;
  for (const char c : text) values.push_back(*value_from_char(c));
  return values;
}

/// Inputs as text, the first one leftmost, from the bits of a number.
inline std::string input_text(const Circuit& circuit, std::uint32_t vector) {
  std::string text;
  for (NetId i = 0; i < circuit.input_count(); ++i) text += ((vector >> i) & 1u) != 0 ? '1' : '0';
  return text;
}

/// Every gate has the value of its function, and none reads an x or z.
inline bool is_stable(const Circuit& circuit, const std::string& inputs, const std::string& gates) {
  const std::vector<Value> nets = net_values(circuit, inputs, gates);
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    std::vector<Value> in;
    for (const NetId pin : circuit.fan_in(g)) {
      in.push_back(nets[pin]);
      if (!is_binary(nets[pin])) return false;
    }
    if (evaluate(circuit.kind(g), in) != nets[circuit.output_of(g)]) return false;
  }
  return true;
}

/// Every combination of gate values (z too for three-state gates) is tried; ascending.
inline std::vector<std::vector<Value>> all_stable(const Circuit& circuit, const std::string& inputs) {
  std::vector<std::vector<Value>> found;
  std::string gates(circuit.gate_count(), '0');
  for (;;) {
    if (is_stable(circuit, inputs, gates)) found.push_back(values_of(gates));
    GateId g = 0;
    for (; g < circuit.gate_count(); ++g) {
      const bool may_float = is_three_state(circuit.kind(g));
      gates[g] = gates[g] == '0' ? '1' : gates[g] == '1' && may_float ? 'z' : '0';
      if (gates[g] != '0') break;
    }
    if (g == circuit.gate_count()) break;
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace settle::testing
