// Lays out a run: start states, one lane each, and one result of all of them.
#include "settle/run.h"

#include <algorithm>

#include <fmt/format.h>

#include "settle/pattern.h"
#include "settle/stable_states.h"
#include "sim/bound_stimulus.h"
#include "sim/lane.h"
#include "sim/power_up.h"
#include "sim/run_apart.h"
#include "sim/signals.h"

namespace settle {
namespace {

struct Starts {
  std::vector<GateValues> states;
  bool known = false;        ///< the start is judged as a step
  bool complete = true;
  bool none_stable = false;
};

std::optional<Starts> start_states(const Circuit& circuit, const BoundStimulus& stimulus, const RunOptions& options,
                                   Diagnostics& diagnostics) {
  const std::vector<Value> inputs = inputs_at_start(stimulus, circuit);
  const std::uint64_t seed = options.seed.value_or(stimulus.seed);
  Starts starts;
  switch (stimulus.power_up) {
    case PowerUp::Kind::unknown: break;
    case PowerUp::Kind::chosen:
      starts.states.push_back(chosen_start(circuit, inputs, stimulus.start));
      starts.known = true;
      break;
    case PowerUp::Kind::random:
      starts.states.push_back(random_start(circuit, inputs, seed));
      starts.known = true;
      break;
    case PowerUp::Kind::every: {
      for (NetId net = 0; net < circuit.input_count(); ++net) {
        if (is_binary(inputs[net])) continue;
        const std::string name = circuit.net_name(net);
        diagnostics.error(stimulus.power_up_place,
                          fmt::format("'power-up every' needs all inputs to be 0 or 1 from the start, but '{}' is {}",
                                      name, to_char(inputs[net])),
                          fmt::format("add 'set {}=0' before the first statement that advances time", name));
        return std::nullopt;
      }
      StableSearch search;
      search.limit = options.lane_limit;
      search.stop = options.stop;
      StableList list = find_stable_states(circuit, inputs, search);
      starts.complete = list.complete;
      starts.none_stable = list.states.empty() && list.complete;
      starts.states = std::move(list.states);
      starts.known = !starts.states.empty();
      break;
    }
  }
  if (starts.states.empty()) starts.states.emplace_back(circuit.gate_count(), Value::x);
  return starts;
}

bool seen_on_other_lane(const Finding& a, const Finding& b) {
  return a.kind == b.kind && a.time == b.time && a.gates == b.gates && a.nets == b.nets && a.outcomes == b.outcomes;
}

void merge_findings(std::vector<Finding>& all, std::vector<Finding>& more) {
  for (Finding& f : more) {
    const auto same = std::find_if(all.begin(), all.end(), [&](const Finding& g) { return seen_on_other_lane(f, g); });
    if (same == all.end()) {
      all.push_back(std::move(f));
    } else {
      same->expected = same->expected && f.expected;
      same->repeats = std::max(same->repeats, f.repeats);
    }
  }
}

bool looks_back(const BoundStatement& s) {
  return s.kind == StimulusStatement::Kind::expect_changes || s.kind == StimulusStatement::Kind::expect_time;
}

std::optional<RunResult> run_lanes(const Circuit& circuit, const Stimulus& stimulus, const RunOptions& asked_options, bool meet,
                                   Diagnostics& diagnostics) {
  RunOptions options = asked_options;
  if (options.any_delay.stop == nullptr) options.any_delay.stop = options.stop;
  const std::optional<BoundStimulus> bound = bind(stimulus, circuit, diagnostics);
  if (!bound) return std::nullopt;
  const std::optional<Starts> starts = start_states(circuit, *bound, options, diagnostics);
  if (!starts) return std::nullopt;

  RunResult result;
  const SignalPlan plan = plan_signals(circuit, options);
  if (!check_patterns(plan, options, diagnostics)) return std::nullopt;
  std::vector<NetId> watched = plan.nets;
  const std::vector<NetId> asked = nets_to_watch(*bound, circuit);
  watched.insert(watched.end(), asked.begin(), asked.end());

  result.lanes = static_cast<std::uint32_t>(starts->states.size());
  if (!starts->complete) {
    result.complete = false;
    result.incomplete_reason =
        is_set(options.stop) ? std::string("stopped from outside while start states were looked for")
                             : fmt::format("more than {} stable start states; only so many were run: {}",
                                           options.lane_limit, limit_hint(LimitKind::lanes, options.lane_limit));
  }
  if (starts->none_stable) {
    Finding f;
    f.kind = Finding::Kind::oscillation;
    f.causes.push_back({"power-up", 0, Value::x, Value::x});
    f.message = "at power-up no stable state exists for the inputs at time 0, so the run starts unknown";
    result.findings.push_back(std::move(f));
  }
  RunWork work(*bound, options, result.lanes);
  std::vector<Judged> judged;
  // What looks back at earlier changes can differ after a meeting, too.
  const bool can_meet = meet && result.lanes > 1 && std::none_of(bound->statements.begin(), bound->statements.end(), looks_back);
  Meetings meetings;
  for (std::uint32_t number = 0; number < result.lanes; ++number) {
    Lane lane(circuit, *bound, options, watched, work);
    work.next_lane();
    lane.run(starts->states[number], starts->known, can_meet ? &meetings : nullptr, number);
    result.evaluations += lane.counts().evaluations;
    result.net_changes += lane.counts().net_changes;
    meetings.end(number, lane.counts(), lane.complete());
    merge_findings(result.findings, lane.findings());
    if (number == 0) {
      result.waveform = plan.waveform(circuit, lane.recorder(), lane.end());
      judged.resize(lane.judged().size());
    }
    std::vector<Judged>& here = lane.judged();
    judged.resize(std::max(judged.size(), here.size()));
    for (std::size_t i = 0; i < here.size(); ++i) {
      if (here[i].passed) continue;
      if (judged[i].passed) {
        judged[i] = std::move(here[i]);
        judged[i].failure.lane = number;
      }
    }
    if (!lane.complete()) {
      result.complete = false;
      result.incomplete_reason = lane.incomplete_reason();
      if (result.lanes > 1) {
        result.incomplete_reason += fmt::format(" (start state {} of {})", number + 1, result.lanes);
      }
      if (is_set(options.stop) || work.is_over()) break;
    }
  }
  std::stable_sort(result.findings.begin(), result.findings.end(),
                   [](const Finding& a, const Finding& b) { return a.time < b.time; });
  for (Judged& j : judged) {
    if (j.passed) {
      ++result.passed;
    } else {
      ++result.failed;
      result.failures.push_back(std::move(j.failure));
    }
  }
  return result;
}

}  // namespace

std::optional<RunResult> run(const Circuit& circuit, const Stimulus& stimulus, const RunOptions& options, Diagnostics& diagnostics) {
  return run_lanes(circuit, stimulus, options, true, diagnostics);
}

std::optional<RunResult> run_apart(const Circuit& circuit, const Stimulus& stimulus, const RunOptions& options,
                                   Diagnostics& diagnostics) {
  return run_lanes(circuit, stimulus, options, false, diagnostics);
}

}  // namespace settle
