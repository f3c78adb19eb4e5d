// The state space of a circuit, made in four stages: stable states for each input vector, the steps
// between them (in parallel: each thread judges whole states with an analyzer of its own and writes
// to places that depend on the step alone), classes of alike states, flow table and synchronising
// sequence. Each stage goes without what a limit took from the one before, and says so.
#include "settle/state_space.h"

#include <algorithm>
#include <array>
#include <bit>

#include <fmt/format.h>

#include "analysis/gate_function.h"
#include "analysis/open_levels.h"
#include "analysis/rest_proof.h"
#include "analysis/space_classes.h"
#include "analysis/space_flow.h"
#include "analysis/space_steps.h"
#include "settle/stable_states.h"
#include "sim/workers.h"

namespace settle {
namespace {

constexpr std::uint32_t most_input_bits = 32;  // of a VectorIndex

class Explorer {
 public:
  Explorer(const Circuit& circuit, const StateSpaceOptions& options) : circuit_(circuit), options_(options) {
    if (options_.any_delay.stop == nullptr) options_.any_delay.stop = options_.stop;
    space_.input_bits = circuit.input_count();
    space_.gates = circuit.gate_count();
  }

  StateSpace run() {
    if (!list_vectors() || !list_states()) return give_up();
    space_.all_listed = true;
    find_may_not_rest();
    const bool stepped = plan_steps();
    if (stepped) {
      judge_steps();
      find_classes(circuit_, space_);
      space_.held_exactly = true;
      for (const Transition& t : space_.transitions) {
        const bool single = std::popcount(t.inputs ^ space_.stable[t.from].inputs) == 1;
        if (single && !t.judged) space_.held_exactly = false;
      }
      if (!space_.unknown_level.empty()) space_.held_exactly = false;
    }
    if (!stepped || unjudged_total_ != 0 || !space_.unknown_level.empty()) {
      space_.synchronising_known = false;
    } else {
      make_flow_table(space_);
      if (all_steps_) {
        find_synchronising_sequence(space_);
      } else {
        space_.synchronising_known = false;
      }
    }
    return std::move(space_);
  }

 private:
  StateSpace give_up() {
    space_.synchronising_known = false;
    return std::move(space_);
  }

  void leave(const std::string& reason) {
    space_.complete = false;
    if (!space_.incomplete_reason.empty()) space_.incomplete_reason += "; ";
    space_.incomplete_reason += reason;
  }
  bool stopped() const { return is_set(options_.stop); }

  Value held(std::uint32_t input) const {
    return input < options_.held.size() ? options_.held[input] : Value::x;
  }

  bool list_vectors() {
    const std::uint32_t bits = space_.input_bits;
    if (bits > most_input_bits) {
      leave(fmt::format("the circuit has {} input bits; input vectors are listed up to {}", bits, most_input_bits));
      return false;
    }
    VectorIndex fixed = 0;
    std::vector<std::uint32_t> free;  // shifts, least significant first
    for (std::uint32_t i = bits; i-- > 0;) {
      const std::uint32_t shift = bits - 1 - i;
      if (!is_binary(held(i))) {
        free.push_back(shift);
      } else if (held(i) == Value::one) {
        fixed |= VectorIndex{1} << shift;
      }
    }
    if (free.size() > std::min(options_.input_limit, 31u)) {
      leave(fmt::format("{} input bits are free, more than the limit of {}: {}", free.size(), options_.input_limit,
                        limit_hint(LimitKind::inputs, options_.input_limit)));
      return false;
    }
    for (std::uint32_t k = 0; k < (1u << free.size()); ++k) {
      VectorIndex vector = fixed;
      for (std::size_t b = 0; b < free.size(); ++b) vector |= (k >> b & 1u) << free[b];
      space_.vectors.push_back(vector);
    }
    free_inputs_ = static_cast<std::uint32_t>(free.size());
    return true;
  }

  bool list_states() {
    const std::uint64_t by_memory = options_.any_delay.memory_bytes / (space_.gates + 64u);
    const std::uint64_t limit = std::min({options_.stable_limit, by_memory, std::uint64_t{no_state} - 1});
    std::vector<Value> inputs(space_.input_bits);
    start_progress(options_.progress, "listing stable states", "input vectors", space_.vectors.size());
    for (const VectorIndex vector : space_.vectors) {
      if (stopped()) {
        leave("stopped while listing stable states");
        return false;
      }
      for (std::uint32_t i = 0; i < space_.input_bits; ++i) inputs[i] = input_value(vector, i);
      StableSearch search;
      search.limit = limit - space_.stable.size();
      search.stop = options_.stop;
      const StableList list = find_stable_states(circuit_, inputs, search);
      for (const std::vector<Value>& state : list.states) {
        space_.stable.push_back({vector, 0});
        space_.nodes.insert(space_.nodes.end(), state.begin(), state.end());
      }
      if (!list.complete) {
        leave(stopped() ? "stopped while listing stable states"
                        : fmt::format("there are more than {} stable states: {}", limit,
                                      limit < options_.stable_limit
                                          ? limit_hint(LimitKind::memory, options_.any_delay.memory_bytes >> 20)
                                          : limit_hint(LimitKind::stable, options_.stable_limit)));
        return false;
      }
      if (list.states.empty()) space_.never_stable.push_back(vector);
      advance_progress(options_.progress);
    }
    return find_unknown_levels();
  }

  bool find_unknown_levels() {
    std::vector<Value> inputs(space_.input_bits);
    for (std::uint32_t i = 0; i < space_.input_bits; ++i) inputs[i] = held(i);
    OpenLevels open(circuit_, inputs);
    if (!open.possible(options_.stop)) return true;
    for (const VectorIndex vector : space_.vectors) {
      if (stopped()) {
        leave("stopped while looking for wires without a level");
        return false;
      }
      for (std::uint32_t i = 0; i < space_.input_bits; ++i) inputs[i] = input_value(vector, i);
      if (open.possible_with(inputs, options_.stop)) space_.unknown_level.push_back(vector);
    }
    leave(fmt::format("with {} of {} input vectors a gate may read a wire that floats or is fought over, which is neither 0 nor 1",
                      space_.unknown_level.size(), space_.vectors.size()));
    return true;
  }

  void find_may_not_rest() {
    if (circuit_.loop_count() == 0) return;
    RestProof proof(circuit_, options_.any_delay);
    std::vector<Value> inputs(space_.input_bits);
    for (const VectorIndex vector : space_.vectors) {
      const auto [first, last] = space_.states_with(vector);
      if (last - first != 1 || space_.has_unknown_level(vector)) continue;
      for (std::uint32_t i = 0; i < space_.input_bits; ++i) inputs[i] = input_value(vector, i);
      if (stopped() || !proof.always_rests(inputs)) space_.may_not_rest.push_back(vector);
    }
  }

  Value input_value(VectorIndex vector, std::uint32_t input) const {
    return to_value((vector >> (space_.input_bits - 1 - input) & 1u) != 0);
  }

  std::string steps_hint() const { return limit_hint(LimitKind::steps, options_.transition_limit); }

  // Decides which steps are judged and makes a place for each.
  bool plan_steps() {
    const std::uint64_t states = space_.stable.size();
    const std::uint64_t all = states * (space_.vectors.size() - 1), single = states * free_inputs_;
    all_steps_ = !options_.single_changes_only;
    if (all_steps_ && all > options_.transition_limit && single <= options_.transition_limit) {
      all_steps_ = false;
      leave(fmt::format("of {} steps, more than the limit of {}, only those in which one input changes were judged: {}",
                        all, options_.transition_limit, steps_hint()));
    } else if ((all_steps_ ? all : single) > options_.transition_limit) {
      leave(fmt::format("there are {} steps, more than the limit of {}: {}", all_steps_ ? all : single,
                        options_.transition_limit, steps_hint()));
      return false;
    }
    space_.transitions.reserve(all_steps_ ? all : single);
    first_step_.reserve(states + 1);
    for (std::uint32_t s = 0; s < states; ++s) {
      if (stopped()) {
        leave("stopped before steps were judged");
        space_.transitions.clear();
        return false;
      }
      first_step_.push_back(space_.transitions.size());
      for (const VectorIndex vector : space_.vectors) {
        const int changed = std::popcount(vector ^ space_.stable[s].inputs);
        if (changed == 0 || (changed > 1 && !all_steps_)) continue;
        space_.transitions.emplace_back();
        space_.transitions.back().from = s;
        space_.transitions.back().inputs = vector;
      }
    }
    first_step_.push_back(space_.transitions.size());
    return true;
  }

  void judge_steps() {
    const std::size_t jobs = std::max(1u, std::min(options_.jobs, 64u));
    std::vector<std::array<std::uint64_t, 6>> unjudged(jobs);
    start_progress(options_.progress, "judging steps", "steps", space_.transitions.size());
    run_workers(jobs, space_.stable.size(), [&](std::size_t job, WorkCounter& states) {
      SpaceStepJudge judge(circuit_, space_, options_.any_delay);
      for (std::size_t s = 0; states.take(s);) {
        for (std::size_t i = first_step_[s]; i < first_step_[s + 1]; ++i) {
          Transition& step = space_.transitions[i];
          advance_progress(options_.progress);
          Unjudged why = stopped() ? Unjudged::stopped : judge.judge(step);
          if (why == Unjudged::limit && stopped()) why = Unjudged::stopped;
          if (why == Unjudged::no) continue;
          Transition bare;
          bare.from = step.from;
          bare.inputs = step.inputs;
          bare.judged = false;
          step = std::move(bare);
          ++unjudged[job][static_cast<std::size_t>(why)];
        }
      }
    });
    for (std::size_t job = 1; job < jobs; ++job) {
      for (std::size_t why = 0; why < unjudged[0].size(); ++why) unjudged[0][why] += unjudged[job][why];
    }
    constexpr std::array<const char*, 6> reasons = {
        "", "met a limit of the any-delay analysis (--limit-states and --limit-memory allow more)", "lead to levels that are neither 0 nor 1, or switch three-state gates in a race",
        "have too many outcomes to list", "neither rest nor repeat within the time looked at", "were stopped"};
    for (std::size_t why = 1; why < reasons.size(); ++why) {
      const std::uint64_t count = unjudged[0][why];
      unjudged_total_ += count;
      if (count != 0) leave(fmt::format("steps not judged: {} {}", count, reasons[why]));
    }
  }

  const Circuit& circuit_;
  StateSpaceOptions options_;
  StateSpace space_;
  std::uint32_t free_inputs_ = 0;
  bool all_steps_ = true;
  std::vector<std::size_t> first_step_;   // by state, into transitions
  std::uint64_t unjudged_total_ = 0;
};

}  // namespace

std::pair<std::uint32_t, std::uint32_t> StateSpace::states_with(VectorIndex inputs) const {
  const auto before = [](const StableState& s, VectorIndex v) { return s.inputs < v; };
  const auto first = std::lower_bound(stable.begin(), stable.end(), inputs, before);
  auto last = first;
  if (first != stable.end() && first->inputs == inputs) {
    last = std::upper_bound(first, stable.end(), inputs, [](VectorIndex v, const StableState& s) { return v < s.inputs; });
  }
  return {static_cast<std::uint32_t>(first - stable.begin()), static_cast<std::uint32_t>(last - stable.begin())};
}

bool StateSpace::has_unknown_level(VectorIndex inputs) const {
  return std::binary_search(unknown_level.begin(), unknown_level.end(), inputs);
}

bool StateSpace::inputs_decide(VectorIndex inputs) const {
  const auto [first, last] = states_with(inputs);
  return last - first == 1 && !has_unknown_level(inputs) &&
         !std::binary_search(may_not_rest.begin(), may_not_rest.end(), inputs);
}

bool StateSpace::swings_with(VectorIndex inputs) const {
  return std::binary_search(never_stable.begin(), never_stable.end(), inputs) && !has_unknown_level(inputs);
}

std::vector<VectorIndex> StateSpace::swinging() const {
  std::vector<VectorIndex> result;
  std::set_difference(never_stable.begin(), never_stable.end(), unknown_level.begin(), unknown_level.end(), std::back_inserter(result));
  return result;
}

const Transition* StateSpace::transition(std::uint32_t from, VectorIndex inputs) const {
  const auto at = std::lower_bound(transitions.begin(), transitions.end(), std::pair(from, inputs),
                                   [](const Transition& t, const std::pair<std::uint32_t, VectorIndex>& key) {
                                     return std::pair(t.from, t.inputs) < key;
                                   });
  const bool found = at != transitions.end() && at->from == from && at->inputs == inputs && at->judged;
  return found ? &*at : nullptr;
}

Value StateSpace::value(const Circuit& circuit, std::uint32_t state, NetId net) const {
  if (circuit.is_gate_output(net)) return nodes[std::size_t{state} * gates + circuit.gate_of(net)];
  if (circuit.is_input(net)) return to_value((stable[state].inputs >> (input_bits - 1 - net) & 1u) != 0);
  if (circuit.is_resolved(net)) {
    return wire_value(circuit, net, [&](NetId driver) { return value(circuit, state, driver); });
  }
  if (circuit.is_undriven(net)) return Value::z;
  return to_value(net == circuit.const_one());
}

StateSpace explore(const Circuit& circuit, const StateSpaceOptions& options) {
  return Explorer(circuit, options).run();
}

std::string vector_text(VectorIndex inputs, std::uint32_t input_bits) {
  std::string text(input_bits, '0');
  for (std::uint32_t i = 0; i < input_bits; ++i) {
    if ((inputs >> (input_bits - 1 - i) & 1u) != 0) text[i] = '1';
  }
  return text;
}

}  // namespace settle
