// The obvious twin of explore(): every combination of gate values tried, every step judged by
// NaiveAnyDelay and by firing all excited gates together, states told apart pair by pair. For small
// circuits without three-state gates.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "settle/circuit.h"
#include "support/naive_any_delay.h"
#include "support/step_cases.h"

namespace settle::testing {

class NaiveStateSpace {
 public:
  struct State {
    std::string inputs, gates;
    auto operator<=>(const State&) const = default;
  };
  struct Step {
    std::set<State> to;
    bool may_cycle = false;
    const State* equal_delay = nullptr;
    std::uint64_t period = 0;
    std::string verdict;
    bool too_large = false;
  };

  explicit NaiveStateSpace(const Circuit& circuit) : circuit_(circuit) {
    const std::uint32_t bits = circuit.input_count();
    for (std::uint32_t v = 0; v < (1u << bits); ++v) {
      vectors.push_back(text_of(v, bits));
      for (std::uint32_t g = 0; g < (1u << circuit.gate_count()); ++g) {
        const State state{vectors.back(), text_of(g, circuit.gate_count())};
        if (after_one_delay(state) == state.gates) states.insert(state);
      }
    }
    for (const State& state : states) {
      for (const std::string& vector : vectors) {
        if (vector != state.inputs) steps[{state, vector}] = judge(state, vector);
      }
    }
    tell_apart();
  }

  bool too_large() const {
    for (const auto& [key, step] : steps) {
      if (step.too_large) return true;
    }
    return false;
  }

  bool alike(const State& a, const State& b) const { return !different_.contains({a, b}); }

  /// Length of the shortest synchronising sequence, -1: none, -2: gave up.
  int synchronising_length(std::size_t most_sets = 3000) const {
    if (states.empty()) return -1;
    std::set<std::set<State>> seen{states};
    std::vector<std::pair<std::set<State>, int>> work{{states, 0}};
    for (std::size_t next = 0; next < work.size(); ++next) {
      const auto [set, length] = work[next];
      if (set.size() == 1) return length;
      if (work.size() > most_sets) return -2;
      for (const std::string& vector : vectors) {
        std::set<State> ends;
        bool safe = true;
        for (const State& state : set) {
          if (state.inputs == vector) {
            ends.insert(state);
            continue;
          }
          const Step& step = steps.at({state, vector});
          safe = safe && !step.may_cycle;
          ends.insert(step.to.begin(), step.to.end());
        }
        if (safe && seen.insert(ends).second) work.emplace_back(ends, length + 1);
      }
    }
    return -1;
  }

  std::vector<std::string> vectors;
  std::set<State> states;
  std::map<std::pair<State, std::string>, Step> steps;

 private:
  static std::string text_of(std::uint32_t number, std::uint32_t bits) {
    std::string text;
    for (std::uint32_t i = bits; i-- > 0;) text += (number >> i & 1u) != 0 ? '1' : '0';
    return text;
  }

  std::string after_one_delay(const State& state) const {
    const std::vector<Value> nets = net_values(circuit_, state.inputs, state.gates);
    std::string next;
    for (GateId g = 0; g < circuit_.gate_count(); ++g) {
      std::vector<Value> in;
      for (const NetId pin : circuit_.fan_in(g)) in.push_back(nets[pin]);
      next += to_char(evaluate(circuit_.kind(g), in));
    }
    return next;
  }

  Step judge(const State& from, const std::string& vector) const {
    Step step;
    const std::vector<Value> nets = net_values(circuit_, from.inputs, from.gates);
    const NaiveOutcome outcome = NaiveAnyDelay(circuit_, nets, changes_to_inputs(nets, vector)).run(1u << 10);
    step.too_large = outcome.lub_of_reachable.empty();
    step.may_cycle = outcome.may_cycle;
    for (const auto& gates : outcome.outcomes) {
      State to{vector, ""};
      for (const Value v : gates) to.gates += to_char(v);
      step.to.insert(to);
    }
    State now{vector, from.gates};
    std::map<std::string, std::uint64_t> seen;
    for (std::uint64_t time = 0;; ++time) {
      const std::string next = after_one_delay(now);
      if (next == now.gates) {
        step.equal_delay = &*states.find(now);
        break;
      }
      const auto [at, fresh] = seen.try_emplace(now.gates, time);
      if (!fresh) {
        step.period = time - at->second;
        break;
      }
      now.gates = next;
    }
    step.verdict = step.to.size() == 1 && !step.may_cycle ? "settles"
                   : step.equal_delay != nullptr          ? "delay-dependent"
                   : step.to.empty()                      ? "oscillation"
                                                          : "indeterminate";
    return step;
  }

  static std::vector<InputChange> changes_to_inputs(const std::vector<Value>& nets, const std::string& vector) {
    return changes_to(nets, vector);
  }

  std::string outputs_of(const State& state) const {
    const std::vector<Value> nets = net_values(circuit_, state.inputs, state.gates);
    std::string text;
    for (const NetId net : circuit_.outputs()) text += to_char(nets[net]);
    return text;
  }

  std::vector<State> ends_of(const State& state, const std::string& vector) const {
    const Step& step = steps.at({state, vector});
    if (step.equal_delay != nullptr) return {*step.equal_delay};
    return {step.to.begin(), step.to.end()};
  }

  // Each end of one has a counterpart, not known to be different, among the ends of the other.
  bool covered(const std::vector<State>& some, const std::vector<State>& others) const {
    for (const State& a : some) {
      bool found = false;
      for (const State& b : others) found = found || alike(a, b);
      if (!found) return false;
    }
    return true;
  }

  void tell_apart() {
    for (const State& a : states) {
      for (const State& b : states) {
        if (a.inputs != b.inputs || outputs_of(a) != outputs_of(b)) different_.insert({a, b});
      }
    }
    for (bool again = true; again;) {
      again = false;
      for (const State& a : states) {
        for (const State& b : states) {
          if (!alike(a, b)) continue;
          for (std::size_t i = 0; i < a.inputs.size(); ++i) {
            std::string vector = a.inputs;
            vector[i] = vector[i] == '0' ? '1' : '0';
            const auto ends_a = ends_of(a, vector), ends_b = ends_of(b, vector);
            if (covered(ends_a, ends_b) && covered(ends_b, ends_a)) continue;
            different_.insert({a, b});
            different_.insert({b, a});
            again = true;
          }
        }
      }
    }
  }

  const Circuit& circuit_;
  std::set<std::pair<State, State>> different_;
};

}  // namespace settle::testing
