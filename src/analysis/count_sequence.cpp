// What a cell that only its clock drives on shows edge after edge: the closed sequences of the map from
// stable state to stable state over one whole pulse of the clock, direct controls inactive.
// Cost: one step a state.
#include <algorithm>

#include "analysis/cell_study.h"

namespace settle {
namespace {

constexpr std::size_t most_states = 64, most_sequences = 8;

// Clock and controls are all the inputs there are; their values at rest.
std::optional<VectorIndex> rest_vector(const CellStudy& study, const OutputRule& rule) {
  const Behaviour& b = study.behaviour;
  VectorIndex rest = 0;
  for (unsigned i = 0; i < b.inputs; ++i) {
    const auto control = std::find_if(rule.controls.begin(), rule.controls.end(),
                                      [&](const DirectControl& c) { return c.input == i; });
    if (control != rule.controls.end()) {
      if (!control->active_high) rest |= b.input_bit(i);
    } else if (rule.clocks[0].input == i) {
      if (!rule.clocks[0].rises) rest |= b.input_bit(i);
    } else {
      return std::nullopt;
    }
  }
  return rest;
}

}  // namespace

void add_counts(CellStudy& study) {
  const Behaviour& b = study.behaviour;
  const OutputRule& rule = study.rules[study.primary];
  if (!b.is_usable || rule.kind != OutputRule::Kind::edge || rule.clocks.size() != 1 || b.states_held < 3)
    return;
  const std::optional<VectorIndex> rest = rest_vector(study, rule);
  if (!rest) return;

  std::vector<unsigned> shown;  // outputs, none that is equal or opposite to one before
  for (unsigned o = 0; o < study.output_count; ++o) {
    const bool is_new = std::none_of(shown.begin(), shown.end(), [&](unsigned e) {
      const auto same = std::count_if(b.states.begin(), b.states.end(), [&](const Behaviour::State& state) {
        return b.observed_at(state.y, e) == b.observed_at(state.y, o);
      });
      return same == 0 || same == static_cast<std::ptrdiff_t>(b.states.size());
    });
    if (is_new) shown.push_back(o);
  }
  std::vector<std::uint32_t> next(b.states.size(), no_state);
  std::size_t count = 0;
  for (std::uint32_t s = 0; s < b.states.size(); ++s) {
    if (b.states[s].x != *rest) continue;
    if (++count > most_states) return;
    const std::uint32_t half = b.next_of(s, rule.clocks[0].input);
    if (half != no_state) next[s] = b.next_of(half, rule.clocks[0].input);
    if (next[s] == no_state) return;
  }
  if (shown.size() < 2 || count < 3) return;

  std::vector<std::vector<std::string>> sequences;
  std::vector<char> seen(b.states.size(), 0);  // 1: on the walk in hand, 2: on an earlier one
  for (std::uint32_t s = 0; s < b.states.size(); ++s) {
    if (b.states[s].x != *rest || seen[s] != 0) continue;
    std::vector<std::uint32_t> walk;
    std::uint32_t at = s;
    for (; seen[at] == 0; at = next[at]) {
      seen[at] = 1;
      walk.push_back(at);
    }
    if (seen[at] == 1) {
      std::vector<std::string> values;
      for (auto k = std::find(walk.begin(), walk.end(), at); k != walk.end(); ++k) {
        std::string bits;
        for (const unsigned o : shown) bits += b.observed_at(b.states[*k].y, o) ? '1' : '0';
        values.push_back(std::move(bits));
      }
      std::rotate(values.begin(), std::min_element(values.begin(), values.end()), values.end());
      sequences.push_back(std::move(values));
    }
    for (const std::uint32_t state : walk) seen[state] = 2;
  }
  if (sequences.size() > most_sequences) return;
  std::stable_sort(sequences.begin(), sequences.end(),
                   [](const auto& a, const auto& c) { return a.size() > c.size(); });
  for (const unsigned o : shown) study.facts.count_nets.push_back(study.observed_name(o));
  study.facts.counts = std::move(sequences);
}

}  // namespace settle
