// Judges the steps of a state space one by one.
#pragma once

#include <cstdint>
#include <vector>

#include "settle/kernel.h"
#include "settle/state_space.h"
#include "settle/step_analysis.h"

namespace settle {

/// Net values of a stable state, and the inputs that change from it to `to`.
std::vector<Value> net_values_of(const Circuit& circuit, const StateSpace& space, std::uint32_t state);
std::vector<InputChange> changes_between(std::uint32_t input_bits, VectorIndex from, VectorIndex to);

/// Index of the stable state with these inputs and gate values, or no_state.
std::uint32_t find_state(const StateSpace& space, VectorIndex inputs, const Value* gates);

/// What stopped the analysis of a step.
enum class Unjudged : std::uint8_t {
  no,         ///< it was judged
  limit,      ///< the any-delay analysis met a limit
  unknown,    ///< an unknown or floating value on the way or at the end
  outcomes,   ///< too many combinations of outcomes
  long_run,   ///< the unit-delay run neither rests nor repeats within the limit
  stopped,    ///< from outside
};

/// Not thread-safe; make one for each thread. `space` must hold all stable states.
class SpaceStepJudge {
 public:
  SpaceStepJudge(const Circuit& circuit, const StateSpace& space, const AnyDelayLimits& limits);

  /// Fills the step `step.from` -> `step.inputs`. Steps from one state in a row are cheapest.
  Unjudged judge(Transition& step);

 private:
  void start_from(std::uint32_t state);
  Unjudged add_outcomes(Transition& step, const StepOutcome& outcome);
  bool evaluate_followers();
  Unjudged run_equal_delays(Transition& step, const StepOutcome& outcome);
  Value read(NetId net) const;

  const Circuit& circuit_;
  const StateSpace& space_;
  AnyDelayLimits limits_;
  StepAnalyzer analyzer_;
  Kernel kernel_;
  std::uint32_t from_ = no_state;
  std::vector<Value> start_;            // all nets of the state `from_`
  std::vector<InputChange> changes_;
  std::vector<Value> settled_;          // all nets after algorithm B, then with outcomes put in
  std::vector<GateId> followers_;       // unknown after B and in no part
  std::vector<GateId> waiting_;         // scratch of evaluate_followers()
};

}  // namespace settle
