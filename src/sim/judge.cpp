#include "sim/judge.h"

#include <algorithm>

#include <fmt/format.h>

#include "sim/finding_text.h"

namespace settle {
namespace {

constexpr std::size_t most_outcomes = 64;

// Inputs stand still: runs a copy to rest. False when it does not come to rest within the limit.
bool run_to_rest(Kernel& kernel, Time limit, const std::atomic<bool>* stop) {
  while (const auto next = kernel.next_time()) {
    if (*next > limit || is_set(stop)) return false;
    kernel.run_instant(*next);
  }
  return true;
}

}  // namespace

Judge::Judge(const Circuit& circuit, const RunOptions& options, SearchAllowance& searches)
    : circuit_(circuit), options_(options), analyzer_(circuit), searches_(searches) {}

StepOutcome Judge::any_delay(const Step& step, bool skewed) {
  StepOutcome outcome;
  AnyDelayLimits limits = options_.any_delay;
  limits.states = allowed_ = searches_.states_for(in_doubt_);
  outcome.complete = allowed_ != 0;
  if (!outcome.complete) return outcome;
  outcome = analyzer_.any_delay(step, limits, skewed);
  if (!outcome.complete) searches_.count_failed();
  for (const StepPart& part : outcome.parts) work_ += part.states;
  return outcome;
}

Continuation Judge::ahead(const Kernel& kernel) {
  Continuation run = look_ahead(kernel, later(kernel.now(), options_.time_limit), options_.stop);
  work_ += run.instants;
  return run;
}

void Judge::follow(const Kernel& kernel) {
  for (const NetId net : kernel.changed()) before_[net] = kernel.value(net);
}

Finding Judge::finding(Finding::Kind kind, Time time) const {
  Finding f;
  f.kind = kind;
  f.time = time;
  f.causes = causes_;
  const bool warns = kind == Finding::Kind::indeterminate || kind == Finding::Kind::oscillation ||
                     kind == Finding::Kind::contention || kind == Finding::Kind::not_settled;
  f.severity = warns ? FindingSeverity::warning : FindingSeverity::note;
  return f;
}

// The nets that differ, and their values in each combination of the parts' outcomes.
void Judge::name_outcomes(const StepOutcome& outcome, Finding& f) const {
  struct Column {
    std::size_t part, gate;
  };
  std::vector<Column> columns;
  for (std::size_t p = 0; p < outcome.parts.size(); ++p) {
    const StepPart& part = outcome.parts[p];
    for (std::size_t g = 0; g < part.gates.size(); ++g) {
      const bool differs = std::binary_search(part.differing.begin(), part.differing.end(), part.gates[g]) ||
                           std::any_of(part.outcomes.begin(), part.outcomes.end(),
                                       [&](const auto& o) { return o[g] != part.outcomes[0][g]; });
      if (!differs) continue;
      columns.push_back({p, g});
      f.nets.push_back(circuit_.net_name(circuit_.visible_net(part.gates[g])));
    }
    for (const GateId gate : part.racing) f.gates.push_back(circuit_.gate_name(gate));
  }
  f.outcome_count = outcome.outcome_count();
  if (f.outcome_count == 0) return;
  std::vector<std::size_t> choice(outcome.parts.size(), 0);
  while (f.outcomes.size() < most_outcomes) {
    std::vector<Value> row;
    row.reserve(columns.size());
    for (const Column& c : columns) row.push_back(outcome.parts[c.part].outcomes[choice[c.part]][c.gate]);
    f.outcomes.push_back(std::move(row));
    std::size_t p = choice.size();
    while (p > 0 && ++choice[p - 1] == outcome.parts[p - 1].outcomes.size()) choice[--p] = 0;
    if (p == 0) break;
  }
}

// Was some gate of the loops, or in front of them, still excited before the inputs changed?
bool Judge::was_settling(const Kernel& kernel) const {
  std::vector<Value> pins;
  for (const GateId gate : kernel.pending_gates()) {
    if (!circuit_.reaches_loop(gate)) continue;
    pins.clear();
    for (const NetId net : circuit_.fan_in(gate)) pins.push_back(before_[net]);
    if (evaluate(circuit_.kind(gate), pins) != before_[circuit_.output_of(gate)]) return true;
  }
  return false;
}

std::optional<Collapse> Judge::step(const Kernel& kernel, std::span<const InputChange> changes, bool at_power_up,
                                    std::vector<Finding>& findings) {
  const Time now = kernel.now();
  causes_.clear();
  for (const InputChange& c : changes) {
    causes_.push_back({circuit_.net_name(c.net), now, before_[c.net], c.value});
  }
  if (at_power_up) causes_ = {{"power-up", 0, Value::x, Value::x}};
  // Gate outputs as they are now, inputs as they were: the changes come on top of gates that fired
  // in this very instant.
  for (const NetId net : kernel.changed()) {
    if (!circuit_.is_input(net) || at_power_up) before_[net] = kernel.value(net);
  }
  std::optional<Collapse> collapse;
  if (circuit_.loop_count() != 0 && !is_set(options_.stop)) {
    Step step{before_, at_power_up ? std::span<const InputChange>() : changes};
    // One look at every gate is saved as long as what is excited is pending: not any more once gates
    // were made unknown whose inputs stand still.
    std::vector<GateId> pending;
    if (!at_power_up && !has_collapsed_) {
      pending = kernel.pending_gates();
      step.excited = pending;
    }
    const TernaryResult ternary = analyzer_.ternary(step);
    if (!at_power_up && !ternary.active.empty() && was_settling(kernel)) {
      Finding f = finding(Finding::Kind::unsettled_change, now);
      for (const GateId gate : kernel.pending_gates()) {
        if (circuit_.loop_of(gate) != no_id) f.nets.push_back(circuit_.net_name(circuit_.visible_net(gate)));
      }
      if (f.nets.empty()) f.nets.push_back("the circuit");
      f.message = message_of(f, circuit_.time_unit(), circuit_.has_delays());
      findings.push_back(std::move(f));
    }
    if (!ternary.undecided.empty()) {
      in_doubt_ = ternary.undecided.size();
      const StepOutcome outcome = any_delay(step, false);
      if (is_set(options_.stop)) return collapse;
      if (outcome.known && outcome.settles()) {
        if (changes.size() > 1) check_skew(kernel, step, findings);
      } else if (outcome.known || !outcome.complete) {
        const Continuation run = ahead(kernel);
        const bool repeats = run.kind == Continuation::Kind::repeats;
        Finding f = finding(Finding::Kind::unjudged, now);
        if (outcome.complete && run.kind != Continuation::Kind::undecided) {
          const Verdict verdict = verdict_of(outcome, repeats);
          f = finding(verdict == Verdict::oscillation     ? Finding::Kind::oscillation
                      : verdict == Verdict::indeterminate ? Finding::Kind::indeterminate
                                                          : Finding::Kind::delay_dependent,
                      now);
          name_outcomes(outcome, f);
          f.may_hang = verdict == Verdict::indeterminate;
        }
        if (repeats) {
          // Whatever the limit kept from being known: with these delays it never rests.
          f.severity = f.kind == Finding::Kind::unjudged ? FindingSeverity::warning : f.severity;
          f.period = run.period;
          f.since = run.end;
          if (f.gates.empty()) {
            for (const GateId gate : run.moving) f.gates.push_back(circuit_.gate_name(gate));
          }
          if (f.nets.empty()) {
            for (const GateId gate : run.moving) f.nets.push_back(circuit_.net_name(circuit_.visible_net(gate)));
          }
          collapse = Collapse{run.end, outcome.complete ? outcome.differing : run.moving};
          // What moves in the run differs in any case; the analysis may see more.
          std::vector<GateId> all;
          std::set_union(collapse->gates.begin(), collapse->gates.end(), run.moving.begin(), run.moving.end(),
                         std::back_inserter(all));
          collapse->gates = std::move(all);
          has_collapsed_ = true;
        }
        f.message = f.kind == Finding::Kind::unjudged
                        ? unjudged_text(f, outcome)
                        : message_of(f, circuit_.time_unit(), circuit_.has_delays());
        findings.push_back(std::move(f));
      }
    }
  }
  for (const InputChange& c : changes) before_[c.net] = c.value;
  return collapse;
}

// What kept a step from its verdict, and how to get one.
std::string Judge::unjudged_text(const Finding& f, const StepOutcome& outcome) const {
  const std::uint64_t failed = searches_.failed();
  if (allowed_ == 0) {
    return fmt::format("{}, this step has no verdict: {} steps before it met the limit, and no states are left to look at; {}",
                       cause_text(f.causes), failed, limit_hint(LimitKind::states, options_.any_delay.states));
  }
  if (outcome.complete) {
    return fmt::format("{}, with the given delays it neither rests nor repeats within {} ticks, so this step has no verdict; "
                       "--limit-time allows more",
                       cause_text(f.causes), options_.time_limit);
  }
  std::string text = message_of(f, circuit_.time_unit(), circuit_.has_delays());
  if (f.severity == FindingSeverity::warning) text += "; with the given delays it goes on for ever";
  if (!outcome.complete && allowed_ < options_.any_delay.states) {
    text += fmt::format(" (of {} states this step had {}", options_.any_delay.states, allowed_);
    if (in_doubt_ > 64) text += fmt::format(", since {} gates are in doubt", in_doubt_);
    if (failed > 1) text += fmt::format(", {} steps before it having met the limit", failed - 1);
    text += ")";
  }
  return text;
}

// The skewed step is worse: try each input ahead of the others on copies, and say what comes of it.
void Judge::check_skew(const Kernel& kernel, const Step& step, std::vector<Finding>& findings) {
  const StepOutcome skewed = any_delay(step, true);
  if (!skewed.known || !skewed.complete || skewed.settles()) return;
  Finding f = finding(Finding::Kind::skew, kernel.now());
  f.skewed_verdict = verdict_of(skewed, false);
  name_outcomes(skewed, f);
  const Time limit = later(kernel.now(), options_.time_limit);

  Kernel together = kernel;
  run_to_rest(together, limit, options_.stop);
  std::vector<std::string> first_bad;
  constexpr std::size_t most_tried = 8;
  for (std::size_t first = 0; first < step.changes.size() && first < most_tried; ++first) {
    Kernel apart = kernel;
    for (std::size_t i = 0; i < step.changes.size(); ++i) {
      if (i != first) apart.set_input(step.changes[i].net, before_[step.changes[i].net]);
    }
    apart.run_instant(apart.now());
    bool rests = run_to_rest(apart, limit, options_.stop);
    for (const InputChange& c : step.changes) apart.set_input(c.net, c.value);
    apart.run_instant(apart.now());
    rests = rests && run_to_rest(apart, limit, options_.stop);
    const bool same = rests && std::all_of(skewed.differing.begin(), skewed.differing.end(), [&](GateId gate) {
      return apart.value(circuit_.output_of(gate)) == together.value(circuit_.output_of(gate));
    });
    if (!same) first_bad.push_back(circuit_.net_name(step.changes[first].net));
  }
  f.message = message_of(f, circuit_.time_unit(), circuit_.has_delays());
  if (!first_bad.empty() && first_bad.size() < step.changes.size()) {
    f.message += fmt::format(": {} must not come before the {}, or it ends otherwise ({})", list_text(first_bad),
                             step.changes.size() > 2 ? "others" : "other", outcomes_text(f));
  } else if (f.outcome_count > 1) {
    f.message += fmt::format(" ({})", outcomes_text(f));
  }
  findings.push_back(std::move(f));
}

std::optional<Collapse> Judge::long_unrest(const Kernel& kernel, std::vector<Finding>& findings) {
  const Continuation run = ahead(kernel);
  if (run.kind != Continuation::Kind::repeats) return std::nullopt;
  Finding f = finding(Finding::Kind::oscillation, causes_.empty() ? kernel.now() : causes_[0].time);
  f.period = run.period;
  f.since = run.end;
  for (const GateId gate : run.moving) {
    f.gates.push_back(circuit_.gate_name(gate));
    f.nets.push_back(circuit_.net_name(circuit_.visible_net(gate)));
  }
  f.message = fmt::format("{}, {} keep changing: the state repeats every {} ticks (unknown values elsewhere keep "
                          "other gate delays from being judged)",
                          cause_text(f.causes), list_text(f.nets), run.period);
  findings.push_back(std::move(f));
  has_collapsed_ = true;
  return Collapse{run.end, run.moving};
}

}  // namespace settle
