// A network without feedback can show such a pulse, for some delays of its gates and wires, exactly where
// ternary simulation with the changing input at x leaves the output at x (E. B. Eichelberger, "Hazard
// detection in combinational and sequential switching circuits", IBM J. Res. Develop. 9 (2), 1965).
// Cost: 2^inputs times inputs passes over the gates.
#include "analysis/static_hazards.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "analysis/findings.h"
#include "settle/minimise.h"
#include "settle/step_analysis.h"

namespace settle {
namespace {

constexpr std::uint64_t most_visits = 4'000'000;  // of gates, a fraction of a second
constexpr std::size_t most_told = 3;              // kinds of changes in a finding

class HazardSearch {
 public:
  HazardSearch(const Circuit& circuit, const ExplainOptions& options)
      : circuit_(circuit),
        options_(options),
        analyzer_(circuit),
        inputs_(circuit.input_count()),
        is_constant_(circuit.outputs().size(), true) {}

  std::vector<ExplainFinding> run() {
    const std::uint32_t vectors = 1u << inputs_;
    // By output, input and level: the settings for which there may be a pulse.
    const std::size_t outputs = circuit_.outputs().size();
    std::vector<FunctionBits> found(outputs * inputs_ * 2, FunctionBits(function_words(inputs_), 0));
    for (std::uint32_t vector = 0; vector < vectors; ++vector) {
      if (is_set(options_.stop)) return {};
      const std::vector<Value> before = levels(vector);
      for (std::size_t o = 0; o < outputs; ++o) {
        const Value level = before[circuit_.outputs()[o]];
        if (vector == 0) first_.push_back(level);
        if (level != first_[o]) is_constant_[o] = false;
      }
      for (unsigned input = 0; input < inputs_; ++input) {
        const std::uint32_t bit = 1u << (inputs_ - 1 - input);
        if ((vector & bit) != 0) continue;
        const std::vector<Value> after = levels(vector | bit);
        const std::array change{InputChange{input, Value::one}};
        const std::vector<Value> between = analyzer_.ternary_values({before, change}, true);
        for (std::size_t o = 0; o < outputs; ++o) {
          const NetId net = circuit_.outputs()[o];
          if (!is_binary(before[net]) || before[net] != after[net] || between[net] != Value::x) continue;
          FunctionBits& bits = found[(o * inputs_ + input) * 2 + (before[net] == Value::one ? 1 : 0)];
          for (const std::uint32_t v : {vector, vector | bit}) bits[v >> 6] |= std::uint64_t{1} << (v & 63);
        }
      }
    }
    std::vector<ExplainFinding> findings;
    for (std::size_t o = 0; o < outputs; ++o) tell(o, found, findings);
    return findings;
  }

 private:
  std::vector<Value> levels(std::uint32_t vector) {
    std::vector<Value> start(circuit_.net_count(), Value::x);
    start[circuit_.const_zero()] = Value::zero;
    start[circuit_.const_one()] = Value::one;
    std::vector<InputChange> changes;
    for (unsigned i = 0; i < inputs_; ++i)
      changes.push_back({i, to_value((vector >> (inputs_ - 1 - i) & 1u) != 0)});
    return analyzer_.ternary_values({start, changes}, false);
  }

  std::string condition(const Cube& cube) const {
    std::string text;
    for (unsigned i = 0; i < inputs_; ++i) {
      const std::uint32_t bit = 1u << (inputs_ - 1 - i);
      if ((cube.care & bit) == 0) continue;
      text += fmt::format("{}{} at {}", text.empty() ? " with " : " and ", circuit_.net_name(i),
                          (cube.value & bit) != 0 ? 1 : 0);
    }
    return text;
  }

  void tell(std::size_t output, const std::vector<FunctionBits>& found,
            std::vector<ExplainFinding>& findings) const {
    ExplainFinding finding;
    finding.kind = ExplainFinding::Kind::short_pulse;
    finding.cell = no_id;
    const std::string name = circuit_.net_name(circuit_.outputs()[output]);
    std::size_t kinds = 0;
    if (is_constant_[output]) return;  // told with its equation
    for (unsigned input = 0; input < inputs_; ++input) {
      for (const int level : {1, 0}) {
        const FunctionBits& bits = found[(output * inputs_ + input) * 2 + static_cast<std::size_t>(level)];
        if (std::all_of(bits.begin(), bits.end(), [](std::uint64_t word) { return word == 0; })) continue;
        const std::string changing = circuit_.net_name(input);
        if (std::find(finding.inputs.begin(), finding.inputs.end(), changing) == finding.inputs.end())
          finding.inputs.push_back(changing);
        for (const Cube& cube : minimise(inputs_, bits, {}, {.stop = options_.stop}).cubes) {
          if (++kinds > most_told) continue;
          finding.message +=
              fmt::format("{}hen {} changes{}, {} is {} before and after", kinds == 1 ? "W" : "; w", changing,
                          condition(cube), kinds == 1 ? name : "it", level);
          if (kinds == 1)
            finding.message += fmt::format(
                ", but can go to {} for a moment, as the change arrives on paths of different delay",
                1 - level);
        }
      }
    }
    if (kinds == 0) return;
    if (kinds > most_told)
      finding.message += fmt::format("; and so for {}", further_kinds(kinds - most_told));
    finding.message +=
        ". As a clock, set or reset such a pulse (a static hazard) counts, as a level that is read later it "
        "does not.";
    findings.push_back(std::move(finding));
  }

  const Circuit& circuit_;
  const ExplainOptions& options_;
  StepAnalyzer analyzer_;
  unsigned inputs_;
  std::vector<Value> first_;       // by output, for inputs at 0
  std::vector<bool> is_constant_;  // by output
};

}  // namespace

std::vector<ExplainFinding> static_hazards(const Circuit& circuit, const ExplainOptions& options) {
  const std::uint32_t inputs = circuit.input_count();
  if (circuit.loop_count() != 0 || inputs == 0 || inputs > 16) return {};
  if ((std::uint64_t{circuit.gate_count()} << inputs) * inputs > most_visits) return {};
  return HazardSearch(circuit, options).run();
}

}  // namespace settle
