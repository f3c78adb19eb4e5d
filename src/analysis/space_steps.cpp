// From a stable state and new inputs to a Transition. Ternary simulation first: where algorithm B ends
// with every gate definite, that is the next state. Else the exact any-delay analysis gives outcomes
// for each independent part of the active gates; each combination of them is completed to a full
// state: gates that are definite after B have that value in every outcome, the others are followers,
// which form no loop among themselves, so evaluating them in any order until all are known is exact.
// A step that does not settle is then run with unit delays until it rests or provably repeats.
#include "analysis/space_steps.h"

#include <algorithm>
#include <cstring>

#include "analysis/gate_function.h"

namespace settle {
namespace {

constexpr std::uint64_t most_outcomes = 1u << 16;   // of one step
constexpr Time most_unit_delays = 1u << 22;         // of one unit-delay run

}  // namespace

std::vector<Value> net_values_of(const Circuit& circuit, const StateSpace& space, std::uint32_t state) {
  std::vector<Value> values(circuit.net_count(), Value::z);
  for (NetId net = 0; net < circuit.net_count(); ++net) values[net] = space.value(circuit, state, net);
  return values;
}

std::vector<InputChange> changes_between(std::uint32_t input_bits, VectorIndex from, VectorIndex to) {
  std::vector<InputChange> changes;
  for (std::uint32_t i = 0; i < input_bits; ++i) {
    const std::uint32_t shift = input_bits - 1 - i;
    if (((from ^ to) >> shift & 1u) != 0) changes.push_back({i, to_value((to >> shift & 1u) != 0)});
  }
  return changes;
}

std::uint32_t find_state(const StateSpace& space, VectorIndex inputs, const Value* gates) {
  auto [first, last] = space.states_with(inputs);
  while (first < last) {
    const std::uint32_t middle = first + (last - first) / 2;
    const int order = space.gates == 0 ? 0 : std::memcmp(space.nodes_of(middle).data(), gates, space.gates);
    if (order == 0) return middle;
    if (order < 0) {
      first = middle + 1;
    } else {
      last = middle;
    }
  }
  return no_state;
}

SpaceStepJudge::SpaceStepJudge(const Circuit& circuit, const StateSpace& space, const AnyDelayLimits& limits)
    : circuit_(circuit), space_(space), limits_(limits), analyzer_(circuit),
      kernel_(circuit, KernelOptions{.delays = DelayChoice::unit}) {}

void SpaceStepJudge::start_from(std::uint32_t state) {
  if (from_ == state) return;
  from_ = state;
  start_ = net_values_of(circuit_, space_, state);
}

Value SpaceStepJudge::read(NetId net) const {
  if (!circuit_.is_resolved(net)) return settled_[net];
  return wire_value(circuit_, net, [this](NetId driver) { return settled_[driver]; });
}

Unjudged SpaceStepJudge::judge(Transition& step) {
  start_from(step.from);
  changes_ = changes_between(space_.input_bits, space_.stable[step.from].inputs, step.inputs);
  const Step analysed{start_, changes_, std::span<const GateId>()};
  settled_ = analyzer_.ternary_values(analysed, false);
  followers_.clear();
  for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
    if (settled_[circuit_.output_of(gate)] == Value::x) followers_.push_back(gate);
  }
  const StepOutcome outcome = followers_.empty() ? StepOutcome{} : analyzer_.any_delay(analysed, limits_);
  if (!outcome.complete) return Unjudged::limit;
  if (!outcome.known) return Unjudged::unknown;
  step.may_cycle = outcome.may_cycle();
  for (const StepPart& part : outcome.parts) step.racing.insert(step.racing.end(), part.racing.begin(), part.racing.end());
  std::sort(step.racing.begin(), step.racing.end());
  step.racing.erase(std::unique(step.racing.begin(), step.racing.end()), step.racing.end());
  if (const Unjudged why = add_outcomes(step, outcome); why != Unjudged::no) return why;
  if (outcome.settles()) {
    step.equal_delay = step.to.front();
    step.verdict = Verdict::settles;
    return Unjudged::no;
  }
  return run_equal_delays(step, outcome);
}

// All combinations of the parts' outcomes.
Unjudged SpaceStepJudge::add_outcomes(Transition& step, const StepOutcome& outcome) {
  if (!outcome.has_outcome()) return Unjudged::no;
  if (outcome.outcome_count() > most_outcomes) return Unjudged::outcomes;
  for (const StepPart& part : outcome.parts) {
    for (std::size_t i = 0; i < part.gates.size(); ++i) {
      settled_[circuit_.output_of(part.gates[i])] = part.outcomes[0][i];
    }
  }
  followers_.erase(std::remove_if(followers_.begin(), followers_.end(),
                                  [&](GateId gate) {
                                    return std::any_of(outcome.parts.begin(), outcome.parts.end(), [&](const auto& p) {
                                      return std::binary_search(p.gates.begin(), p.gates.end(), gate);
                                    });
                                  }),
                   followers_.end());
  std::vector<std::size_t> choice(outcome.parts.size(), 0);
  for (;;) {
    if (!evaluate_followers()) return Unjudged::unknown;
    const std::uint32_t state = find_state(space_, step.inputs, settled_.data() + circuit_.input_count());
    if (state == no_state) return Unjudged::unknown;
    step.to.push_back(state);
    std::size_t p = 0;
    for (; p < choice.size(); ++p) {
      const StepPart& part = outcome.parts[p];
      choice[p] = (choice[p] + 1) % part.outcomes.size();
      for (std::size_t i = 0; i < part.gates.size(); ++i) {
        settled_[circuit_.output_of(part.gates[i])] = part.outcomes[choice[p]][i];
      }
      if (choice[p] != 0) break;
    }
    if (p == choice.size()) break;
  }
  std::sort(step.to.begin(), step.to.end());
  step.to.erase(std::unique(step.to.begin(), step.to.end()), step.to.end());
  return Unjudged::no;
}

bool SpaceStepJudge::evaluate_followers() {
  for (const GateId gate : followers_) settled_[circuit_.output_of(gate)] = Value::x;
  waiting_ = followers_;
  while (!waiting_.empty()) {
    std::size_t left = 0;
    for (const GateId gate : waiting_) {
      const Value value = gate_value(circuit_, gate, [this](NetId net) { return read(net); });
      settled_[circuit_.output_of(gate)] = value;
      if (value == Value::x) waiting_[left++] = gate;
    }
    if (left == waiting_.size()) return false;
    waiting_.resize(left);
  }
  return true;
}

Unjudged SpaceStepJudge::run_equal_delays(Transition& step, const StepOutcome& outcome) {
  kernel_.power_up({start_.data(), circuit_.input_count()},
                   {start_.data() + circuit_.input_count(), circuit_.gate_count()});
  kernel_.run_instant(0);
  for (const InputChange& change : changes_) kernel_.set_input(change.net, change.value);
  kernel_.run_instant(0);
  const Continuation run = look_ahead(kernel_, most_unit_delays, limits_.stop);
  if (run.kind == Continuation::Kind::undecided) return Unjudged::long_run;
  if (run.kind == Continuation::Kind::repeats) {
    step.period = run.period;
  } else {
    while (const auto next = kernel_.next_time()) kernel_.run_instant(*next);
    step.equal_delay = find_state(space_, step.inputs, kernel_.values().data() + circuit_.input_count());
    if (step.equal_delay == no_state) return Unjudged::unknown;
  }
  step.verdict = verdict_of(outcome, run.kind == Continuation::Kind::repeats);
  return Unjudged::no;
}

}  // namespace settle
