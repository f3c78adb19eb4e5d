// How the state of a cell becomes known after power-up.
//
// At power-up every stable state for the applied inputs is possible. The state is known for an input
// vector when it has one stable state and every step there ends in it, without a lasting cycle. Failing
// that, a sequence is looked for: breadth first over sets of states that are possible, from the sets of
// all stable states of each vector; one input changes at a time, a step is allowed when it cannot cycle
// from any of the states, and leads to all their outcomes, whatever the gate delays. So the first set
// with one state is reached by a shortest sequence.
// Cost: at most `most_sets` sets.
#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/cell_study.h"

namespace settle {
namespace {

constexpr std::size_t most_sets = 20'000;

void find_sequence(CellStudy& study) {
  study.looked_for_sequence = true;
  const StateSpace& space = study.space;
  struct Node {
    std::vector<std::uint32_t> states;
    std::size_t parent;
  };
  std::vector<Node> nodes;
  std::set<std::vector<std::uint32_t>> seen;
  for (const VectorIndex x : space.vectors) {
    const auto [first, last] = space.states_with(x);
    if (first == last) continue;
    std::vector<std::uint32_t> all;
    for (std::uint32_t s = first; s < last; ++s) all.push_back(s);
    if (seen.insert(all).second) nodes.push_back({std::move(all), nodes.size()});
  }
  bool missing = false;   // a step was not judged: it might have led on
  for (std::size_t n = 0; n < nodes.size(); ++n) {
    const VectorIndex x = space.stable[nodes[n].states[0]].inputs;
    for (unsigned i = 0; i < space.input_bits; ++i) {
      const VectorIndex to = x ^ study.behaviour.input_bit(i);
      std::set<std::uint32_t> next;
      bool allowed = true;
      for (const std::uint32_t s : nodes[n].states) {
        const Transition* step = space.transition(s, to);
        if (step == nullptr) missing = true;
        if (step == nullptr || step->may_cycle || step->to.empty()) {
          allowed = false;
          break;
        }
        next.insert(step->to.begin(), step->to.end());
      }
      if (!allowed) continue;
      std::vector<std::uint32_t> states(next.begin(), next.end());
      if (!seen.insert(states).second) continue;
      if (nodes.size() >= most_sets) {
        study.sequence_known = false;
        return;
      }
      const bool found = states.size() == 1;
      nodes.push_back({std::move(states), n});
      if (!found) continue;
      for (std::size_t at = nodes.size() - 1;; at = nodes[at].parent) {
        study.sequence.push_back(space.stable[nodes[at].states[0]].inputs);
        if (nodes[at].parent == at) break;
      }
      std::reverse(study.sequence.begin(), study.sequence.end());
      return;
    }
  }
  study.sequence_known = !missing;
}

}  // namespace

void add_power_up(CellStudy& study) {
  const StateSpace& space = study.space;
  study.facts.never_stable_when = inputs_text(study, space.swinging());
  study.facts.unknown_level_when = inputs_text(study, space.unknown_level);
  if (!study.behaviour.is_usable) return;
  std::vector<bool> cycles(std::size_t{1} << space.input_bits, false);
  for (const Transition& step : space.transitions) cycles[step.inputs] = cycles[step.inputs] || !step.judged || step.may_cycle;
  std::vector<VectorIndex> known;
  for (const VectorIndex x : space.vectors) {
    const auto [first, last] = space.states_with(x);
    if (last - first == 1 && !cycles[x] && !space.has_unknown_level(x)) known.push_back(x);
  }
  study.facts.known_when = inputs_text(study, known);
  if (known.empty() && !study.looked_for_sequence && study.behaviour.is_usable) find_sequence(study);
  study.facts.synchronising_known = study.sequence_known;
  for (std::size_t k = 0; k < study.sequence.size(); ++k) {
    if (k == 0) {
      study.facts.synchronised_by = values_text(study, study.sequence[0]);
      continue;
    }
    for (unsigned i = 0; i < space.input_bits; ++i) {
      const bool one = study.behaviour.input_at(study.sequence[k], i);
      if (study.behaviour.input_at(study.sequence[k - 1], i) == one) continue;
      study.facts.synchronised_by += fmt::format(", then {}={}", study.input_name(i), one ? 1 : 0);
    }
  }
}

}  // namespace settle
