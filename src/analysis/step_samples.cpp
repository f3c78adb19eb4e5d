// Collects the steps by the inputs after them, and reads nets before and after.
// Cost: linear in steps and watched values; steps that do not settle are judged once more to learn
// which gates take part, the others keep a definite value.
#include "analysis/step_samples.h"

#include <algorithm>
#include <bit>
#include <unordered_map>

namespace settle {
namespace {

LooseOutcome judge_again(const Circuit& circuit, const StateSpace& space, const Transition& step,
                         const AnyDelayLimits& limits, StepAnalyzer& analyzer) {
  LooseOutcome outcome;
  outcome.word =
      step.verdict == Verdict::oscillation ? TableEntry::Kind::oscillation : TableEntry::Kind::indeterminate;
  if (!step.to.empty()) outcome.to = step.to.front();
  std::vector<Value> values(circuit.net_count());
  for (NetId net = 0; net < circuit.net_count(); ++net) values[net] = space.value(circuit, step.from, net);
  std::vector<InputChange> changes;
  for (std::uint32_t i = 0; i < space.input_bits; ++i) {
    const Value to = to_value((step.inputs >> (space.input_bits - 1 - i) & 1u) != 0);
    if (values[i] != to) changes.push_back({i, to});
  }
  const Step asked{values, changes};
  outcome.differing = analyzer.any_delay(asked, limits).differing;
  outcome.active = analyzer.ternary(asked, false).active;
  outcome.sure = analyzer.ternary_values(asked, false);
  std::sort(outcome.active.begin(), outcome.active.end());
  return outcome;
}

}  // namespace

std::uint32_t free_part(VectorIndex inputs, std::uint32_t input_bits, std::span<const std::uint32_t> free) {
  std::uint32_t vector = 0;
  for (const std::uint32_t input : free) vector = vector << 1 | (inputs >> (input_bits - 1 - input) & 1u);
  return vector;
}

StepSamples step_samples(const Circuit& circuit, const StateSpace& space, std::span<const std::uint32_t> free,
                         const AnyDelayLimits& limits) {
  StepSamples steps;
  steps.free_count = static_cast<std::uint32_t>(free.size());
  for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
    steps.samples.push_back({free_part(space.stable[s].inputs, space.input_bits, free), -1, s, s, no_state});
  }
  StepAnalyzer analyzer(circuit);
  for (const Transition& step : space.transitions) {
    const VectorIndex change = step.inputs ^ space.stable[step.from].inputs;
    if (!step.judged || std::popcount(change) != 1) continue;
    StepSample sample;
    sample.vector = free_part(step.inputs, space.input_bits, free);
    const std::uint32_t position = free_part(change, space.input_bits, free);
    sample.changed = static_cast<std::int32_t>(free.size()) - std::bit_width(position);
    sample.from = step.from;
    const bool settled = step.verdict == Verdict::settles || step.verdict == Verdict::delay_dependent;
    sample.to = !settled ? no_state : step.equal_delay != no_state ? step.equal_delay : step.to.front();
    if (!settled) {
      sample.loose = static_cast<std::uint32_t>(steps.loose.size());
      steps.loose.push_back(judge_again(circuit, space, step, limits, analyzer));
    }
    steps.samples.push_back(sample);
  }
  std::sort(steps.samples.begin(), steps.samples.end(), [](const StepSample& a, const StepSample& b) {
    if (a.vector != b.vector) return a.vector < b.vector;
    return a.changed != b.changed ? a.changed < b.changed : a.from < b.from;
  });
  steps.first.assign((std::size_t{1} << free.size()) + 1, 0);
  for (const StepSample& sample : steps.samples) ++steps.first[sample.vector + 1];
  for (std::size_t v = 1; v < steps.first.size(); ++v) steps.first[v] += steps.first[v - 1];
  return steps;
}

WatchedNets::WatchedNets(const Circuit& circuit, const StateSpace& space, const StepSamples& steps)
    : circuit_(circuit), space_(space), steps_(steps) {}

std::uint32_t WatchedNets::watch(NetId net) {
  auto& values = values_.emplace_back(space_.stable.size());
  for (std::uint32_t s = 0; s < values.size(); ++s) values[s] = space_.value(circuit_, s, net);
  nets_.push_back(net);
  return count() - 1;
}

TableEntry::Kind WatchedNets::after(std::uint32_t watched, const StepSample& sample) const {
  if (sample.to != no_state) return static_cast<TableEntry::Kind>(values_[watched][sample.to]);
  const LooseOutcome& outcome = steps_.loose[sample.loose];
  const auto has = [](const std::vector<GateId>& gates, GateId gate) {
    return std::binary_search(gates.begin(), gates.end(), gate);
  };
  const NetId net = nets_[watched];
  bool differs = false, moves = false;
  const auto look = [&](GateId gate) {
    differs |= has(outcome.differing, gate);
    moves |= has(outcome.active, gate);
  };
  if (circuit_.is_gate_output(net)) look(circuit_.gate_of(net));
  if (circuit_.is_resolved(net)) {
    for (const NetId driver : circuit_.drivers_of(net)) look(circuit_.gate_of(driver));
  }
  if (circuit_.is_input(net))
    return outcome.word;  // an input pin wired to an output: not worth a word of its own
  if (!moves) return static_cast<TableEntry::Kind>(values_[watched][sample.from]);
  if (is_binary(outcome.sure[net])) return static_cast<TableEntry::Kind>(outcome.sure[net]);
  if (!differs && outcome.to != no_state) return static_cast<TableEntry::Kind>(values_[watched][outcome.to]);
  return outcome.word;
}

bool WatchedNets::alike(std::uint32_t a, std::uint32_t b) const {
  bool equal = true, opposite = true;
  for (std::size_t s = 0; s < values_[a].size() && (equal || opposite); ++s) {
    equal = equal && values_[a][s] == values_[b][s];
    opposite = opposite && values_[a][s] == inverted(values_[b][s]) && is_binary(values_[a][s]);
  }
  return equal || opposite;
}

std::vector<std::uint32_t> WatchedNets::signatures(std::span<const std::uint32_t> watched) const {
  std::vector<std::uint32_t> number(space_.stable.size(), 0);
  for (const std::uint32_t w : watched) {
    std::unordered_map<std::uint64_t, std::uint32_t> numbers;
    for (std::size_t s = 0; s < number.size(); ++s) {
      const std::uint64_t key = std::uint64_t{number[s]} << 2 | static_cast<std::uint64_t>(values_[w][s]);
      number[s] = numbers.try_emplace(key, static_cast<std::uint32_t>(numbers.size())).first->second;
    }
  }
  return number;
}

std::vector<std::uint32_t> WatchedNets::results(std::span<const std::uint32_t> watched) const {
  std::vector<std::uint32_t> number(steps_.samples.size(), 0);
  for (const std::uint32_t w : watched) {
    std::unordered_map<std::uint64_t, std::uint32_t> numbers;
    for (std::size_t i = 0; i < number.size(); ++i) {
      const auto kind = static_cast<std::uint64_t>(after(w, steps_.samples[i]));
      number[i] =
          numbers
              .try_emplace(std::uint64_t{number[i]} << 4 | kind, static_cast<std::uint32_t>(numbers.size()))
              .first->second;
    }
  }
  return number;
}

}  // namespace settle
