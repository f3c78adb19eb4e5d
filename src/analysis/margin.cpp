// Margins of the steps of a state space.
//
// A step's outcome is the product of its critical parts (step_analysis.h), and a part's outcome hangs on the
// delays of its own gates and of the active gates in front of them only. So each part is searched alone, with
// all that lies in front of it, and the least margin counts. Parts that are alike, with equal nominal delays,
// are searched once.
#include "settle/margin.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "analysis/margin_search.h"
#include "analysis/space_steps.h"
#include "analysis/subnetwork.h"
#include "analysis/witness_check.h"

namespace settle {
namespace {

constexpr std::uint32_t most_gates_in_search = 64;
constexpr std::uint32_t most_fraction = 1'000'000;
constexpr Time most_time = 1'000'000'000'000;

std::uint64_t chosen(const DelayTriple& triple, DelayChoice choice) {
  const std::uint64_t ticks = choice == DelayChoice::min   ? triple.min
                              : choice == DelayChoice::max ? triple.max
                                                           : triple.typ;
  return choice == DelayChoice::unit ? 1 : std::max<std::uint64_t>(1, ticks);
}

// The fraction with a denominator up to a million that is this number; none when it is no such fraction.
std::optional<std::pair<std::uint32_t, std::uint32_t>> fraction_of(double number) {
  std::int64_t over = static_cast<std::int64_t>(std::floor(number)), over_before = 1, under = 1,
               under_before = 0;
  double rest = number - std::floor(number);
  for (int i = 0; i < 40 && under <= most_fraction; ++i) {
    if (std::abs(number - static_cast<double>(over) / static_cast<double>(under)) < 1e-13) {
      return std::pair(static_cast<std::uint32_t>(over), static_cast<std::uint32_t>(under));
    }
    rest = 1 / rest;
    const auto digit = static_cast<std::int64_t>(std::floor(rest));
    rest -= std::floor(rest);
    over = std::exchange(over_before, over) + digit * over;
    under = std::exchange(under_before, under) + digit * under;
  }
  return std::nullopt;
}

class StepMargins {
 public:
  StepMargins(const Circuit& circuit, const StateSpace& space, const MarginOptions& options)
      : circuit_(circuit), space_(space), options_(options), analyzer_(circuit), builder_(circuit) {}

  StepMargin judge(std::uint32_t transition) {
    const Transition& step = space_.transitions[transition];
    StepMargin margin;
    margin.transition = transition;
    values_ = net_values_of(circuit_, space_, step.from);
    const auto changes = changes_between(space_.input_bits, space_.stable[step.from].inputs, step.inputs);
    const Step analysed{values_, changes, std::span<const GateId>()};
    const TernaryResult ternary = analyzer_.ternary(analysed);
    std::vector<std::vector<GateId>> parts;
    if (step.judged) {
      for (StepPart& part : analyzer_.any_delay(analysed, options_.space.any_delay).parts)
        parts.push_back(std::move(part.gates));
    } else {
      parts.push_back(ternary.undecided);
    }
    active_ = ternary.active;
    std::sort(active_.begin(), active_.end());
    for (const InputChange& change : changes) values_[change.net] = change.value;
    margin.kind = MarginKind::unlimited;
    margin.least = 1;
    for (const std::vector<GateId>& part : parts) {
      const Part judged = judge_part(part);
      margin.orders += judged.result.orders;
      if (!take(margin, judged)) return margin;
    }
    if (margin.kind != MarginKind::unlimited) finish(step, margin);
    return margin;
  }

 private:
  struct Part {
    std::vector<GateId> gates;
    MarginKind kind = MarginKind::unknown;
    MarginResult result;
  };

  // The gates of a part and the active gates on which they hang.
  std::vector<GateId> with_fronts(const std::vector<GateId>& part) const {
    std::vector<GateId> gates = part;
    std::vector<bool> seen(circuit_.gate_count(), false);
    for (const GateId gate : gates) seen[gate] = true;
    const auto visit = [&](NetId net) {
      if (!circuit_.is_gate_output(net)) return;
      const GateId gate = circuit_.gate_of(net);
      if (seen[gate] || !std::binary_search(active_.begin(), active_.end(), gate)) return;
      seen[gate] = true;
      gates.push_back(gate);
    };
    for (std::size_t i = 0; i < gates.size(); ++i) {
      for (const NetId pin : circuit_.fan_in(gates[i])) {
        if (!circuit_.is_resolved(pin)) {
          visit(pin);
          continue;
        }
        for (const NetId driver : circuit_.drivers_of(pin)) visit(driver);
      }
    }
    std::sort(gates.begin(), gates.end());
    return gates;
  }

  Part judge_part(const std::vector<GateId>& critical) {
    Part part;
    part.gates = with_fronts(critical);
    if (part.gates.size() > most_gates_in_search) return part;
    const Subnetwork subnetwork =
        builder_.build(part.gates, {}, {}, [this](NetId net) { return values_[net]; });
    if (!subnetwork.known) return part;
    MarginProblem problem;
    std::string key = subnetwork.key();
    for (const GateId gate : part.gates) {
      problem.nominal.rise.push_back(chosen(circuit_.delay(gate).rise, options_.delays));
      problem.nominal.fall.push_back(chosen(circuit_.delay(gate).fall, options_.delays));
      key += '|' + std::to_string(problem.nominal.rise.back()) + ',' +
             std::to_string(problem.nominal.fall.back());
    }
    const auto [at, is_new] = seen_.try_emplace(std::move(key));
    if (is_new) {
      const NarrowNetwork network(subnetwork);
      problem.network = &network;
      at->second.kind = search(problem, at->second.result);
    }
    part.kind = at->second.kind;
    part.result = at->second.result;
    return part;
  }

  MarginKind search(MarginProblem& problem, MarginResult& result) const {
    const DelayRun run = run_with(*problem.network, problem.nominal);
    if (!run.decided) return MarginKind::unknown;
    if (run.repeats) return MarginKind::undecided;
    problem.right = run.end;
    problem.separate_edges = options_.separate_edges;
    problem.most_orders = options_.order_limit;
    problem.stop = options_.space.stop;
    result = find_margin(problem);
    if (!result.known) return MarginKind::unknown;
    if (!result.complete) return MarginKind::between;
    return result.least < 1 ? MarginKind::exact : MarginKind::unlimited;
  }

  // Takes a part into account; false when nothing can be said of the step.
  bool take(StepMargin& margin, const Part& part) {
    if (part.kind == MarginKind::unknown || part.kind == MarginKind::undecided) {
      const std::uint64_t orders = margin.orders;
      const std::uint32_t transition = margin.transition;
      margin = StepMargin();
      margin.transition = transition;
      margin.kind = part.kind;
      margin.orders = orders;
      return false;
    }
    const MarginResult& result = part.result;
    if (part.kind == MarginKind::unlimited) return true;
    margin.least = std::min(margin.least, result.least);
    if (margin.kind == MarginKind::unlimited || result.most < margin.most) {
      margin.most = result.most;
      margin.fails_at = result.fails_at;
      worst_ = part;
      margin.races.clear();
    } else if (result.most == margin.most) {
      margin.fails_at = margin.fails_at || result.fails_at;
      if (result.fails_at && !worst_.result.fails_at) worst_ = part;
    }
    margin.kind = margin.least >= margin.most - 1e-12 ? MarginKind::exact : MarginKind::between;
    if (result.most <= margin.most) add_races(margin, part);
    return true;
  }

  static void add_races(StepMargin& margin, const Part& part) {
    const auto named = [&part](const std::vector<std::uint32_t>& local) {
      std::vector<GateId> gates;
      for (const std::uint32_t gate : local) gates.push_back(part.gates[gate]);
      return gates;
    };
    for (const PathRace& race : part.result.races) {
      margin.races.push_back({named(race.faster), named(race.slower), static_cast<Time>(race.faster_time),
                              static_cast<Time>(race.slower_time), race.tie});
    }
  }

  void finish(const Transition& step, StepMargin& margin) {
    if (margin.kind == MarginKind::exact) margin.fraction = fraction_of(margin.least);
    margin.right = simulate(circuit_, options_.delays, step).value_or(Ending{}).state;
    const MarginResult& result = worst_.result;
    if (result.scale == 0) return;
    std::vector<Ending::Delay> delays;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      const auto at = std::lower_bound(worst_.gates.begin(), worst_.gates.end(), gate);
      if (at != worst_.gates.end() && *at == gate) {
        const auto i = static_cast<std::size_t>(at - worst_.gates.begin());
        delays.push_back({gate, result.witness.rise[i], result.witness.fall[i]});
      } else {
        delays.push_back({gate, chosen(circuit_.delay(gate).rise, options_.delays) * result.scale,
                          chosen(circuit_.delay(gate).fall, options_.delays) * result.scale});
      }
    }
    const auto copy = replay_circuit(circuit_, delays);
    if (!copy) return;
    auto ending = simulate(*copy, DelayChoice::typ, step);
    if (!ending || ending->state == margin.right) return;
    ending->has_delays = true;
    ending->delays = std::move(delays);
    margin.witness = std::move(ending);
    margin.scale = result.scale;
    margin.witness_spread = result.witness_spread;
  }

  // What the kernel makes of the step, with the changes of the gates of the worst part; nothing when it
  // neither rests nor repeats within the time looked at.
  std::optional<Ending> simulate(const Circuit& circuit, DelayChoice delays, const Transition& step) const {
    Kernel kernel = start_step(circuit, {.delays = delays}, space_, step);
    const Continuation run = look_ahead(kernel, most_time, options_.space.stop);
    if (run.kind == Continuation::Kind::undecided) return std::nullopt;
    Ending ending;
    const bool repeats = run.kind == Continuation::Kind::repeats;
    while (const auto next = kernel.next_time()) {
      if (*next > run.end) break;
      kernel.run_instant(*next);
      Ending::Instant instant{*next, {kernel.changed_drivers().begin(), kernel.changed_drivers().end()}};
      for (const NetId net : kernel.changed()) {
        if (circuit.is_gate_output(net)) instant.gates.push_back(circuit.gate_of(net));
      }
      std::sort(instant.gates.begin(), instant.gates.end());
      std::erase_if(instant.gates, [this](GateId gate) {
        return !std::binary_search(worst_.gates.begin(), worst_.gates.end(), gate);
      });
      if (instant.gates.empty()) continue;
      if (repeats && *next <= run.end - run.period) ++ending.round;
      ending.order.push_back(std::move(instant));
    }
    if (repeats) {
      ending.period = run.period;
    } else {
      ending.state = find_state(space_, step.inputs, kernel.values().data() + circuit.input_count());
      if (ending.state == no_state) return std::nullopt;
    }
    return ending;
  }

  const Circuit& circuit_;
  const StateSpace& space_;
  const MarginOptions& options_;
  StepAnalyzer analyzer_;
  SubnetworkBuilder builder_;
  std::vector<Value> values_;
  std::vector<GateId> active_;  // of the step in hand, ascending
  Part worst_;
  struct Seen {
    MarginKind kind = MarginKind::unknown;
    MarginResult result;
  };
  std::map<std::string, Seen> seen_;
};

// Steps that any-delay analysis gave up on are looked at all the same.
bool may_have_margin(const Transition& step) {
  if (!step.judged) return true;
  return !step.to.empty() &&
         (step.verdict == Verdict::delay_dependent || step.verdict == Verdict::indeterminate);
}

}  // namespace

MarginStudy study_margins(const Circuit& circuit, const MarginOptions& options) {
  MarginStudy study;
  study.space = explore(circuit, options.space);
  std::vector<std::uint32_t> wanted;
  for (std::uint32_t i = 0; i < study.space.transitions.size(); ++i) {
    const Transition& step = study.space.transitions[i];
    if (may_have_margin(step)) wanted.push_back(i);
    if (step.judged && step.verdict == Verdict::settles) ++study.settled;
    if (step.judged && step.verdict == Verdict::oscillation) ++study.never_rest;
  }
  start_progress(options.space.progress, "searching orders of events", "steps", wanted.size());
  StepMargins margins(circuit, study.space, options);
  for (const std::uint32_t i : wanted) {
    if (is_set(options.space.stop)) break;
    study.steps.push_back(margins.judge(i));
    advance_progress(options.space.progress);
  }
  const auto open = [](const StepMargin& m) {
    return m.kind == MarginKind::between || m.kind == MarginKind::unknown;
  };
  const bool all_steps =
      !study.space.transitions.empty() || study.space.stable.empty() || study.space.vectors.size() < 2;
  study.complete = study.space.all_listed && all_steps && study.space.unknown_level.empty() && !is_set(options.space.stop) &&
                   study.steps.size() == wanted.size() &&
                   std::none_of(study.steps.begin(), study.steps.end(), open);
  std::stable_sort(study.steps.begin(), study.steps.end(), [](const StepMargin& a, const StepMargin& b) {
    const auto rank = [](const StepMargin& m) {
      const bool known = m.kind == MarginKind::exact || m.kind == MarginKind::between;
      return known ? m.least : m.kind == MarginKind::undecided ? -1.0 : 2.0;
    };
    return rank(a) < rank(b);
  });
  return study;
}

std::vector<StepWitness> margin_witnesses(const MarginStudy& study) {
  std::vector<StepWitness> witnesses;
  for (const StepMargin& margin : study.steps) {
    if (margin.witness) witnesses.push_back({margin.transition, {*margin.witness}});
  }
  return witnesses;
}

}  // namespace settle
