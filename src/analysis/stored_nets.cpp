// Inner nets that store what the outputs do not show, as in the master of a master-slave flip-flop.
//
// A set of nets is enough when steps with equal inputs after, equal changed input and equal values
// before lead to equal values of the outputs and of the set itself. Sets of one and two nets are
// tried, then nets are added one at a time, each time the one that leaves fewest conflicts.
// Nets equal or opposite to one tried before are left out. Cost: linear in the steps for each set.
#include "analysis/stored_nets.h"

#include <algorithm>
#include <unordered_map>

namespace settle {
namespace {

constexpr std::size_t most_inner = 8;
constexpr std::size_t follow_limit = 200'000'000;  // samples looked at

class Chooser {
 public:
  Chooser(const StepSamples& steps, const WatchedNets& nets, std::span<const std::uint32_t> outputs)
      : steps_(steps), nets_(nets), outputs_(outputs.begin(), outputs.end()) {}

  /// Steps that the outputs and `inner` before do not explain; at most `most`.
  std::size_t conflicts(const std::vector<std::uint32_t>& inner, bool closed, std::size_t most) {
    std::vector<std::uint32_t> known = outputs_;
    known.insert(known.end(), inner.begin(), inner.end());
    const auto before = nets_.signatures(known);
    const auto after = nets_.results(closed ? known : outputs_);
    work_ += steps_.samples.size() * (known.size() + 1);
    std::unordered_map<std::uint32_t, std::uint32_t> result;  // by signature, within one key
    std::size_t count = 0;
    for (std::size_t i = 0; i < steps_.samples.size() && count < most; ++i) {
      const StepSample& sample = steps_.samples[i];
      const bool new_key = i == 0 || sample.vector != steps_.samples[i - 1].vector ||
                           sample.changed != steps_.samples[i - 1].changed;
      if (new_key) result.clear();
      count += result.try_emplace(before[sample.from], after[i]).first->second != after[i] ? 1 : 0;
    }
    return count;
  }
  bool enough(const std::vector<std::uint32_t>& inner) { return conflicts(inner, true, 1) == 0; }
  bool tired() const { return work_ > follow_limit; }

 private:
  const StepSamples& steps_;
  const WatchedNets& nets_;
  std::vector<std::uint32_t> outputs_;
  std::size_t work_ = 0;
};

}  // namespace

StoredNets stored_inner_nets(const Circuit& circuit, const StepSamples& steps, WatchedNets& nets,
                             std::span<const std::uint32_t> outputs) {
  StoredNets stored;
  Chooser chooser(steps, nets, outputs);
  if (chooser.enough({})) return stored;
  std::vector<std::uint32_t> candidates;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const NetId net = circuit.visible_net(gate);
    if (circuit.loop_of(gate) == no_id || circuit.net_name(net).empty()) continue;
    const std::uint32_t watched = nets.watch(net);
    bool is_new = true;
    for (std::uint32_t w = 0; w < watched && is_new; ++w) is_new = !nets.alike(w, watched);
    if (is_new) candidates.push_back(watched);
  }
  for (const std::uint32_t a : candidates) {
    if (chooser.tired()) break;
    if (chooser.enough({a})) return {{a}, true};
  }
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    for (std::size_t k = i + 1; k < candidates.size() && !chooser.tired(); ++k) {
      if (chooser.enough({candidates[i], candidates[k]})) return {{candidates[i], candidates[k]}, true};
    }
  }
  // First the outputs have to be explained, then the inner nets as well.
  bool closed = false;
  std::size_t left = chooser.conflicts({}, closed, ~std::size_t{0});
  for (;;) {
    if (left == 0 && !closed) {
      closed = true;
      left = chooser.conflicts(stored.inner, closed, ~std::size_t{0});
    }
    if (left == 0 || stored.inner.size() == most_inner) break;
    std::uint32_t best = no_state;
    for (const std::uint32_t candidate : candidates) {
      if (std::find(stored.inner.begin(), stored.inner.end(), candidate) != stored.inner.end()) continue;
      auto more = stored.inner;
      more.push_back(candidate);
      const std::size_t count = chooser.conflicts(more, closed, left);
      if (count >= left) continue;
      left = count;
      best = candidate;
    }
    if (best == no_state) break;  // nothing helps any more
    stored.inner.push_back(best);
    std::sort(stored.inner.begin(), stored.inner.end());
  }
  stored.enough = left == 0 && closed;
  return stored;
}

}  // namespace settle
