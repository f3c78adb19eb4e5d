// Steps between stable states that do not settle whatever the gate delays.
//
// Steps of one input come first. Inputs that change together are reported only where no single one
// of these changes is in trouble already, from the same inputs. Steps of a kind are put into patterns,
// a sentence each.
#include <algorithm>
#include <bit>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/findings.h"

namespace settle {
namespace {

constexpr std::size_t most_patterns = 8;   // sentences of one kind of trouble

class StepFindings {
 public:
  StepFindings(CellStudy& study, const ExplainOptions& options)
      : study_(study), options_(options), space_(study.space), inputs_(study.circuit.input_count()) {}

  void run() {
    add_race_around();
    collect();
    for (const Verdict verdict : {Verdict::oscillation, Verdict::indeterminate, Verdict::delay_dependent}) {
      report(verdict, true);
      report(verdict, false);
    }
  }

 private:
  VectorIndex from(const Transition& step) const { return space_.stable[step.from].inputs; }
  bool is_never_stable(VectorIndex x) const {
    return std::binary_search(space_.never_stable.begin(), space_.never_stable.end(), x);
  }

  void collect() {
    std::map<VectorPair, Verdict> worst;
    for (std::uint32_t t = 0; t < space_.transitions.size(); ++t) {
      const Transition& step = space_.transitions[t];
      if (!step.judged) continue;
      const VectorPair pair{from(step), step.inputs};
      const auto [at, is_new] = worst.emplace(pair, step.verdict);
      at->second = std::max(at->second, step.verdict);
      if (step.verdict != Verdict::settles) steps_[pair].push_back(t);
    }
    for (const auto& [pair, verdict] : worst) {
      if (verdict == Verdict::settles || is_never_stable(pair.to)) continue;
      if (in_race_around(pair.to)) continue;
      const bool single = std::popcount(pair.from ^ pair.to) == 1;
      if (!single && has_single_trouble(pair, worst)) continue;
      pairs_[{verdict, single}].push_back(pair);
    }
  }

  // Some of the changes alone are as bad or worse.
  bool has_single_trouble(VectorPair pair, const std::map<VectorPair, Verdict>& worst) const {
    const Verdict verdict = worst.at(pair);
    for (unsigned i = 0; i < inputs_; ++i) {
      const VectorIndex bit = VectorIndex{1} << i;
      if (((pair.from ^ pair.to) & bit) == 0) continue;
      const auto alone = worst.find({pair.from, pair.from ^ bit});
      if (alone != worst.end() && alone->second >= std::min(verdict, Verdict::indeterminate)) return true;
      if (alone != worst.end() && alone->second == verdict) return true;
      if (is_never_stable(pair.from ^ bit) || in_race_around(pair.from ^ bit)) return true;
    }
    return false;
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
        const bool active = std::all_of(rule.roles.begin(), rule.roles.end(), [&](const CoreRole& role) {
          return study_.behaviour.input_at(x, role.input) == role.positive;
        });
        const bool direct = std::any_of(rule.controls.begin(), rule.controls.end(), [&](const DirectControl& control) {
          return study_.behaviour.input_at(x, control.input) == control.active_high;
        });
        if (active && !direct) race_around_.push_back(x);
      }
    } else {
      race_around_ = space_.never_stable;
    }
    if (race_around_.empty() || space_.states_held < 2) return;
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
        "race-around: while {} the outputs swing to and fro{}, and where they are when that ends is anybody's guess. "
        "A pulse must be shorter than the way round the loop, which no one can promise; an edge-triggered flip-flop "
        "does not have this trouble.",
        condition_text(race_around_), period);
    study_.findings.push_back(std::move(finding));
  }

  // "j=1 k=1 c=1" for one vector or product, else an expression.
  std::string condition_text(const std::vector<VectorIndex>& on) const {
    return inputs_text(study_, on) + " is 1";
  }

  void report(Verdict verdict, bool single) {
    const auto found = pairs_.find({verdict, single});
    if (found == pairs_.end()) return;
    std::vector<VectorPair> free;
    for (const VectorIndex x : space_.never_stable) {
      for (const VectorIndex y : space_.vectors) free.push_back({x, y});
    }
    const std::vector<StepPattern> patterns = cover_with_patterns(inputs_, found->second, free);
    for (std::size_t p = 0; p < patterns.size() && p < most_patterns; ++p) {
      add(verdict, single, patterns[p], found->second);
    }
    if (patterns.size() > most_patterns) {
      ExplainFinding finding;
      finding.kind = kind_of(verdict, single);
      finding.is_warning = verdict != Verdict::delay_dependent;
      finding.message = fmt::format("{} further kinds of changes are {} as well; 'settle states' lists them all.",
                                    patterns.size() - most_patterns, name_of(verdict));
      study_.findings.push_back(std::move(finding));
    }
  }

  static ExplainFinding::Kind kind_of(Verdict verdict, bool single) {
    if (verdict == Verdict::delay_dependent) return ExplainFinding::Kind::delay_dependent;
    return single ? ExplainFinding::Kind::undecided_change : ExplainFinding::Kind::forbidden_change;
  }

  // What the outputs can be afterwards: "q ends at 0 or 1".
  std::string endings(const std::vector<std::uint32_t>& steps) const {
    std::vector<std::string> open;
    for (unsigned o = 0; o < study_.observed.size(); ++o) {
      bool zero = false, one = false;
      for (const std::uint32_t t : steps) {
        bool zero_here = false, one_here = false;
        for (const std::uint32_t s : space_.transitions[t].to) {
          (space_.value(study_.circuit, s, study_.observed[o]) == Value::one ? one_here : zero_here) = true;
        }
        zero = zero || (zero_here && one_here);
        one = one || (zero_here && one_here);
      }
      if (zero && one) open.push_back(study_.observed_name(o));
    }
    if (open.empty()) return {};
    return fmt::format("{} may end at 0 or at 1", listed(open));
  }

  void add(Verdict verdict, bool single, const StepPattern& pattern, const std::vector<VectorPair>& wanted) {
    std::vector<std::uint32_t> steps;
    bool may_cycle = false;
    std::set<GateId> racing;
    for (const VectorPair pair : wanted) {
      if (!contains(pattern, pair)) continue;
      for (const std::uint32_t t : steps_.at(pair)) {
        const Transition& step = space_.transitions[t];
        if (step.verdict != verdict) continue;
        steps.push_back(t);
        may_cycle = may_cycle || step.may_cycle;
        racing.insert(step.racing.begin(), step.racing.end());
      }
    }
    ExplainFinding finding;
    finding.kind = kind_of(verdict, single);
    finding.is_warning = verdict != Verdict::delay_dependent;
    finding.inputs = changing_inputs(study_, pattern);
    for (const GateId gate : racing) finding.gates.push_back(study_.circuit.gate_name(gate));
    const VectorPair example = example_of(inputs_, pattern, wanted);
    finding.from = values_text(study_, example.from);
    finding.to = values_text(study_, example.to);
    const std::string when = pattern_text(study_, pattern);
    const std::string ends = endings(steps);
    const std::string gates = finding.gates.empty() ? "" : fmt::format("{} race", listed(finding.gates));

    if (single && verdict != Verdict::oscillation) {
      if (const auto cure = find_cure(study_, steps, options_)) {
        finding.kind = ExplainFinding::Kind::hazard;
        finding.is_warning = true;
        finding.cure = cure->gate;
        finding.message = fmt::format(
            "when {}, {} a static hazard: for a moment no product term holds the stored value, so it can be lost{}. "
            "Cure: add {} (the missing consensus term). With it, every change of a single input settles whatever the "
            "gate delays, and the cell does the same as before; both were proved on the changed circuit.",
            when, ends.empty() ? "there is" : ends + ":", may_cycle ? ", or the loop may swing" : "", cure->gate);
        study_.findings.push_back(std::move(finding));
        return;
      }
    }
    std::string text;
    switch (verdict) {
      case Verdict::oscillation:
        text = fmt::format("when {}, the circuit never comes to rest.", when);
        break;
      case Verdict::indeterminate:
        text = fmt::format("when {}, the circuit is left undecided: {}{}{}. It may also hang between the two for a while "
                           "before it falls to one side (metastable).",
                           when, gates, !gates.empty() && !ends.empty() ? ", and " : "", ends);
        break;
      default:
        text = fmt::format("when {}, {}. With equal gates all is well", when,
                           gates.empty() ? "the result hangs on the gate delays" : gates);
        if (const auto margin = find_margin(study_, steps)) {
          const std::string gate = study_.circuit.gate_name(margin->gate);
          text += fmt::format("; tried gate by gate, the first to fail is '{}': the step goes wrong once it takes {} times "
                              "as long as every other gate{}.",
                              gate, margin->delay, margin->hangs ? " (the circuit then swings)" : "");
          finding.gates = {gate};
        } else {
          text += ", and no single gate, made up to 16 times as slow as the others, spoils it; it takes several.";
        }
    }
    finding.message = std::move(text);
    study_.findings.push_back(std::move(finding));
  }

  CellStudy& study_;
  const ExplainOptions& options_;
  const StateSpace& space_;
  unsigned inputs_;
  std::vector<VectorIndex> race_around_;
  std::map<VectorPair, std::vector<std::uint32_t>> steps_;            // those that do not settle
  std::map<std::pair<Verdict, bool>, std::vector<VectorPair>> pairs_; // by verdict and whether one input changes
};

}  // namespace

void add_step_findings(CellStudy& study, const ExplainOptions& options) { StepFindings(study, options).run(); }

}  // namespace settle
