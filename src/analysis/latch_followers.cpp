// Latches behind the latch inside that names a cell: an output that is no plain function of what is stored
// inside, because it holds by itself.
//
// An output follows a net when it is what the net is in every state with the gate active, and keeps its value
// in every step after which the gate is not. Cost: a pass over the states for each output, input and
// polarity.
#include "analysis/cell_study.h"

namespace settle {
namespace {

// `o` is what `source` is while the gate is active, and what it was while it is not.
bool is_follower(const Behaviour& b, unsigned o, unsigned source, unsigned gate, bool active_high,
                 bool inverted) {
  bool shows[2] = {false, false}, holds[2] = {false, false};
  for (std::uint32_t s = 0; s < b.states.size(); ++s) {
    const Behaviour::State& state = b.states[s];
    const bool value = b.observed_at(state.y, o);
    if (b.input_at(state.x, gate) == active_high) {
      if (value != (b.observed_at(state.y, source) != inverted)) return false;
      shows[value ? 1 : 0] = true;
    }
    for (unsigned i = 0; i < b.inputs; ++i) {
      const std::uint32_t next = b.next_of(s, i);
      if (next == no_state || b.input_at(b.states[next].x, gate) == active_high) continue;
      if (b.observed_at(b.states[next].y, o) != value) return false;
      holds[value ? 1 : 0] = true;
    }
  }
  return shows[0] && shows[1] && holds[0] && holds[1];
}

}  // namespace

void add_followers(CellStudy& study) {
  const Behaviour& b = study.behaviour;
  for (unsigned o = 0; o < study.output_count; ++o) {
    if (!study.rules[o].is_stored() || study.rules[o].core != Core::level_logic) continue;
    for (unsigned gate = 0; gate < b.inputs; ++gate) {
      for (const bool active_high : {true, false}) {
        for (const bool inverted : {false, true}) {
          if (!is_follower(b, o, study.primary, gate, active_high, inverted)) continue;
          const auto& list = study.facts.followers;
          if (list.empty() || list.back().output != study.observed_name(o)) {
            study.facts.followers.push_back({study.observed_name(o), study.observed_name(study.primary),
                                             study.input_name(gate), active_high, inverted});
          }
        }
      }
    }
  }
}

}  // namespace settle
