// Verdicts: the any-delay outcome put together with what equal delays do.
#include <limits>

#include "settle/step_analysis.h"

namespace settle {

std::string_view name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::settles: return "settles";
    case Verdict::delay_dependent: return "delay-dependent";
    case Verdict::indeterminate: return "indeterminate";
    case Verdict::oscillation: return "oscillation";
  }
  return "settles";
}

// The parts are independent, so the circuit rests when each of them does.
bool StepOutcome::has_outcome() const {
  for (const StepPart& part : parts) {
    if (part.outcomes.empty()) return false;
  }
  return true;
}

bool StepOutcome::may_cycle() const {
  for (const StepPart& part : parts) {
    if (part.may_cycle) return true;
  }
  return false;
}

bool StepOutcome::settles() const {
  if (!complete || !known) return false;
  for (const StepPart& part : parts) {
    if (part.may_cycle || part.outcomes.size() != 1) return false;
  }
  return true;
}

std::uint64_t StepOutcome::outcome_count() const {
  std::uint64_t count = 1;
  for (const StepPart& part : parts) {
    const std::uint64_t factor = part.outcomes.size();
    if (factor == 0) return 0;
    if (count > std::numeric_limits<std::uint64_t>::max() / factor) {
      count = std::numeric_limits<std::uint64_t>::max();
    } else {
      count *= factor;
    }
  }
  return count;
}

Verdict verdict_of(const StepOutcome& outcome, bool repeats) {
  if (outcome.settles()) return Verdict::settles;
  if (!repeats) return Verdict::delay_dependent;
  return outcome.has_outcome() ? Verdict::indeterminate : Verdict::oscillation;
}

}  // namespace settle
