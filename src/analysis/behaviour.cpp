// The machine behind a state space: quotient by the classes of alike states.
#include "analysis/behaviour.h"

#include <algorithm>
#include <map>
#include <tuple>

namespace settle {

Behaviour behaviour_of(const Circuit& circuit, const StateSpace& space, std::span<const NetId> observed) {
  Behaviour result;
  result.inputs = space.input_bits;
  result.observed = static_cast<unsigned>(observed.size());
  result.never_stable = space.never_stable;
  result.states_held = space.states_held;
  if (result.inputs + result.observed > most_behaviour_variables) return result;

  // Where the list of stable states is not whole, no steps were judged: seen below if there are any.
  if (!space.complete && (space.stable.empty() || space.input_bits == 0)) return result;

  // Classes by (inputs, number).
  std::vector<std::uint32_t> class_of(space.stable.size());
  std::map<std::tuple<VectorIndex, std::uint32_t, std::uint32_t>, std::uint32_t> known;
  for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
    const StableState& state = space.stable[s];
    std::uint32_t y = 0;
    for (const NetId net : observed) {
      const Value value = space.value(circuit, s, net);
      if (!is_binary(value)) return result;
      y = y << 1 | static_cast<std::uint32_t>(value == Value::one);
    }
    const auto [at, is_new] = known.emplace(std::tuple(state.inputs, state.alike, y),
                                            static_cast<std::uint32_t>(result.states.size()));
    class_of[s] = at->second;
    if (!is_new) continue;
    result.states.push_back({state.inputs, y, s});
  }
  result.next.assign(result.states.size() * result.inputs, no_state);
  for (std::uint32_t s = 0; s < result.states.size(); ++s) {
    for (unsigned i = 0; i < result.inputs; ++i) {
      const Transition* step = space.transition(result.states[s].stable, result.states[s].x ^ result.input_bit(i));
      if (step == nullptr) return result;  // not judged
      if (step->equal_delay != no_state) result.next[s * result.inputs + i] = class_of[step->equal_delay];
    }
  }
  result.is_usable = true;
  return result;
}

bool PartialFunction::add(std::uint32_t vector, bool value) {
  if (has(value ? off_ : on_, vector)) return false;
  put(value ? on_ : off_, vector);
  return true;
}

bool PartialFunction::can_do_without(unsigned variable) const {
  const std::uint32_t bit = std::uint32_t{1} << (variables_ - 1 - variable);
  for (std::uint32_t v = 0; v < size(); ++v) {
    if ((v & bit) != 0) continue;
    if ((is_on(v) && is_off(v | bit)) || (is_off(v) && is_on(v | bit))) return false;
  }
  return true;
}

void PartialFunction::forget(unsigned variable) {
  const std::uint32_t bit = std::uint32_t{1} << (variables_ - 1 - variable);
  for (std::uint32_t v = 0; v < size(); ++v) {
    if (is_known(v) == is_known(v ^ bit)) continue;
    if (is_known(v)) add(v ^ bit, is_on(v));
  }
}

PartialFunction PartialFunction::restricted(const std::vector<unsigned>& kept, std::uint32_t fixed_mask,
                                            std::uint32_t fixed, bool& conflict) const {
  PartialFunction result(static_cast<unsigned>(kept.size()));
  for (std::uint32_t v = 0; v < size(); ++v) {
    if (!is_known(v) || (v & fixed_mask) != fixed) continue;
    std::uint32_t to = 0;
    for (const unsigned variable : kept) to = to << 1 | static_cast<std::uint32_t>(bit_of(v, variable));
    if (!result.add(to, is_on(v))) conflict = true;
  }
  return result;
}

std::vector<Cube> PartialFunction::minimal() const {
  FunctionBits free(on_.size());
  for (std::size_t i = 0; i < free.size(); ++i) free[i] = ~(on_[i] | off_[i]);
  return minimise(variables_, on_, free).cubes;
}

std::vector<Cube> PartialFunction::minimal_of_complement() const {
  FunctionBits free(on_.size());
  for (std::size_t i = 0; i < free.size(); ++i) free[i] = ~(on_[i] | off_[i]);
  return minimise(variables_, off_, free).cubes;
}

}  // namespace settle
