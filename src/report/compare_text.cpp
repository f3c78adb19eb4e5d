// What a comparison found, in words and a table of steps.
#include <algorithm>

#include <fmt/format.h>

#include "settle/compare_report.h"

namespace settle {
namespace {

std::string_view proof_sentence(Comparison::Proof proof) {
  switch (proof) {
    case Comparison::Proof::gates: return "They have the same gates, connected alike, so they are equal for all gate delays.";
    case Comparison::Proof::inputs: return "Neither has a loop, and no input vector makes an output differ (proved by a SAT solver).";
    case Comparison::Proof::states:
      return "Every stable state of one has an alike stable state in the other: equal outputs, and each change of one "
             "input leads to alike states again. Changes of several inputs at once were not compared.";
    case Comparison::Proof::none: break;
  }
  return {};
}

/// Values of all ports, buses as one word: "enter=1 route=0b0101".
std::string values_text(const std::vector<Port>& ports, const std::vector<Value>& values) {
  std::string text;
  for (const Port& port : ports) {
    text += text.empty() ? "" : " ";
    text += port.name + (port.is_bus ? "=0b" : "=");
    for (std::uint32_t b = 0; b < port.width; ++b) text += to_char(values[port.first + b]);
  }
  return text;
}

}  // namespace

std::string compare_text(const Comparison& c, const Circuit& a, const Circuit& b, const ComparedNames& names,
                         const TextStyle&) {
  switch (c.answer) {
    case Comparison::Answer::equal:
      return fmt::format("equal: {} and {}\n\n{}\n", names.first, names.second, proof_sentence(c.proof));
    case Comparison::Answer::undecided:
      return fmt::format("undecided: {} and {}\n\nNo difference was found, but equality is not proved: {}\n", names.first, names.second,
                         c.undecided_reason.empty() ? "the work was stopped" : c.undecided_reason);
    case Comparison::Answer::different: break;
  }
  std::string text = fmt::format("different: {} and {}\n\n", names.first, names.second);
  if (c.vectors.empty()) {
    const bool first = c.only_in == 0;
    const Circuit& with = first ? a : b;
    text += fmt::format("{} has a stable state that {} has none alike to:\n  inputs  {}\n  outputs {}\n"
                        "No sequence of inputs from an unknown start was found that shows it for certain.\n",
                        first ? names.first : names.second, first ? names.second : names.first,
                        values_text(with.input_ports(), c.state_inputs), values_text(with.output_ports(), c.state_outputs));
    return text;
  }
  text += fmt::format("Output {} tells them apart after {} input vector{}{}, from power-up, each until all is at rest:\n\n",
                      a.output_bit_name(c.output), c.vectors.size(), c.vectors.size() == 1 ? "" : "s",
                      c.is_shortest ? " (no fewer do)" : "");
  std::vector<std::string> inputs, expected, found;
  std::size_t input_width = 6, expected_width = names.first.size();
  for (std::size_t i = 0; i < c.vectors.size(); ++i) {
    inputs.push_back(values_text(a.input_ports(), c.vectors[i]));
    expected.push_back(values_text(a.output_ports(), c.expected[i]));
    found.push_back(values_text(a.output_ports(), c.found[i]));
    input_width = std::max(input_width, inputs.back().size());
    expected_width = std::max(expected_width, expected.back().size());
  }
  text += fmt::format("  {:>4}  {:<{}}  {:<{}}  {}\n", "step", "inputs", input_width, names.first, expected_width, names.second);
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    text += fmt::format("  {:>4}  {:<{}}  {:<{}}  {}\n", i + 1, inputs[i], input_width, expected[i], expected_width, found[i]);
  }
  return text;
}

std::string board_difference_text(const BoardDifference& difference) {
  if (difference.pins.empty()) return {};
  constexpr std::size_t most = 40;
  std::string text = fmt::format("\nThe wiring departs from the cell at {} place{}{}:\n", difference.pins.size(), difference.pins.size() == 1 ? "" : "s",
                                 difference.is_least ? "" : " (or fewer: not all ways to pair the gates were tried)");
  for (std::size_t i = 0; i < std::min(most, difference.pins.size()); ++i) text += "  " + difference.pins[i].sentence + "\n";
  if (difference.pins.size() > most) text += fmt::format("  and {} more\n", difference.pins.size() - most);
  return text;
}

}  // namespace settle
