// Demands -> proofs.
//
// What a cell stores and is called comes from explain(), which is exact or says so. How it settles comes
// from the stable states of its loop cones (loop_cones.h) and the steps between them, judged for all gate
// delays. `power-up known` follows the steps demanded from every stable state of the first of them, for
// every value of the inputs that were not named; the states possible after a step are the union of what
// follows from those before.
// Demands on times are compared with what measure_timing() finds (requirement_timing.h).
// A counter-example found before a limit is a counter-example; "holds" is said only when all was judged.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "check/loop_cones.h"
#include "check/requirement_timing.h"
#include "settle/explain.h"
#include "settle/requirement.h"
#include "settle/stable_proofs.h"
#include "settle/state_space.h"
#include "settle/stimulus.h"
#include "settle/text_reader.h"
#include "sim/bound_stimulus.h"

namespace settle {
namespace {

using Answer = RequirementOutcome::Answer;

constexpr std::uint64_t most_cone_gates = 4'000'000;
constexpr std::size_t most_free_inputs = 10;  // that power-up steps leave free: all their values are tried
constexpr std::size_t most_shown = 4;         // states, inputs or gates in a message

std::string bits(std::uint64_t count) { return fmt::format("{} bit{}", count, count == 1 ? "" : "s"); }

template <class Names>
std::string some_of(const Names& names, std::string_view separator) {
  std::string text;
  for (std::size_t i = 0; i < std::min(names.size(), most_shown); ++i) {
    text += (i == 0 ? "" : std::string(separator)) + names[i];
  }
  if (names.size() > most_shown) text += fmt::format("{}{} more", separator, names.size() - most_shown);
  return text;
}

std::string inputs_at(const Circuit& circuit, VectorIndex vector) {
  std::vector<std::string> parts;
  for (NetId net = 0; net < circuit.input_count(); ++net) {
    parts.push_back(
        fmt::format("{}={}", circuit.net_name(net), vector >> (circuit.input_count() - 1 - net) & 1u));
  }
  return fmt::format("{}", fmt::join(parts, " "));
}

std::string outputs_in(const Circuit& circuit, const StateSpace& space, std::uint32_t state) {
  std::vector<std::string> parts;
  for (const NetId net : circuit.outputs()) {
    parts.push_back(fmt::format("{}={}", circuit.net_name(net), to_char(space.value(circuit, state, net))));
  }
  return some_of(parts, " ");
}

RequirementOutcome unjudged(std::string why, bool by_limit = true) {
  return {Answer::unjudged, std::move(why),
          by_limit ? "--limit-states N allows more work"
                   : "give each wire that a gate reads a driver, or a pull gate for when its drivers are off"};
}

// One step that falls short, in words.
std::string step_text(const Circuit& circuit, const StateSpace& space, const Transition& step) {
  const StableState& from = space.stable[step.from];
  std::string changed = "an input changes";
  for (NetId net = 0; net < circuit.input_count(); ++net) {
    const VectorIndex bit = VectorIndex{1} << (circuit.input_count() - 1 - net);
    if (((from.inputs ^ step.inputs) & bit) != 0) {
      changed = fmt::format("{} {}", circuit.net_name(net), (step.inputs & bit) != 0 ? "rises" : "falls");
    }
  }
  std::vector<std::string> gates;
  for (const GateId gate : step.racing) gates.push_back(circuit.gate_name(gate));
  const std::string_view what = step.verdict == Verdict::oscillation ? "it never comes to rest"
                                : step.verdict == Verdict::indeterminate
                                    ? "it is left undecided"
                                    : "the result depends on gate delays";
  std::string text = fmt::format("when {} from {}, while {}, {}", changed, inputs_at(circuit, from.inputs),
                                 outputs_in(circuit, space, step.from), what);
  if (!gates.empty())
    text += fmt::format(" ({} {})", some_of(gates, ", "), gates.size() == 1 ? "is the gate" : "race");
  return text;
}

}  // namespace

struct RequirementJudge::Work {
  const Circuit& circuit;
  RequirementLimits limits;
  std::optional<Explanation> explanation;
  std::optional<Timing> timing;  ///< with the most delays
  std::optional<bool> open;      ///< a gate may read a wire without a level

  const Timing& timed() {
    if (!timing) {
      TimingOptions options;
      options.delays = limits.delays;
      options.any_delay = limits.any_delay;
      options.stop = limits.stop;
      timing = measure_timing(circuit, options);
    }
    return *timing;
  }

  const Explanation& explained() {
    if (!explanation) {
      ExplainOptions options;
      options.any_delay = limits.any_delay;
      options.stop = limits.stop;
      explanation = explain(circuit, options);
    }
    return *explanation;
  }

  static bool lacks_level(const Explanation& found) {
    return found.may_lack_level ||
           std::any_of(found.cells.begin(), found.cells.end(), [](const ExplainedCell& cell) { return cell.may_lack_level; });
  }

  /// Asked once; what rests on stable states alone proves nothing then.
  bool lacks_level() {
    if (!open) {
      ProofOptions options;
      options.stop = limits.stop;
      open = may_lack_level(circuit, std::vector<Value>(circuit.input_count(), Value::x), options);
    }
    return *open;
  }

  static RequirementOutcome unlevelled() {
    return unjudged("with some inputs a gate may read a wire that floats or is fought over, which is neither 0 nor 1", false);
  }

  RequirementOutcome stores(std::uint64_t wanted) {
    const Explanation& found = explained();
    const std::string& cell = circuit.cell_name();
    const std::string hint = fmt::format("'settle explain --cell {}' shows what it does", cell);
    const bool known =
        found.bits_known && (found.bits_exact || found.bits_stored < wanted || found.bits_stored == 0);
    if (lacks_level(found)) return unlevelled();
    if (known && found.bits_stored == wanted) return {Answer::holds, {}, {}};
    if (known) {
      return {Answer::broken,
              fmt::format("cell '{}' stores {}, not {}", cell,
                          found.bits_stored == 0 ? "nothing" : bits(found.bits_stored),
                          wanted == 0 ? "nothing" : bits(wanted)),
              hint};
    }
    if (wanted == 0) {
      // Whether anything can be stored at all is a simpler question.
      ProofOptions options;
      options.stop = limits.stop;
      const std::vector<Value> free(circuit.input_count(), Value::x);
      if (!lacks_level(found) && prove_memory(circuit, free, options).is_free()) return {Answer::holds, {}, {}};
    }
    return unjudged(found.incomplete_reason.empty()
                        ? fmt::format("how many bits cell '{}' stores was not found out", cell)
                        : found.incomplete_reason,
                    !lacks_level(found));
  }

  RequirementOutcome is_kind(const std::string& wanted) {
    const Explanation& found = explained();
    const auto is_head = [&](const std::string& kind) {
      return kind == wanted || (kind.starts_with(wanted) && kind[wanted.size()] == ',');
    };
    if (lacks_level(found)) return unlevelled();
    if (is_head(found.kind)) return {Answer::holds, {}, {}};
    if (!found.complete) return unjudged(found.incomplete_reason, !lacks_level(found));
    const std::string_view names[] = {std::string_view(found.kind).substr(0, found.kind.find(','))};
    const std::string_view near = nearest_name(wanted, names);
    return {Answer::broken,
            fmt::format("cell '{}' is '{}', not '{}'", circuit.cell_name(), found.kind, wanted),
            near.empty() ? fmt::format("'settle explain --cell {}' says why", circuit.cell_name())
                         : fmt::format("did you mean '{}'?", near)};
  }

  StateSpaceOptions space_options() const {
    StateSpaceOptions options;
    options.any_delay = limits.any_delay;
    options.stop = limits.stop;
    return options;
  }

  RequirementOutcome settles(bool whatever_delays) {
    std::vector<LoopCone> cones;
    if (!split_into_cones(circuit, most_cone_gates, true, cones)) {
      return unjudged(fmt::format("the storage loops have more than {} gates together", most_cone_gates));
    }
    std::string limit;
    bool levels_open = false;
    for (const LoopCone& cone : cones) {
      StateSpaceOptions options = space_options();
      options.single_changes_only = true;
      const StateSpace space = explore(cone.circuit, options);
      if (!space.never_stable.empty()) {
        if (space.has_unknown_level(space.never_stable[0])) return unlevelled();
        return {Answer::broken,
                fmt::format("no state is stable{}{}", cone.inputs.empty() ? "" : " with ",
                            cone.inputs.empty() ? "" : inputs_at(cone.circuit, space.never_stable[0])),
                "a loop that must come to rest needs an even number of inversions"};
      }
      const Transition* worst = nullptr;
      bool all = space.all_listed && space.transitions.size() >= space.stable.size() * cone.inputs.size();
      for (const Transition& step : space.transitions) {
        all = all && step.judged;
        if (step.judged && (worst == nullptr || step.verdict > worst->verdict)) worst = &step;
      }
      if (worst != nullptr &&
          worst->verdict > (whatever_delays ? Verdict::settles : Verdict::delay_dependent)) {
        return {Answer::broken, step_text(cone.circuit, space, *worst),
                fmt::format("'settle states --cell {} --single' lists all such steps", circuit.cell_name())};
      }
      if ((!all || !space.unknown_level.empty()) && limit.empty()) {
        limit = space.incomplete_reason.empty() ? "not all steps were judged" : space.incomplete_reason;
        levels_open = !space.unknown_level.empty();
      }
    }
    if (limit.empty() && lacks_level()) return unlevelled();
    return limit.empty() ? RequirementOutcome{Answer::holds, {}, {}} : unjudged(limit, !levels_open);
  }

  /// The values that each step gives inputs, bit by bit.
  std::optional<std::vector<std::vector<BitValue>>> bind_steps(const Requirement& demand,
                                                               std::string& problem) {
    std::string text;
    for (const std::string& step : demand.steps) text += "set " + step + "\n";
    TextReader reader(text);
    Sources scratch;
    Diagnostics diagnostics;
    const Stimulus stimulus = parse_stimulus("require", reader, scratch, diagnostics);
    const auto bound = diagnostics.has_errors() ? std::nullopt : bind(stimulus, circuit, diagnostics);
    if (!bound) {
      for (const Diagnostic& d : diagnostics.all())
        problem = d.severity == Severity::error && problem.empty() ? d.text : problem;
      return std::nullopt;
    }
    std::vector<std::vector<BitValue>> steps;
    for (const BoundStatement& statement : bound->statements) {
      auto& step = steps.emplace_back();
      for (const BoundAssignment& assignment : statement.assignments) {
        step.insert(step.end(), assignment.bits.begin(), assignment.bits.end());
      }
    }
    return steps;
  }

  RequirementOutcome power_up_known(const Requirement& demand) {
    std::string problem;
    const auto steps = bind_steps(demand, problem);
    if (!steps) return {Answer::broken, problem, {}};
    std::vector<LoopCone> cones;
    // Alike cones may have different inputs named: each is looked at.
    if (!split_into_cones(circuit, most_cone_gates, false, cones)) {
      return unjudged(fmt::format("the storage loops have more than {} gates together", most_cone_gates));
    }
    std::string limit;
    for (const LoopCone& cone : cones) {
      RequirementOutcome outcome = known_in(cone, *steps);
      if (outcome.answer == Answer::broken) return outcome;
      if (outcome.answer == Answer::unjudged && limit.empty()) limit = outcome.message;
    }
    if (limit.empty() && lacks_level()) return unlevelled();
    return limit.empty() ? RequirementOutcome{Answer::holds, {}, {}} : unjudged(limit);
  }

  RequirementOutcome known_in(const LoopCone& cone, const std::vector<std::vector<BitValue>>& steps) {
    const auto n = static_cast<std::uint32_t>(cone.inputs.size());
    const auto bit_of = [&](std::uint32_t input) { return VectorIndex{1} << (n - 1 - input); };
    if (n > 31) return unjudged(fmt::format("a storage loop depends on {} inputs", n));
    // Per step: the inputs of this cone that it sets, and to what.
    std::vector<std::pair<VectorIndex, VectorIndex>> sets;
    VectorIndex named = 0;
    for (const auto& step : steps) {
      auto& [mask, value] = sets.emplace_back(0, 0);
      for (const BitValue& assigned : step) {
        const auto at = std::lower_bound(cone.inputs.begin(), cone.inputs.end(), assigned.net);
        if (at == cone.inputs.end() || *at != assigned.net) continue;
        const VectorIndex bit = bit_of(static_cast<std::uint32_t>(at - cone.inputs.begin()));
        mask |= bit;
        if (assigned.value == Value::one) value |= bit;
      }
      named |= mask;
    }
    std::vector<std::uint32_t> unnamed, named_late;
    for (std::uint32_t i = 0; i < n; ++i) {
      if ((named & bit_of(i)) == 0)
        unnamed.push_back(i);
      else if ((sets[0].first & bit_of(i)) == 0)
        named_late.push_back(i);
    }
    if (unnamed.size() + named_late.size() > most_free_inputs) {
      return unjudged(fmt::format("the steps leave {} inputs of a storage loop free",
                                  unnamed.size() + named_late.size()));
    }
    std::string limit;
    for (VectorIndex choice = 0; choice < (VectorIndex{1} << unnamed.size()); ++choice) {
      StateSpaceOptions options = space_options();
      options.held.assign(n, Value::x);
      VectorIndex held = 0;
      for (std::size_t i = 0; i < unnamed.size(); ++i) {
        const bool one = (choice >> i & 1u) != 0;
        options.held[unnamed[i]] = to_value(one);
        if (one) held |= bit_of(unnamed[i]);
      }
      const StateSpace space = explore(cone.circuit, options);
      if (!space.all_listed) return unjudged(space.incomplete_reason);
      for (VectorIndex late = 0; late < (VectorIndex{1} << named_late.size()); ++late) {
        VectorIndex start = held;
        for (std::size_t i = 0; i < named_late.size(); ++i) {
          if ((late >> i & 1u) != 0) start |= bit_of(named_late[i]);
        }
        RequirementOutcome outcome = follow(cone.circuit, space, start, sets);
        if (outcome.answer == Answer::broken) return outcome;
        if (outcome.answer == Answer::unjudged && limit.empty()) limit = outcome.message;
      }
    }
    return limit.empty() ? RequirementOutcome{Answer::holds, {}, {}} : unjudged(limit);
  }

  static RequirementOutcome follow(const Circuit& cone, const StateSpace& space, VectorIndex start,
                                   const std::vector<std::pair<VectorIndex, VectorIndex>>& sets) {
    const auto then = [](VectorIndex vector, const std::pair<VectorIndex, VectorIndex>& set) {
      return (vector & ~set.first) | set.second;
    };
    VectorIndex at = then(start, sets[0]);
    std::set<std::uint32_t> states;
    const auto [first, last] = space.states_with(at);
    for (std::uint32_t state = first; state < last; ++state) states.insert(state);
    if (space.has_unknown_level(at)) {
      return unjudged(fmt::format("at power-up with {} a gate may read a wire that floats or is fought over", inputs_at(cone, at)), false);
    }
    if (states.empty()) {
      return {Answer::broken,
              fmt::format("no state is stable at power-up{}{}", cone.input_count() == 0 ? "" : " with ", inputs_at(cone, at)), {}};
    }
    for (std::size_t step = 1; step < sets.size(); ++step) {
      const VectorIndex next = then(at, sets[step]);
      if (next == at) continue;
      std::set<std::uint32_t> reached;
      for (const std::uint32_t state : states) {
        const Transition* transition = space.transition(state, next);
        if (transition == nullptr || !transition->judged) return unjudged("a step was not judged");
        if (transition->may_cycle || transition->to.empty()) {
          return {Answer::broken,
                  fmt::format("when the inputs become {}, it may hang or never come to rest, coming from {}",
                              inputs_at(cone, next), outputs_in(cone, space, state)),
                  {}};
        }
        reached.insert(transition->to.begin(), transition->to.end());
      }
      states = std::move(reached);
      at = next;
    }
    std::set<std::uint32_t> alike;
    std::vector<std::string> shown;
    for (const std::uint32_t state : states) {
      if (alike.insert(space.stable[state].alike).second) shown.push_back(outputs_in(cone, space, state));
    }
    if (alike.size() == 1) return {Answer::holds, {}, {}};
    return {Answer::broken,
            fmt::format("after these steps, with {}, {} states are possible: {}", inputs_at(cone, at),
                        alike.size(), some_of(shown, " | ")),
            "'settle states' shows a synchronising sequence, if there is one"};
  }
};

RequirementJudge::RequirementJudge(const Circuit& circuit, const RequirementLimits& limits)
    : work_(std::make_unique<Work>(Work{circuit, limits, std::nullopt, std::nullopt, std::nullopt})) {}
RequirementJudge::~RequirementJudge() = default;
RequirementJudge::RequirementJudge(RequirementJudge&&) noexcept = default;

RequirementOutcome RequirementJudge::judge(const Requirement& requirement) {
  switch (requirement.kind) {
    case Requirement::Kind::stores: return work_->stores(requirement.bits);
    case Requirement::Kind::no_memory: return work_->stores(0);
    case Requirement::Kind::kind: return work_->is_kind(requirement.name);
    case Requirement::Kind::settles: return work_->settles(false);
    case Requirement::Kind::settles_always: return work_->settles(true);
    case Requirement::Kind::power_up_known: return work_->power_up_known(requirement);
    case Requirement::Kind::delay:
    case Requirement::Kind::setup:
    case Requirement::Kind::hold:
    case Requirement::Kind::recovery:
    case Requirement::Kind::pulse:
      return judge_times(requirement, work_->timed(), work_->circuit.cell_name());
  }
  return {};
}

}  // namespace settle
