// The machine behind a state space: quotient by the classes of alike states.
#include "analysis/behaviour.h"

#include <algorithm>
#include <map>
#include <optional>

#include "analysis/space_steps.h"
#include "settle/kernel.h"

namespace settle {
namespace {

constexpr Time most_run_delays = 1u << 16;

// Steps simulated with unit delays.
class EqualDelayRuns {
 public:
  EqualDelayRuns(const Circuit& circuit, const StateSpace& space) : circuit_(circuit), space_(space) {}

  // `end`: the stable state it comes to, no_state when it repeats. False: it does not say within the time.
  bool run(std::uint32_t from, VectorIndex to, std::uint32_t& end) {
    if (!kernel_) kernel_.emplace(circuit_, KernelOptions{.delays = DelayChoice::unit});
    std::vector<Value> inputs;
    for (NetId net = 0; net < circuit_.input_count(); ++net) inputs.push_back(space_.value(circuit_, from, net));
    kernel_->power_up(inputs, space_.nodes_of(from));
    kernel_->run_instant(0);
    for (const InputChange& change : changes_between(space_.input_bits, space_.stable[from].inputs, to)) {
      kernel_->set_input(change.net, change.value);
    }
    kernel_->run_instant(0);
    const Continuation run = look_ahead(*kernel_, most_run_delays);
    if (run.kind == Continuation::Kind::undecided) return false;
    end = no_state;
    if (run.kind == Continuation::Kind::repeats) return true;
    while (const auto next = kernel_->next_time()) kernel_->run_instant(*next);
    end = find_state(space_, to, kernel_->values().data() + circuit_.input_count());
    return end != no_state;
  }

 private:
  const Circuit& circuit_;
  const StateSpace& space_;
  std::optional<Kernel> kernel_;
};

}  // namespace

Behaviour behaviour_of(const Circuit& circuit, const StateSpace& space, std::span<const NetId> observed,
                       const std::atomic<bool>* stop) {
  Behaviour result;
  result.inputs = space.input_bits;
  result.observed = static_cast<unsigned>(observed.size());
  result.never_stable = space.never_stable;
  result.states_held = space.states_held;
  if (result.inputs + result.observed > most_behaviour_variables) return result;

  // Where the list of stable states is not whole, no steps were planned.
  if (!space.complete && space.transitions.empty()) return result;

  // Successors of the stable states, with equal delays.
  const unsigned n = result.inputs;
  const std::size_t states = space.stable.size();
  std::vector<std::uint32_t> successor(states * n, no_state);
  EqualDelayRuns runs(circuit, space);
  for (std::uint32_t s = 0; s < states; ++s) {
    if (is_set(stop)) return result;
    for (unsigned i = 0; i < n; ++i) {
      const VectorIndex to = space.stable[s].inputs ^ result.input_bit(i);
      std::uint32_t& next = successor[s * n + i];
      if (const Transition* step = space.transition(s, to); step != nullptr) {
        next = step->equal_delay;
      } else {
        ++result.unproved;
        if (!runs.run(s, to, next)) return result;
      }
    }
  }

  // Classes: equal inputs, equal observed nets, and equal numbers; the numbers of the state space where all
  // its steps were judged, else refined here until the successors of alike states are alike.
  std::vector<std::uint32_t> y_of(states, 0);
  for (std::uint32_t s = 0; s < states; ++s) {
    for (const NetId net : observed) {
      const Value value = space.value(circuit, s, net);
      if (!is_binary(value)) return result;
      y_of[s] = y_of[s] << 1 | static_cast<std::uint32_t>(value == Value::one);
    }
  }
  std::vector<std::uint32_t> class_of(states, 0);
  std::size_t classes = 0;
  for (bool refines = true; refines;) {
    if (is_set(stop)) return result;
    std::map<std::vector<std::uint32_t>, std::uint32_t> known;
    std::vector<std::uint32_t> refined(states);
    for (std::uint32_t s = 0; s < states; ++s) {
      std::vector<std::uint32_t> key{space.stable[s].inputs, y_of[s], class_of[s]};
      if (result.unproved == 0) {
        key.push_back(space.stable[s].alike);
      } else {
        for (unsigned i = 0; i < n; ++i) {
          const std::uint32_t next = successor[s * n + i];
          key.push_back(next == no_state ? no_state : class_of[next]);
        }
      }
      refined[s] = known.emplace(std::move(key), static_cast<std::uint32_t>(known.size())).first->second;
    }
    refines = known.size() != classes;
    classes = known.size();
    class_of = std::move(refined);
  }
  std::vector<std::uint32_t> place(classes, no_state);
  for (std::uint32_t s = 0; s < states; ++s) {
    if (place[class_of[s]] != no_state) continue;
    place[class_of[s]] = static_cast<std::uint32_t>(result.states.size());
    result.states.push_back({space.stable[s].inputs, y_of[s], s});
  }
  for (const Behaviour::State& state : result.states) {
    for (unsigned i = 0; i < n; ++i) {
      const std::uint32_t next = successor[state.stable * n + i];
      result.next.push_back(next == no_state ? no_state : place[class_of[next]]);
    }
  }
  if (result.unproved != 0) {
    result.states_held = 0;
    std::map<VectorIndex, std::uint32_t> held;
    for (const Behaviour::State& state : result.states) result.states_held = std::max(result.states_held, ++held[state.x]);
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
