// Seeded random circuits with loops, as netlist text. The same seed and options always give the
// same text.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include "support/random.h"

namespace settle::testing {

struct RandomCircuitOptions {
  std::uint32_t least_gates = 5, most_gates = 40;  ///< drivers of shared wires not counted
  std::uint32_t least_inputs = 1, most_inputs = 4;
  std::uint32_t most_fan_in = 4;
  std::uint32_t loop_percent = 30;  ///< chance of a fan-in to be any gate, later ones included
  std::uint32_t constant_percent = 2;
  std::uint32_t hot_percent = 0;  ///< chance of a fan-in to be i0 or n0: nets with many readers
  bool xor_gates = true;          ///< xor and xnor too
  bool three_state = false;       ///< shared wires with two to four three-state drivers
  bool pulls = false;             ///< some of these wires have a pull gate as well
  std::uint32_t most_delay = 0;   ///< not 0: a rise and a fall of 1 to this for all but pulls
  std::uint32_t outputs = 0;      ///< number of output pins; 0: every net is one
};

/// `cell random` with inputs i0, i1, ... and nets n0, n1, ... (w0, w1, ... shared wires), one gate
/// a line: gate gK drives net nK, gate tK_J drives wire wK, gate pK pulls it.
inline std::string random_circuit(std::uint64_t seed, const RandomCircuitOptions& options = {}) {
  Random random(seed);
  const auto gates = random.between(options.least_gates, options.most_gates);
  const auto inputs = random.between(options.least_inputs, options.most_inputs);
  const auto wires = options.three_state ? random.between(1, 1 + gates / 8) : 0;

  std::vector<std::string> sources;  // inputs, wires, then nets in order
  for (std::uint32_t i = 0; i < inputs; ++i) sources.push_back("i" + std::to_string(i));
  for (std::uint32_t i = 0; i < wires; ++i) sources.push_back("w" + std::to_string(i));
  const auto first_net = static_cast<std::uint32_t>(sources.size());
  for (std::uint32_t i = 0; i < gates; ++i) sources.push_back("n" + std::to_string(i));

  // Inputs and earlier gates mostly, so that signals get somewhere; any gate for loops.
  const auto source = [&](std::uint32_t gate) -> std::string {
    if (random.chance(options.constant_percent)) return random.chance(50) ? "1" : "0";
    if (options.hot_percent != 0 && random.chance(options.hot_percent))
      return random.chance(50) ? "i0" : "n0";
    const auto count = random.chance(options.loop_percent) ? first_net + gates : first_net + gate;
    return sources[count == 0 ? 0 : random.below(count)];
  };
  const auto delay = [&]() -> std::string {
    if (options.most_delay == 0) return {};
    const auto rise = random.between(1, options.most_delay);
    const auto fall = random.chance(30) ? rise : random.between(1, options.most_delay);
    return " {rise=" + std::to_string(rise) + " fall=" + std::to_string(fall) + "}";
  };

  std::vector<std::string> lines;
  for (std::uint32_t g = 0; g < gates; ++g) {
    static const std::vector<std::string> kinds = {"buf", "not", "and", "nand", "or", "nor", "xor", "xnor"};
    const auto kind = random.below(options.xor_gates ? 8 : 6);
    const auto fan_in = kind < 2 ? 1 : random.between(random.chance(10) ? 1 : 2, options.most_fan_in);
    std::string line = "  " + kinds[kind] + " g" + std::to_string(g) + ":";
    for (std::uint32_t i = 0; i < fan_in; ++i) line += " " + source(g);
    lines.push_back(line + " -> n" + std::to_string(g) + delay());
  }
  for (std::uint32_t w = 0; w < wires; ++w) {
    static const std::vector<std::string> kinds = {"bufif0", "bufif1", "notif0", "notif1"};
    const auto wire = std::to_string(w);
    const auto drivers = random.between(2, 4);
    for (std::uint32_t d = 0; d < drivers; ++d) {
      lines.push_back("  " + random.pick(kinds) + " t" + wire + "_" + std::to_string(d) + ": " +
                      source(gates) + " " + source(gates) + " -> w" + wire + delay());
    }
    if (options.pulls && random.chance(60)) {
      lines.push_back(std::string("  ") + (random.chance(50) ? "pullup" : "pulldown") + " p" + wire +
                      ": -> w" + wire);
    }
  }
  random.shuffle(lines);

  std::string text = "cell random\n  in ";
  for (std::uint32_t i = 0; i < inputs; ++i) text += " " + sources[i];
  text += "\n  out";
  std::vector<std::string> pins(sources.begin() + inputs, sources.end());
  if (options.outputs != 0 && options.outputs < pins.size()) {
    random.shuffle(pins);
    pins.resize(options.outputs);
  }
  for (const auto& pin : pins) text += " " + pin;
  text += "\n";
  for (const auto& line : lines) text += line + "\n";
  return text + "end\n";
}

/// The same cell with its gate lines (all but the first three and the last) in another order.
inline std::string shuffled(const std::string& text, std::uint64_t seed) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at < text.size();) {
    const auto end = text.find('\n', at);
    lines.push_back(text.substr(at, end - at + 1));
    at = end + 1;
  }
  std::vector<std::string> gates(lines.begin() + 3, lines.end() - 1);
  Random(seed).shuffle(gates);
  std::copy(gates.begin(), gates.end(), lines.begin() + 3);
  std::string result;
  for (const auto& line : lines) result += line;
  return result;
}

}  // namespace settle::testing
