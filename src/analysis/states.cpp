#include "settle/states.h"

#include <algorithm>
#include <bit>
#include <tuple>

namespace settle {
namespace {

constexpr std::uint64_t most_conflicts = 50'000;  // of a proof beside an incomplete list

std::vector<std::uint32_t> unsettled_steps(const StateSpace& space) {
  std::vector<std::uint32_t> list;
  for (std::uint32_t i = 0; i < space.transitions.size(); ++i) {
    const Transition& t = space.transitions[i];
    if (t.judged && t.verdict != Verdict::settles) list.push_back(i);
  }
  const auto rank = [&space](std::uint32_t i) {
    const Transition& t = space.transitions[i];
    const int changes = std::popcount(t.inputs ^ space.stable[t.from].inputs);
    return std::tuple(changes, -static_cast<int>(t.verdict), i);
  };
  std::sort(list.begin(), list.end(), [&](std::uint32_t a, std::uint32_t b) { return rank(a) < rank(b); });
  return list;
}

}  // namespace

StatesStudy study_states(const Circuit& circuit, const StatesOptions& options) {
  StatesStudy study;
  study.space = explore(circuit, options.space);
  study.unsettled = unsettled_steps(study.space);
  AnyDelayLimits limits = options.space.any_delay;
  if (limits.stop == nullptr) limits.stop = options.space.stop;
  const std::size_t witnesses = std::min(options.witness_limit, study.unsettled.size());
  start_progress(options.space.progress, "looking for witnesses", "steps", witnesses);
  for (std::size_t i = 0; i < witnesses && !is_set(limits.stop); ++i) {
    study.witnesses.push_back(find_witness(circuit, study.space, study.unsettled[i], limits));
    advance_progress(options.space.progress);
  }
  if (circuit.loop_count() < 2 && study.space.complete) return study;
  std::vector<Value> held = options.space.held;
  held.resize(circuit.input_count(), Value::x);
  start_progress(options.space.progress, "counting stable states", "", 0);
  StableProductOptions product;
  product.stop = options.space.stop;
  study.product = stable_product(circuit, held, product);
  if (study.space.all_listed) {
    const auto counts = [](const StableGroup& group) { return !(group.states == BigCount(1)); };
    if (std::count_if(study.product->groups.begin(), study.product->groups.end(), counts) < 2) study.product.reset();
    return study;
  }
  start_progress(options.space.progress, "proving what is stored", "", 0);
  ProofOptions proof;
  proof.conflicts = most_conflicts;
  proof.stop = options.space.stop;
  study.memory = prove_memory(circuit, held, proof);
  study.unstable = find_unstable_inputs(circuit, held, proof);
  return study;
}

}  // namespace settle
