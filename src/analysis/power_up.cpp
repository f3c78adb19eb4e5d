// How the state of a cell becomes known after power-up.
//
// At power-up every stable state for the applied inputs is possible. The state is known for an input
// vector when it has one stable state and everything ends in it, without a lasting cycle. Failing
// that, a sequence is looked for: breadth first over sets of states that are possible, from the sets of
// all stable states of each vector; one input changes at a time, a step is allowed when it cannot cycle
// from any of the states, and leads to all their outcomes, whatever the gate delays. So the first set
// whose states are all alike is reached by a shortest sequence. When none exists, the same is done with
// the outcomes of equal delays.
// Cost: at most `most_sets` sets.
#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/cell_study.h"

namespace settle {
namespace {

constexpr std::size_t most_sets = 20'000;

enum class Delays { any, equal };

class SequenceFinder {
 public:
  explicit SequenceFinder(const CellStudy& study) : study_(study), space_(study.space) {}

  /// Empty: none found. `quiet`: inputs that must rest while the clock is active are left alone then.
  std::vector<VectorIndex> find(Delays delays, bool quiet) {
    nodes_.clear();
    std::set<std::vector<std::uint32_t>> seen;
    for (const VectorIndex x : space_.vectors) {
      const auto [first, last] = space_.states_with(x);
      if (first == last || (last - first == 1 && !space_.inputs_decide(x))) continue;
      std::vector<std::uint32_t> all;
      for (std::uint32_t s = first; s < last; ++s) all.push_back(s);
      if (seen.insert(all).second) nodes_.push_back({std::move(all), nodes_.size()});
    }
    for (std::size_t n = 0; n < nodes_.size(); ++n) {
      const VectorIndex x = space_.stable[nodes_[n].states[0]].inputs;
      for (unsigned i = 0; i < space_.input_bits; ++i) {
        if (quiet && must_rest(x, i)) continue;
        std::vector<std::uint32_t> states;
        if (!lead(n, x ^ study_.behaviour.input_bit(i), delays, states) || !seen.insert(states).second)
          continue;
        if (nodes_.size() >= most_sets) {
          limited_ = true;
          return {};
        }
        const bool found = std::all_of(states.begin(), states.end(), [&](std::uint32_t s) {
          return space_.stable[s].alike == space_.stable[states[0]].alike;
        });
        nodes_.push_back({std::move(states), n});
        if (found) return path();
      }
    }
    return {};
  }
  bool missed_something() const { return missing_ || limited_; }

 private:
  struct Node {
    std::vector<std::uint32_t> states;
    std::size_t parent;
  };

  bool must_rest(VectorIndex x, unsigned input) const {
    const OutputRule& rule = study_.rules[study_.primary];
    if (rule.kind != OutputRule::Kind::pulse) return false;
    const ClockEdge& clock = rule.clocks[0];
    return study_.behaviour.input_at(x, clock.input) != clock.rises &&
           std::find(rule.resting.begin(), rule.resting.end(), input) != rule.resting.end();
  }

  bool lead(std::size_t node, VectorIndex to, Delays delays, std::vector<std::uint32_t>& states) {
    for (const std::uint32_t s : nodes_[node].states) {
      const Transition* step = space_.transition(s, to);
      if (step == nullptr) {
        missing_ = true;
        return false;
      }
      if (delays == Delays::equal) {
        if (step->equal_delay == no_state) return false;
        states.push_back(step->equal_delay);
      } else {
        if (step->may_cycle || step->to.empty()) return false;
        states.insert(states.end(), step->to.begin(), step->to.end());
      }
    }
    std::sort(states.begin(), states.end());
    states.erase(std::unique(states.begin(), states.end()), states.end());
    return true;
  }

  std::vector<VectorIndex> path() const {
    std::vector<VectorIndex> sequence;
    for (std::size_t at = nodes_.size() - 1;; at = nodes_[at].parent) {
      sequence.push_back(space_.stable[nodes_[at].states[0]].inputs);
      if (nodes_[at].parent == at) break;
    }
    std::reverse(sequence.begin(), sequence.end());
    return sequence;
  }

  const CellStudy& study_;
  const StateSpace& space_;
  std::vector<Node> nodes_;
  bool missing_ = false;  // a step was not judged: it might have led on
  bool limited_ = false;
};

void find_sequence(CellStudy& study) {
  study.looked_for_sequence = true;
  SequenceFinder finder(study);
  study.sequence = finder.find(Delays::any, true);
  if (study.sequence.empty()) study.sequence_if_equal = finder.find(Delays::equal, true);
  if (study.sequence_if_equal.empty() && study.sequence.empty()) {
    study.sequence = finder.find(Delays::any, false);
    if (study.sequence.empty()) study.sequence_if_equal = finder.find(Delays::equal, false);
  }
  study.sequence_known = !study.sequence.empty() || !finder.missed_something();
}

std::string sequence_text(const CellStudy& study, const std::vector<VectorIndex>& sequence) {
  if (sequence.empty()) return {};
  std::string text = values_text(study, sequence[0]);
  for (std::size_t k = 1; k < sequence.size(); ++k) {
    for (unsigned i = 0; i < study.space.input_bits; ++i) {
      const bool one = study.behaviour.input_at(sequence[k], i);
      if (study.behaviour.input_at(sequence[k - 1], i) != one)
        text += fmt::format(", then {}={}", study.input_name(i), one ? 1 : 0);
    }
  }
  return text;
}

// With one stable state, to which every other one is sure to lead, however many inputs change for it.
std::vector<VectorIndex> known_from_rest(const StateSpace& space) {
  std::vector<VectorIndex> known;
  for (const VectorIndex x : space.vectors) {
    const auto [first, last] = space.states_with(x);
    bool leads = last - first == 1;
    for (std::uint32_t s = 0; s < space.stable.size() && leads; ++s) {
      if (s == first) continue;
      const Transition* step = space.transition(s, x);
      leads = step != nullptr && step->judged && !step->may_cycle;
    }
    if (leads) known.push_back(x);
  }
  return known;
}

}  // namespace

void add_power_up(CellStudy& study) {
  const StateSpace& space = study.space;
  study.facts.never_stable_when = inputs_text(study, space.swinging());
  study.facts.unknown_level_when = inputs_text(study, space.unknown_level);
  if (!study.behaviour.is_usable) return;
  std::vector<bool> cycles(std::size_t{1} << space.input_bits, false);
  for (const Transition& step : space.transitions)
    cycles[step.inputs] = cycles[step.inputs] || !step.judged || step.may_cycle;
  std::vector<VectorIndex> known;
  for (const VectorIndex x : space.vectors) {
    if (space.inputs_decide(x) && !cycles[x]) known.push_back(x);
  }
  study.facts.known_when = inputs_text(study, known);
  study.facts.may_not_rest_when = inputs_text(study, space.may_not_rest);
  if (known.empty()) study.facts.known_from_rest_when = inputs_text(study, known_from_rest(space));
  if (known.empty() && !study.looked_for_sequence && study.behaviour.is_usable) find_sequence(study);
  study.facts.synchronising_known = study.sequence_known;
  study.facts.synchronised_by = sequence_text(study, study.sequence);
  study.facts.synchronised_if_equal = sequence_text(study, study.sequence_if_equal);
}

}  // namespace settle
