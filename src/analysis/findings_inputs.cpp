// Two inputs that change together, when one may arrive before the other; and delays in wires.
//
// For each step in which exactly two inputs change and which settles when they arrive at once, the step
// is judged again with a delay element behind each of them (StepAnalyzer, skewed).
#include <algorithm>
#include <bit>
#include <set>

#include <fmt/format.h>

#include "analysis/findings.h"

namespace settle {
namespace {

constexpr std::size_t most_steps = 4000;
constexpr std::size_t most_patterns = 3;

std::vector<InputChange> changes_of(const CellStudy& study, VectorIndex from, VectorIndex to) {
  std::vector<InputChange> changes;
  for (unsigned i = 0; i < study.circuit.input_count(); ++i) {
    const bool after = study.behaviour.input_at(to, i);
    if (study.behaviour.input_at(from, i) != after) changes.push_back({i, to_value(after)});
  }
  return changes;
}

std::vector<Value> values_of(const CellStudy& study, std::uint32_t state) {
  std::vector<Value> values;
  for (NetId net = 0; net < study.circuit.net_count(); ++net) {
    values.push_back(study.space.value(study.circuit, state, net));
  }
  return values;
}

}  // namespace

std::vector<VectorPair> skewed_trouble(const CellStudy& study, const ExplainOptions& options) {
  std::set<VectorPair> found;
  if (study.behaviour.states_held < 2) return {};
  StepAnalyzer analyzer(study.circuit);
  std::size_t tried = 0;
  for (const Transition& step : study.space.transitions) {
    const VectorIndex from = study.space.stable[step.from].inputs;
    if (!step.judged || step.verdict != Verdict::settles || std::popcount(from ^ step.inputs) != 2) continue;
    if (found.contains({from, step.inputs})) continue;
    if (++tried > most_steps || is_set(options.stop)) break;
    const std::vector<Value> values = values_of(study, step.from);
    const std::vector<InputChange> changes = changes_of(study, from, step.inputs);
    const StepOutcome outcome = analyzer.any_delay({values, changes, std::span<const GateId>()}, options.any_delay, true);
    if (outcome.complete && outcome.known && !outcome.settles()) found.insert({from, step.inputs});
  }
  return {found.begin(), found.end()};
}

void add_wire_findings(CellStudy& study) {
  if (study.behaviour.states_held < 2) return;
  StepAnalyzer analyzer(study.circuit);
  std::vector<VectorPair> wanted, free;
  for (const Transition& step : study.space.transitions) {
    const VectorIndex from = study.space.stable[step.from].inputs;
    if (!step.judged || std::popcount(from ^ step.inputs) != 1) continue;
    if (!study.may_rest_with(from) || !study.may_rest_with(step.inputs)) continue;
    if (step.verdict != Verdict::settles) {
      free.push_back({from, step.inputs});
      continue;
    }
    const std::vector<Value> values = values_of(study, step.from);
    const std::vector<InputChange> changes = changes_of(study, from, step.inputs);
    if (!analyzer.ternary({values, changes, std::span<const GateId>()}).undecided.empty()) wanted.push_back({from, step.inputs});
  }
  if (wanted.empty()) return;
  std::sort(wanted.begin(), wanted.end());
  wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
  const auto patterns = cover_with_patterns(study.circuit.input_count(), wanted, free);
  std::vector<std::string> when;
  std::set<std::string> inputs;
  for (const StepPattern& pattern : patterns) {
    if (when.size() < most_patterns) when.push_back(pattern_text(study, pattern));
    for (const std::string& name : changing_inputs(study, pattern)) inputs.insert(name);
  }
  ExplainFinding finding;
  finding.kind = ExplainFinding::Kind::wire_delay;
  finding.inputs.assign(inputs.begin(), inputs.end());
  finding.from = values_text(study, wanted.front().from);
  finding.to = values_text(study, wanted.front().to);
  std::string text;
  for (std::size_t i = 0; i < when.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == when.size() ? ", or when " : ", when ") + when[i];
  }
  if (patterns.size() > when.size()) text += fmt::format(", and for {}", further_kinds(patterns.size() - when.size()));
  finding.message = fmt::format("what settles here does so for any delays of the gates. With a delay in every wire as well, that "
                                "is no longer certain when {}: a wire would have to be slower than gates, which is rare on "
                                "a board.",
                                text);
  study.findings.push_back(std::move(finding));
}

}  // namespace settle
