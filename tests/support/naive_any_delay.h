// The obvious twin of the any-delay analysis: the states of the whole circuit in sets, every subset of
// the excited gates tried, the definitions taken word for word. For small circuits without
// three-state gates and with every value 0 or 1.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <span>
#include <vector>

#include "settle/circuit.h"
#include "settle/step_analysis.h"

namespace settle::testing {

struct NaiveOutcome {
  std::set<std::vector<Value>> outcomes;  ///< reachable stable states, one value a gate
  bool may_cycle = false;                 ///< a non-transient cycle is reachable
  std::set<GateId> differing;
  std::vector<Value> lub_of_outcome;    ///< by gate: stable states, non-transient cycles, what follows
  std::vector<Value> lub_of_reachable;  ///< by gate: all reachable states
};

class NaiveAnyDelay {
 public:
  /// `skewed`: a delay element behind each changing input; `wire_delays`: one in every wire, that is,
  /// before every pin of a gate.
  NaiveAnyDelay(const Circuit& circuit, std::span<const Value> values, std::span<const InputChange> changes,
                bool skewed = false, bool wire_delays = false)
      : gate_count_(circuit.gate_count()) {
    const auto variable_of = [&](NetId net) -> Pin {
      if (circuit.is_gate_output(net)) return {circuit.gate_of(net), Value::x};
      return {constant, values[net]};
    };
    for (GateId g = 0; g < gate_count_; ++g) {
      Element element{circuit.kind(g), {}};
      for (const NetId net : circuit.fan_in(g)) element.pins.push_back(variable_of(net));
      elements_.push_back(element);
      start_.push_back(values[circuit.output_of(g)]);
    }
    if (wire_delays) {
      for (GateId g = 0; g < gate_count_; ++g) {
        for (std::size_t i = 0; i < circuit.fan_in(g).size(); ++i) {
          const NetId net = circuit.fan_in(g)[i];
          Pin from = variable_of(net);
          for (const InputChange& change : changes) {
            if (change.net == net) from = {constant, change.value};
          }
          elements_[g].pins[i] = {static_cast<std::uint32_t>(elements_.size()), Value::x};
          elements_.push_back({GateKind::buf, {from}});
          start_.push_back(values[net]);
        }
      }
    } else {
      for (const InputChange& change : changes) {
        Pin to{constant, change.value};
        if (skewed) {
          to = {static_cast<std::uint32_t>(elements_.size()), Value::x};
          elements_.push_back({GateKind::buf, {{constant, change.value}}});
          start_.push_back(values[change.net]);
        }
        for (GateId g = 0; g < gate_count_; ++g) {
          for (std::size_t i = 0; i < circuit.fan_in(g).size(); ++i) {
            if (circuit.fan_in(g)[i] == change.net) elements_[g].pins[i] = to;
          }
        }
      }
    }
  }

  std::size_t variables() const { return elements_.size(); }

  /// Nothing was found when `reachable` outgrew `most_states`: `outcomes` is then empty and
  /// lub_of_reachable too.
  NaiveOutcome run(std::size_t most_states = 1u << 14) {
    NaiveOutcome result;
    std::map<State, std::set<State>> successors;
    std::vector<State> work{start_};
    successors[start_];
    while (!work.empty()) {
      const State state = work.back();
      work.pop_back();
      const std::vector<std::size_t> excited = excited_in(state);
      for (std::uint64_t subset = 1; subset < (std::uint64_t{1} << excited.size()); ++subset) {
        State next = state;
        for (std::size_t i = 0; i < excited.size(); ++i) {
          if ((subset >> i & 1u) != 0) next[excited[i]] = inverted(next[excited[i]]);
        }
        successors[state].insert(next);
        if (successors.try_emplace(next).second) work.push_back(next);
      }
      if (successors.size() > most_states) return result;
    }

    std::set<State> ends;  // stable states, states on lasting cycles and what follows from those
    for (const auto& [state, next] : successors) {
      if (excited_in(state).empty()) {
        ends.insert(state);
        result.outcomes.insert({state.begin(), state.begin() + gate_count_});
      }
    }
    for (const std::set<State>& component : components(successors)) {
      if (component.size() < 2 || is_transient(component)) continue;
      result.may_cycle = true;
      work.assign(component.begin(), component.end());
      while (!work.empty()) {
        const State state = work.back();
        work.pop_back();
        if (ends.insert(state).second || component.contains(state)) {
          for (const State& next : successors[state]) {
            if (!ends.contains(next)) work.push_back(next);
          }
        }
      }
    }
    const auto lub = [&](std::vector<Value>& out, const State& state) {
      if (out.empty()) {
        out.assign(state.begin(), state.begin() + gate_count_);
      } else {
        for (GateId g = 0; g < gate_count_; ++g) out[g] = least_upper_bound(out[g], state[g]);
      }
    };
    for (const auto& [state, next] : successors) lub(result.lub_of_reachable, state);
    for (const State& state : ends) lub(result.lub_of_outcome, state);
    for (GateId g = 0; g < gate_count_; ++g) {
      if (result.lub_of_outcome[g] == Value::x) result.differing.insert(g);
    }
    return result;
  }

 private:
  using State = std::vector<Value>;
  static constexpr std::uint32_t constant = 0xffffffffu;
  struct Pin {
    std::uint32_t variable;
    Value value;  // of a constant
  };
  struct Element {
    GateKind kind;
    std::vector<Pin> pins;
  };

  Value function(std::size_t variable, const State& state) const {
    std::vector<Value> in;
    for (const Pin& pin : elements_[variable].pins) {
      in.push_back(pin.variable == constant ? pin.value : state[pin.variable]);
    }
    return evaluate(elements_[variable].kind, in);
  }
  std::vector<std::size_t> excited_in(const State& state) const {
    std::vector<std::size_t> excited;
    for (std::size_t v = 0; v < elements_.size(); ++v) {
      if (function(v, state) != state[v]) excited.push_back(v);
    }
    return excited;
  }
  // Some variable is excited with the same value in all the states.
  bool is_transient(const std::set<State>& component) const {
    for (std::size_t v = 0; v < elements_.size(); ++v) {
      for (const Value value : {Value::zero, Value::one}) {
        bool always = true;
        for (const State& state : component) {
          always = always && state[v] == value && function(v, state) != value;
        }
        if (always) return true;
      }
    }
    return false;
  }
  // Kosaraju's two passes.
  static std::vector<std::set<State>> components(const std::map<State, std::set<State>>& successors) {
    std::map<State, std::set<State>> predecessors;
    std::set<State> seen;
    std::vector<State> order;
    for (const auto& [root, next_of_root] : successors) {
      for (const State& next : next_of_root) predecessors[next].insert(root);
      std::vector<std::pair<State, bool>> stack{{root, false}};
      while (!stack.empty()) {
        const auto [state, finished] = stack.back();
        stack.pop_back();
        if (finished) {
          order.push_back(state);
        } else if (seen.insert(state).second) {
          stack.push_back({state, true});
          for (const State& next : successors.at(state)) {
            if (!seen.contains(next)) stack.push_back({next, false});
          }
        }
      }
    }
    std::vector<std::set<State>> found;
    std::set<State> placed;
    for (std::size_t i = order.size(); i-- > 0;) {
      std::set<State> component;
      std::vector<State> stack{order[i]};
      while (!stack.empty()) {
        const State state = stack.back();
        stack.pop_back();
        if (!placed.insert(state).second) continue;
        component.insert(state);
        for (const State& before : predecessors[state]) {
          if (!placed.contains(before)) stack.push_back(before);
        }
      }
      if (!component.empty()) found.push_back(component);
    }
    return found;
  }

  GateId gate_count_;
  std::vector<Element> elements_;
  State start_;
};

}  // namespace settle::testing
