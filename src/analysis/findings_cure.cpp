// Repairs and margins, each tried out on a changed circuit.
//
// A static hazard of a sum of products comes from two product terms, one falling while the other rises
// for the same input. The cure is their consensus: a further term of the remaining factors, which stays
// active. Candidates: for each gate of the loop that combines terms, each pair of gates that it reads,
// and one factor of each; and in product-of-sums form the dual. A candidate is taken when the changed
// circuit has the same stable behaviour and all its single-input steps settle.
#include <algorithm>
#include <array>
#include <bit>

#include <fmt/format.h>

#include "analysis/cell_study.h"
#include "analysis/gate_function.h"
#include "settle/kernel.h"

namespace settle {
namespace {

constexpr std::size_t most_candidates = 200;
constexpr std::uint64_t most_delay = 16;

// The kind of gate that makes a further term for a gate of this kind fed by gates of kind `term`.
bool is_sum_of_terms(GateKind sum, GateKind term) {
  using enum GateKind;
  return (sum == or_ && term == and_) || (sum == nor && term == and_) || (sum == nand && term == nand) ||
         (sum == and_ && term == nand) || (sum == and_ && term == or_) || (sum == nand && term == or_) ||
         (sum == nor && term == nor) || (sum == or_ && term == nor);
}

std::string upper(GateKind kind) {
  std::string text(name_of(kind));
  std::transform(text.begin(), text.end(), text.begin(), [](char c) { return static_cast<char>(c - 'a' + 'A'); });
  return text;
}

// Same states for the observed nets, and the same steps wherever the old circuit decided them.
bool same_behaviour(const Behaviour& a, const Behaviour& b) {
  if (!b.is_usable || a.states.size() != b.states.size()) return false;
  const auto key = [](const Behaviour::State& s) { return std::pair(s.x, s.y); };
  std::vector<std::uint32_t> of_b(a.states.size(), no_state);
  for (std::uint32_t s = 0; s < a.states.size(); ++s) {
    for (std::uint32_t t = 0; t < b.states.size(); ++t) {
      if (key(a.states[s]) != key(b.states[t])) continue;
      if (of_b[s] != no_state) return false;   // told apart only by hidden nets
      of_b[s] = t;
    }
    if (of_b[s] == no_state) return false;
  }
  for (std::uint32_t s = 0; s < a.states.size(); ++s) {
    for (unsigned i = 0; i < a.inputs; ++i) {
      const std::uint32_t next = a.next_of(s, i);
      if (next != no_state && b.next_of(of_b[s], i) != of_b[next]) return false;
    }
  }
  return true;
}

// The steps in trouble settle in the changed circuit: a cheap test before its states are explored.
bool settles_there(const CellStudy& study, const Circuit& changed, const std::vector<std::uint32_t>& steps,
                   const ExplainOptions& options) {
  const Circuit& c = study.circuit;
  StepAnalyzer analyzer(changed);
  for (const std::uint32_t t : steps) {
    const Transition& step = study.space.transitions[t];
    const VectorIndex from = study.space.stable[step.from].inputs;
    std::vector<Value> values(changed.net_count(), Value::z);
    values[changed.const_zero()] = Value::zero;
    values[changed.const_one()] = Value::one;
    std::vector<InputChange> changes;
    for (unsigned i = 0; i < c.input_count(); ++i) {
      values[i] = to_value(study.behaviour.input_at(from, i));
      const Value after = to_value(study.behaviour.input_at(step.inputs, i));
      if (after != values[i]) changes.push_back({i, after});
    }
    const auto nodes = study.space.nodes_of(step.from);
    for (GateId gate = 0; gate < c.gate_count(); ++gate) values[changed.output_of(gate)] = nodes[gate];
    const GateId added = c.gate_count();
    values[changed.output_of(added)] = gate_value(changed, added, [&](NetId net) { return values[net]; });
    // The new term may excite its reader: then the old state is no state of the changed circuit.
    for (GateId gate = 0; gate < changed.gate_count(); ++gate) {
      if (gate_value(changed, gate, [&](NetId net) { return values[net]; }) != values[changed.output_of(gate)]) return false;
    }
    const StepOutcome outcome = analyzer.any_delay({values, changes, std::span<const GateId>()}, options.any_delay);
    if (!outcome.settles()) return false;
  }
  return true;
}

}  // namespace

std::optional<Cure> find_cure(const CellStudy& study, const std::vector<std::uint32_t>& steps, const ExplainOptions& options) {
  const Circuit& c = study.circuit;
  if (c.resolved_count() != 0) return std::nullopt;
  struct Candidate {
    CircuitChange change;
  };
  std::vector<Candidate> candidates;
  // Gates that can lose the value: they differ among the outcomes.
  const auto may_differ = [&](GateId gate) {
    return std::any_of(steps.begin(), steps.end(), [&](std::uint32_t t) {
      const Transition& step = study.space.transitions[t];
      const bool before = study.space.nodes_of(step.from)[gate] == Value::one;
      return step.may_cycle || std::any_of(step.to.begin(), step.to.end(), [&](std::uint32_t s) {
               return (study.space.nodes_of(s)[gate] == Value::one) != before;
             });
    });
  };
  for (GateId sum = 0; sum < c.gate_count(); ++sum) {
    if (c.loop_of(sum) == no_id || !may_differ(sum)) continue;
    const auto terms = c.fan_in(sum);
    for (std::size_t a = 0; a < terms.size(); ++a) {
      for (std::size_t b = a + 1; b < terms.size(); ++b) {
        if (!c.is_gate_output(terms[a]) || !c.is_gate_output(terms[b])) continue;
        const GateId first = c.gate_of(terms[a]), second = c.gate_of(terms[b]);
        if (c.kind(first) != c.kind(second) || !is_sum_of_terms(c.kind(sum), c.kind(first))) continue;
        // All factors but the one pair that changes: with one left out of each.
        for (std::size_t out_a = 0; out_a < c.fan_in(first).size(); ++out_a) {
          for (std::size_t out_b = 0; out_b < c.fan_in(second).size(); ++out_b) {
            std::vector<NetId> pins;
            for (std::size_t i = 0; i < c.fan_in(first).size(); ++i) {
              if (i != out_a) pins.push_back(c.fan_in(first)[i]);
            }
            for (std::size_t i = 0; i < c.fan_in(second).size(); ++i) {
              if (i != out_b) pins.push_back(c.fan_in(second)[i]);
            }
            std::sort(pins.begin(), pins.end());
            pins.erase(std::unique(pins.begin(), pins.end()), pins.end());
            if (pins.size() < 2) continue;
            CircuitChange change;
            change.adds_gate = true;
            change.kind = c.kind(first);
            change.pins = std::move(pins);
            change.reader = sum;
            candidates.push_back({std::move(change)});
          }
        }
      }
    }
  }
  if (candidates.size() > most_candidates) candidates.resize(most_candidates);
  StateSpaceOptions space_options;
  space_options.any_delay = options.any_delay;
  space_options.stable_limit = options.stable_limit;
  space_options.transition_limit = options.transition_limit;
  space_options.input_limit = options.input_limit;
  space_options.single_changes_only = true;
  space_options.stop = options.stop;
  for (const Candidate& candidate : candidates) {
    const Circuit changed = changed_copy(c, candidate.change);
    if (!settles_there(study, changed, steps, options)) continue;
    const StateSpace space = explore(changed, space_options);
    if (!space.complete) continue;
    const bool settles = std::all_of(space.transitions.begin(), space.transitions.end(),
                                     [](const Transition& step) { return step.judged && step.verdict == Verdict::settles; });
    if (!settles || !same_behaviour(study.behaviour, behaviour_of(changed, space, changed.outputs()))) continue;
    Cure cure;
    for (const NetId net : candidate.change.pins) cure.terms.push_back(c.net_name(net));
    cure.gate = fmt::format("{} {} gate of {} that feeds '{}' as a further input",
                            std::string_view("AO").find(upper(candidate.change.kind)[0]) != std::string_view::npos ? "an" : "a",
                            upper(candidate.change.kind), listed(cure.terms), c.gate_name(candidate.change.reader));
    return cure;
  }
  return std::nullopt;
}

std::optional<Margin> find_margin(const CellStudy& study, const std::vector<std::uint32_t>& steps) {
  const Circuit& c = study.circuit;
  if (c.gate_count() > 64) return std::nullopt;
  // Does it spoil a step, and does it make it go on for ever?
  const auto spoils = [&](GateId slow, std::uint64_t delay, bool& hangs) {
    CircuitChange change;
    change.delays.assign(c.gate_count(), 1);
    change.delays[slow] = delay;
    const Circuit changed = changed_copy(c, change);
    for (const std::uint32_t t : steps) {
      const Transition& step = study.space.transitions[t];
      if (step.equal_delay == no_state) continue;
      std::vector<Value> inputs;
      const VectorIndex from = study.space.stable[step.from].inputs;
      for (unsigned i = 0; i < c.input_count(); ++i) inputs.push_back(to_value(study.behaviour.input_at(from, i)));
      Kernel kernel(changed);
      kernel.power_up(inputs, study.space.nodes_of(step.from));
      kernel.run_instant(0);
      for (unsigned i = 0; i < c.input_count(); ++i) {
        kernel.set_input(i, to_value(study.behaviour.input_at(step.inputs, i)));
      }
      kernel.run_instant(0);
      const Continuation ahead = look_ahead(kernel, 100'000);
      if (ahead.kind == Continuation::Kind::undecided) continue;
      if (ahead.kind == Continuation::Kind::repeats) return hangs = true;
      while (const auto next = kernel.next_time()) kernel.run_instant(*next);
      const auto wanted = study.space.nodes_of(step.equal_delay);
      for (GateId gate = 0; gate < c.gate_count(); ++gate) {
        if (kernel.value(changed.output_of(gate)) != wanted[gate]) return true;
      }
    }
    return false;
  };
  for (std::uint64_t delay = 2; delay <= most_delay; ++delay) {
    Margin margin;
    margin.delay = delay;
    for (GateId slow = 0; slow < c.gate_count(); ++slow) {
      bool hangs = false;
      if (!spoils(slow, delay, hangs)) continue;
      margin.gates.push_back(slow);
      if (hangs) margin.hanging.push_back(slow);
    }
    if (!margin.gates.empty()) return margin;
  }
  return std::nullopt;
}

}  // namespace settle
