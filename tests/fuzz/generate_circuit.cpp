#include <vector>

#include "fuzz/generate.h"

namespace settle::fuzz {
namespace {

const std::vector<std::string>& gate_words() {
  static const std::vector<std::string> words{"nor", "nand", "not", "and", "or", "xor", "xnor", "buf"};
  return words;
}

}  // namespace

std::string small_circuit(ByteSource& bytes, const SmallCircuit& options) {
  const std::uint32_t inputs = bytes.between(1, options.most_inputs);
  const std::uint32_t gates = bytes.between(1, options.most_gates);
  const std::uint32_t wires = options.three_state ? bytes.between(0, 2) : 0;
  std::vector<std::string> nets;
  for (std::uint32_t i = 0; i < inputs; ++i) nets.push_back("i" + std::to_string(i));
  for (std::uint32_t i = 0; i < gates; ++i) nets.push_back("n" + std::to_string(i));
  for (std::uint32_t i = 0; i < wires; ++i) nets.push_back("w" + std::to_string(i));

  // One value beyond the nets each: the constants.
  const auto source = [&]() -> std::string {
    const std::uint32_t i = bytes.below(static_cast<std::uint32_t>(nets.size()) + 2);
    return i < nets.size() ? nets[i] : i == nets.size() ? "0" : "1";
  };
  const auto delay = [&]() -> std::string {
    if (options.most_delay == 0) return {};
    const std::string rise = std::to_string(bytes.between(1, options.most_delay));
    const std::string fall = std::to_string(bytes.between(1, options.most_delay));
    return " {rise=" + rise + " fall=" + fall + "}";
  };

  std::string text = "cell small\n  in ";
  for (std::uint32_t i = 0; i < inputs; ++i) text += " " + nets[i];
  text += "\n  out";
  for (std::size_t i = inputs; i < nets.size(); ++i) text += " " + nets[i];
  text += "\n";
  for (std::uint32_t g = 0; g < gates; ++g) {
    const std::string& kind = bytes.pick(gate_words());
    const std::uint32_t fan_in =
        kind == "not" || kind == "buf" ? 1 : 1 + (bytes.below(options.most_fan_in) + 1) % options.most_fan_in;
    text += "  " + kind + " g" + std::to_string(g) + ":";
    for (std::uint32_t i = 0; i < fan_in; ++i) text += " " + source();
    text += " -> n" + std::to_string(g) + delay() + "\n";
  }
  static const std::vector<std::string> three_state{"bufif1", "bufif0", "notif1", "notif0"};
  for (std::uint32_t w = 0; w < wires; ++w) {
    const std::string wire = std::to_string(w);
    const std::uint32_t drivers = bytes.between(1, 3);
    for (std::uint32_t d = 0; d < drivers; ++d) {
      text += "  " + bytes.pick(three_state) + " t" + wire + "_" + std::to_string(d) + ": " + source() + " " +
              source() + " -> w" + wire + delay() + "\n";
    }
    const std::uint32_t pull = bytes.below(3);
    if (pull != 0)
      text += std::string("  ") + (pull == 1 ? "pullup" : "pulldown") + " p" + wire + ": -> w" + wire + "\n";
  }
  return text + "end\n";
}

}  // namespace settle::fuzz
