// The steps behind a characteristic table: one input changes, or none, and what the nets become.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "settle/state_space.h"
#include "settle/table.h"

namespace settle {

struct StepSample {
  std::uint32_t vector = 0;        ///< free inputs after the step, as in Table::free
  std::int32_t changed = -1;       ///< position of the input that changed in Table::free, or -1: none
  std::uint32_t from = 0;          ///< stable state before
  std::uint32_t to = no_state;     ///< stable state after; no_state: see `loose`
  std::uint32_t loose = no_state;  ///< index into StepSamples::loose
};

/// Outcome of a step that does not settle.
struct LooseOutcome {
  TableEntry::Kind word = TableEntry::Kind::indeterminate;
  std::uint32_t to = no_state;    ///< one of the stable outcomes, if any
  std::vector<GateId> differing;  ///< gates that do not end at one value; ascending
  std::vector<GateId> active;     ///< gates that may move at all; ascending
  std::vector<Value> sure;        ///< by net: 0 or 1 where it ends at that value though others do not rest
};

struct StepSamples {
  std::uint32_t free_count = 0;
  std::vector<StepSample> samples;   ///< by vector, then changed, then from
  std::vector<std::uint32_t> first;  ///< samples of vector v: [first[v], first[v + 1])
  std::vector<LooseOutcome> loose;

  std::span<const StepSample> of(std::uint32_t vector) const {
    return {samples.data() + first[vector], samples.data() + first[vector + 1]};
  }
};

/// Where equal delays settle the step it counts as settled.
StepSamples step_samples(const Circuit& circuit, const StateSpace& space, std::span<const std::uint32_t> free,
                         const AnyDelayLimits& limits);

/// The free inputs of a vector of all inputs.
std::uint32_t free_part(VectorIndex inputs, std::uint32_t input_bits, std::span<const std::uint32_t> free);

/// Values of some nets before and after the steps.
class WatchedNets {
 public:
  WatchedNets(const Circuit& circuit, const StateSpace& space, const StepSamples& steps);

  /// Adds a net and gives its number.
  std::uint32_t watch(NetId net);
  std::uint32_t count() const { return static_cast<std::uint32_t>(nets_.size()); }
  NetId net(std::uint32_t watched) const { return nets_[watched]; }

  Value in_state(std::uint32_t watched, std::uint32_t state) const { return values_[watched][state]; }
  Value before(std::uint32_t watched, const StepSample& sample) const {
    return values_[watched][sample.from];
  }
  /// What the net becomes: zero, one, unknown, floating, indeterminate or oscillation.
  TableEntry::Kind after(std::uint32_t watched, const StepSample& sample) const;

  /// Two nets with equal values in all stable states, or with opposite ones.
  bool alike(std::uint32_t a, std::uint32_t b) const;

  /// Numbers that are equal when all these nets have equal values: in stable states ...
  std::vector<std::uint32_t> signatures(std::span<const std::uint32_t> watched) const;
  /// ... and after each sample.
  std::vector<std::uint32_t> results(std::span<const std::uint32_t> watched) const;

 private:
  const Circuit& circuit_;
  const StateSpace& space_;
  const StepSamples& steps_;
  std::vector<NetId> nets_;
  std::vector<std::vector<Value>> values_;  // by watched net, then state
};

}  // namespace settle
