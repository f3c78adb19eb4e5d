// Steps between stable states that do not settle whatever the gate delays.
//
// Steps of one input come first. Inputs that change together are reported only where no part of these
// changes is in trouble already, from the same inputs. Of these, the ones in which a clock or gate
// changes together with another input are the set-up and hold rule of the cell. Steps of a kind are put
// into patterns, all of them in one sentence.
#include <algorithm>
#include <bit>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/step_groups.h"

namespace settle {
namespace {

class StepFindings {
 public:
  StepFindings(CellStudy& study, const ExplainOptions& options)
      : study_(study), options_(options), space_(study.space), inputs_(study.circuit.input_count()) {}

  void run() {
    add_race_around();
    collect();
    add_timing_rule();
    for (const Verdict verdict : {Verdict::oscillation, Verdict::indeterminate, Verdict::delay_dependent}) {
      if (verdict == Verdict::delay_dependent) {   // one sentence about all races
        auto& single = pairs_[{verdict, true}];
        auto& several = pairs_[{verdict, false}];
        single.insert(single.end(), several.begin(), several.end());
        several.clear();
        std::sort(single.begin(), single.end(), [](VectorPair a, VectorPair b) {
          const int changes_a = std::popcount(a.from ^ a.to), changes_b = std::popcount(b.from ^ b.to);
          return changes_a != changes_b ? changes_a < changes_b : a < b;
        });
      }
      if (is_set(options_.stop)) return;
      report(verdict, true);
      report(verdict, false);
    }
    add_order_of_inputs();
  }

 private:
  VectorIndex from(const Transition& step) const { return space_.stable[step.from].inputs; }
  bool is_never_stable(VectorIndex x) const {
    return space_.swings_with(x);
  }

  void collect() {
    std::map<VectorPair, Verdict> worst;
    for (std::uint32_t t = 0; t < space_.transitions.size(); ++t) {
      const Transition& step = space_.transitions[t];
      const VectorPair pair{from(step), step.inputs};
      if (!step.judged || !study_.may_rest_with(pair.from) || !study_.may_rest_with(pair.to)) continue;
      const auto [at, is_new] = worst.emplace(pair, step.verdict);
      at->second = std::max(at->second, step.verdict);
      if (step.verdict != Verdict::settles) steps_[pair].push_back(t);
    }
    for (const auto& [pair, verdict] : worst) {
      if (verdict == Verdict::settles || is_never_stable(pair.to)) continue;
      if (in_race_around(pair.to)) continue;
      const bool single = std::popcount(pair.from ^ pair.to) == 1;
      if (!single && has_smaller_trouble(pair, worst)) continue;
      pairs_[{verdict, single}].push_back(pair);
    }
    for (const VectorPair pair : skewed_trouble(study_, options_)) {
      const auto found = worst.find(pair);
      if (found == worst.end()) continue;
      if (!in_race_around(pair.to) && found->second == Verdict::settles && !has_smaller_trouble(pair, worst)) {
        order_.push_back(pair);
      }
    }
  }

  // Some of the changes alone are in trouble.
  bool has_smaller_trouble(VectorPair pair, const std::map<VectorPair, Verdict>& worst) const {
    const VectorIndex changed = pair.from ^ pair.to;
    for (VectorIndex part = (changed - 1) & changed; part != 0; part = (part - 1) & changed) {
      const VectorIndex x = pair.from ^ part;
      if (is_never_stable(x) || in_race_around(x)) return true;
      const auto found = worst.find({pair.from, x});
      if (found != worst.end() && found->second != Verdict::settles) return true;
    }
    return false;
  }

  // Which inputs act by an edge or a closing gate, and whether either edge matters.
  struct Clock {
    unsigned input;
    bool on_rise, on_fall, is_gate;
  };
  std::vector<Clock> clocks() const {
    const OutputRule& rule = study_.rules[study_.primary];
    std::vector<Clock> result;
    for (const ClockEdge& clock : rule.clocks) {
      const bool both = rule.kind == OutputRule::Kind::pulse;
      result.push_back({clock.input, both || clock.rises, both || !clock.rises, false});
    }
    const std::size_t gates = !rule.is_stored()                       ? 0
                              : rule.core == Core::transparent         ? rule.roles.size() - 1
                              : rule.core == Core::gated_set_reset ||
                                      rule.core == Core::gated_jk      ? 1
                              : rule.core == Core::gated_toggle        ? rule.roles.size() - 1
                                                                       : 0;
    for (std::size_t g = 0; g < gates; ++g) result.push_back({rule.roles[g].input, true, true, true});
    return result;
  }
  bool is_control(unsigned input) const {
    const auto& controls = study_.rules[study_.primary].controls;
    return std::any_of(controls.begin(), controls.end(), [&](const DirectControl& c) { return c.input == input; });
  }

  void add_timing_rule() {
    for (const Clock& clock : clocks()) {
      const VectorIndex bit = study_.behaviour.input_bit(clock.input);
      std::set<unsigned> others, controls;
      bool rises = false, falls = false;
      std::optional<VectorPair> example;
      const auto take = [&](std::vector<VectorPair>& pairs) {
        std::erase_if(pairs, [&](VectorPair pair) {
          if (((pair.from ^ pair.to) & bit) == 0) return false;
          const bool up = (pair.to & bit) != 0;
          if (up ? !clock.on_rise : !clock.on_fall) return false;
          std::vector<unsigned> with, direct;
          for (unsigned i = 0; i < inputs_; ++i) {
            if (i != clock.input && ((pair.from ^ pair.to) & study_.behaviour.input_bit(i)) != 0) {
              (is_control(i) ? direct : with).push_back(i);
            }
          }
          if (direct.size() > 1) return false;
          others.insert(with.begin(), with.end());
          controls.insert(direct.begin(), direct.end());
          (up ? rises : falls) = true;
          if (!example) example = pair;
          return true;
        });
      };
      for (auto& [key, pairs] : pairs_) {
        if (!key.second) take(pairs);
      }
      take(order_);
      const std::set<unsigned> taken_in = clock.is_gate ? std::set<unsigned>{} : inputs_at_edge(clock);
      others.insert(taken_in.begin(), taken_in.end());
      if (!example && others.empty()) continue;
      if (!example) {
        // Where the edge itself is a race, no step is without it; what is taken in must rest all the same.
        const auto before = std::find_if(space_.vectors.begin(), space_.vectors.end(), [&](VectorIndex x) {
          return ((x & bit) == 0) == clock.on_rise && !space_.swings_with(x) && study_.may_rest_with(x);
        });
        if (before == space_.vectors.end()) continue;
        example = VectorPair{*before, *before ^ bit ^ study_.behaviour.input_bit(*others.begin())};
        (clock.on_rise ? rises : falls) = true;
      }
      ExplainFinding finding;
      finding.kind = ExplainFinding::Kind::order_of_inputs;
      for (const unsigned i : others) finding.resting.push_back(study_.input_name(i));
      for (const unsigned i : controls) finding.released.push_back(study_.input_name(i));
      const std::string& name = study_.input_name(clock.input);
      finding.from = values_text(study_, example->from);
      finding.to = values_text(study_, example->to);
      finding.moment = fmt::format("{} {}", name, rises && falls ? "changes" : rises ? "rises" : "falls");
      word_timing_rule(finding, name);
      study_.findings.push_back(std::move(finding));
    }
  }

  // Inputs that decide what some net takes over at this edge, and do nothing apart from it.
  std::set<unsigned> inputs_at_edge(const Clock& clock) const {
    std::set<unsigned> result;
    for (const OutputRule& rule : study_.rules) {
      const auto is_clock = [&](unsigned input) {
        return std::any_of(rule.clocks.begin(), rule.clocks.end(), [&](const ClockEdge& c) { return c.input == input; });
      };
      if (rule.kind != OutputRule::Kind::edge || !is_clock(clock.input)) continue;
      for (unsigned i = 0; i < inputs_; ++i) {
        const bool acts = !rule.sync.can_do_without(i) && rule.level.can_do_without(i);
        if (acts && !is_clock(i) && !is_control(i)) result.insert(i);
      }
    }
    return result;
  }

  bool in_race_around(VectorIndex x) const {
    return std::binary_search(race_around_.begin(), race_around_.end(), x);
  }

  // Inputs at which a level-triggered toggle runs: never stable, or only in states that no step leads to.
  void add_race_around() {
    const OutputRule& rule = study_.rules[study_.primary];
    const bool toggles = rule.is_stored() && (rule.core == Core::gated_jk || rule.core == Core::gated_toggle);
    if (toggles) {
      for (const VectorIndex x : space_.vectors) {
        const bool active = study_.may_rest_with(x) && std::all_of(rule.roles.begin(), rule.roles.end(), [&](const CoreRole& role) {
          return study_.behaviour.input_at(x, role.input) == role.positive;
        });
        const bool direct = std::any_of(rule.controls.begin(), rule.controls.end(), [&](const DirectControl& control) {
          return study_.behaviour.input_at(x, control.input) == control.active_high;
        });
        if (active && !direct) race_around_.push_back(x);
      }
    } else {
      race_around_ = space_.swinging();
      std::erase_if(race_around_, [this](VectorIndex x) { return !study_.may_rest_with(x); });
    }
    if (race_around_.empty() || study_.behaviour.states_held < 2) return;
    ExplainFinding finding;
    finding.kind = ExplainFinding::Kind::race_around;
    finding.is_warning = true;
    std::set<Time> periods;
    std::set<GateId> racing;
    const Transition* example = nullptr;
    for (const Transition& step : space_.transitions) {
      if (!step.judged || !in_race_around(step.inputs) || step.period == 0) continue;
      if (std::popcount(from(step) ^ step.inputs) != 1) continue;
      periods.insert(step.period);
      racing.insert(step.racing.begin(), step.racing.end());
      if (example == nullptr) example = &step;
    }
    if (example != nullptr) {
      finding.from = values_text(study_, from(*example));
      finding.to = values_text(study_, example->inputs);
    }
    for (const GateId gate : racing) finding.gates.push_back(study_.circuit.gate_name(gate));
    std::string period;
    if (periods.size() == 1) period = fmt::format(", with equal gates once in {} gate delays", *periods.begin());
    finding.message = fmt::format(
        "race-around: while {}, the outputs swing to and fro{}, and where they are when that ends is anybody's guess. "
        "A pulse must be shorter than the way round the loop, which no one can promise; an edge-triggered flip-flop "
        "does not have this trouble.",
        condition_text(study_, race_around_), period);
    study_.findings.push_back(std::move(finding));
  }

  void report(Verdict verdict, bool single) {
    const auto found = pairs_.find({verdict, single});
    if (found == pairs_.end() || found->second.empty()) return;
    std::vector<VectorPair> free;
    for (const VectorIndex x : space_.never_stable) {
      for (const VectorIndex y : space_.vectors) free.push_back({x, y});
    }
    add(verdict, single, free, found->second);
  }

  void add_order_of_inputs() {
    if (order_.empty()) return;
    std::vector<VectorPair> free;
    for (const auto& [key, pairs] : pairs_) free.insert(free.end(), pairs.begin(), pairs.end());
    const auto patterns = cover_with_patterns(inputs_, order_, free);
    ExplainFinding finding;
    finding.kind = ExplainFinding::Kind::order_of_inputs;
    set_inputs(finding, patterns);
    finding.from = values_text(study_, order_.front().from);
    finding.to = values_text(study_, order_.front().to);
    finding.message = fmt::format("{}, the result depends on which comes first, and a near tie can leave it undecided.",
                                  cases_text(study_, patterns));
    study_.findings.push_back(std::move(finding));
  }

  void set_inputs(ExplainFinding& finding, const std::vector<StepPattern>& patterns) const {
    for (const StepPattern& pattern : patterns) {
      for (const std::string& name : changing_inputs(study_, pattern)) {
        if (std::find(finding.inputs.begin(), finding.inputs.end(), name) == finding.inputs.end()) finding.inputs.push_back(name);
      }
    }
  }

  static ExplainFinding::Kind kind_of(Verdict verdict, bool single) {
    if (verdict == Verdict::delay_dependent) return ExplainFinding::Kind::delay_dependent;
    return single ? ExplainFinding::Kind::undecided_change : ExplainFinding::Kind::forbidden_change;
  }

  // The stored value is to be kept: with equal delays it is, or it could be, for there is a state with
  // equal outputs for the new inputs.
  bool should_hold(const std::vector<std::uint32_t>& steps) const {
    return std::all_of(steps.begin(), steps.end(), [&](std::uint32_t t) {
      const Transition& step = space_.transitions[t];
      if (step.equal_delay != no_state) {
        return std::all_of(study_.observed.begin(), study_.observed.end(), [&](NetId net) {
          return space_.value(study_.circuit, step.equal_delay, net) == space_.value(study_.circuit, step.from, net);
        });
      }
      const auto [first, last] = space_.states_with(step.inputs);
      for (std::uint32_t s = first; s < last; ++s) {
        const bool equal = std::all_of(study_.observed.begin(), study_.observed.end(), [&](NetId net) {
          return space_.value(study_.circuit, s, net) == space_.value(study_.circuit, step.from, net);
        });
        if (equal) return true;
      }
      return false;
    });
  }

  // All begin with set and reset both active: what the outputs show then was forced, not stored.
  bool leaves_conflict(const std::vector<VectorPair>& wanted) const {
    const OutputRule& rule = study_.rules[study_.primary];
    if (rule.core != Core::gated_set_reset && rule.core != Core::set_reset) return false;
    return std::all_of(wanted.begin(), wanted.end(), [&](VectorPair pair) {
      return std::all_of(rule.roles.begin(), rule.roles.end(), [&](const CoreRole& role) {
        return study_.behaviour.input_at(pair.from, role.input) == role.positive;
      });
    });
  }

  // Two inputs that change one clearly before the other: do the outputs end differently by the order?
  bool order_decides(const std::vector<std::uint32_t>& steps) const {
    for (const std::uint32_t t : steps) {
      const Transition& step = space_.transitions[t];
      const VectorIndex start = from(step), changed = start ^ step.inputs;
      if (std::popcount(changed) != 2) continue;
      const VectorIndex one = changed & (~changed + 1);
      const auto end = [&](VectorIndex first) {
        const Transition* half = space_.transition(step.from, start ^ first);
        if (half == nullptr || half->equal_delay == no_state) return no_state;
        const Transition* rest = space_.transition(half->equal_delay, step.inputs);
        return rest == nullptr ? no_state : rest->equal_delay;
      };
      const std::uint32_t a = end(one), b = end(changed ^ one);
      if (a != no_state && b != no_state && space_.stable[a].alike != space_.stable[b].alike) return true;
    }
    return false;
  }

  void add(Verdict verdict, bool single, const std::vector<VectorPair>& free, const std::vector<VectorPair>& wanted) {
    const std::vector<StepPattern> patterns = cover_with_patterns(inputs_, wanted, free);
    std::vector<std::uint32_t> steps;
    bool may_cycle = false;
    std::set<GateId> racing;
    std::vector<std::pair<VectorPair, std::vector<std::uint32_t>>> troubled;
    for (const VectorPair pair : wanted) {
      auto& of_pair = troubled.emplace_back(pair, std::vector<std::uint32_t>{}).second;
      for (const std::uint32_t t : steps_.at(pair)) {
        const Transition& step = space_.transitions[t];
        if (step.verdict != verdict) continue;
        steps.push_back(t);
        of_pair.push_back(t);
        may_cycle = may_cycle || step.may_cycle;
        racing.insert(step.racing.begin(), step.racing.end());
      }
    }
    ExplainFinding finding;
    finding.kind = kind_of(verdict, single);
    finding.is_warning = verdict != Verdict::delay_dependent;
    set_inputs(finding, patterns);
    for (const GateId gate : racing) finding.gates.push_back(study_.circuit.gate_name(gate));
    finding.from = values_text(study_, wanted.front().from);
    finding.to = values_text(study_, wanted.front().to);
    const std::string when = cases_text(study_, patterns);
    const std::string ends = endings_text(study_, steps);

    if (single && verdict != Verdict::oscillation && should_hold(steps) && !leaves_conflict(wanted)) {
      if (const auto cure = find_cure(study_, steps, options_)) {
        finding.kind = ExplainFinding::Kind::hazard;
        finding.is_warning = true;
        finding.cure = cure->gate;
        finding.message = fmt::format(
            "{}, there is a static hazard: for a moment no gate holds the stored value, so {}{}. Cure: add {} (the missing "
            "consensus term). With it, every change of a single input settles whatever the gate delays, and the cell does "
            "the same as before; both were proved on the changed circuit.",
            when, ends.empty() ? "it can be lost" : ends, may_cycle ? ", or the loop may swing" : "", cure->gate);
        study_.findings.push_back(std::move(finding));
        return;
      }
    }
    std::string text;
    switch (verdict) {
      case Verdict::oscillation:
        text = fmt::format("{}, the circuit never comes to rest.", when);
        break;
      case Verdict::indeterminate:
        text = groups_text(study_, group_steps(study_, troubled, free), "the circuit is left undecided", true) +
               ". It may also hang in between for a while before it falls to one side (metastable).";
        break;
      default:
        text = groups_text(study_, group_steps(study_, troubled, free), "", false) + ". With equal gates all is well. ";
        if (const auto margin = find_margin(study_, steps)) {
          text += margin_text(study_, *margin, finding.gates);
          finding.slow_factor = margin->delay;
        } else {
          text += "No single gate spoils it, even 16 times as slow as the others: it takes several slow ones.";
        }
        if (order_decides(steps)) text += " Where two inputs change and one comes clearly first, that one decides.";
    }
    finding.message = std::move(text);
    study_.findings.push_back(std::move(finding));
  }

  CellStudy& study_;
  const ExplainOptions& options_;
  const StateSpace& space_;
  unsigned inputs_;
  std::vector<VectorIndex> race_around_;
  std::vector<VectorPair> order_;                                     // settle only when inputs arrive at once
  std::map<VectorPair, std::vector<std::uint32_t>> steps_;            // those that do not settle
  std::map<std::pair<Verdict, bool>, std::vector<VectorPair>> pairs_; // by verdict and whether one input changes
};

}  // namespace

void add_step_findings(CellStudy& study, const ExplainOptions& options) { StepFindings(study, options).run(); }

void word_timing_rule(ExplainFinding& finding, const std::string& clock) {
  finding.inputs = finding.resting;
  finding.inputs.insert(finding.inputs.end(), finding.released.begin(), finding.released.end());
  finding.inputs.push_back(clock);
  std::string text;
  if (!finding.resting.empty()) {
    text = fmt::format("{} must rest around the moment when {} (set-up and hold time)", listed(finding.resting), finding.moment);
  }
  if (!finding.released.empty()) {
    text += text.empty() ? "" : ", and ";
    text += fmt::format("{} must not be released at the moment when {} (recovery time)", listed(finding.released), finding.moment);
  }
  // True of every element with two stable states (L. R. Marino, "General Theory of Metastable Operation", IEEE
  // Trans. Computers C-30 (2), 1981), whether or not these delays show it.
  finding.message = fmt::format("{}: when they change together, which comes first decides what is taken in, and a near tie can "
                                "leave the cell undecided.", text);
}

}  // namespace settle
