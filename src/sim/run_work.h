// The work of a run: how much is done, of how much, and when it is too much.
//
// The share done is measured in the stimulus: a statement weighs 1 and the time that it says. What
// `settle` takes cannot be known before and weighs 1 as well. The work is counted in events, whatever
// the machine, so that the limit stops every run at the same place.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "settle/run.h"
#include "settle/step_analysis.h"
#include "sim/bound_stimulus.h"

namespace settle {

/// How far the steps of a run may be searched. One step may take all that the limit on states allows; each
/// one that stays without verdict leaves a quarter to the next, for a circuit that has one such step
/// mostly has many, down to none: together they take little more than the first. A state of more than
/// 64 gates counts as several.
class SearchAllowance {
 public:
  explicit SearchAllowance(const AnyDelayLimits& limits) : limits_(limits) {}

  /// States for a step in which so many gates are in doubt; 0: no search.
  std::uint64_t states_for(std::size_t gates) const {
    const std::uint64_t left = failed_ < 32 ? limits_.states >> (2 * failed_) : 0;
    const std::uint64_t states = left / std::max<std::uint64_t>(1, (gates + 63) / 64);
    return failed_ > 0 && states < fewest ? 0 : std::max<std::uint64_t>(states, 1);
  }
  /// A search met its limit.
  void count_failed() { ++failed_; }
  std::uint64_t failed() const { return failed_; }

 private:
  static constexpr std::uint64_t fewest = 256;  // a search of fewer states decides nothing

  const AnyDelayLimits& limits_;
  std::uint64_t failed_ = 0;
};

class RunWork {
 public:
  RunWork(const BoundStimulus& stimulus, const RunOptions& options, std::uint64_t lanes);

  /// A lane starts, another one ended: its events stay counted.
  void next_lane() {
    events_before_ += events_;
    events_ = 0;
    done_ = lane_++ * lane_weight_;
  }
  /// Events of this lane up to now; false: more than the limit allows.
  bool count(std::uint64_t events) {
    events_ = events;
    return !is_over();
  }
  bool is_over() const { return events_before_ + events_ > options_.event_limit; }
  SearchAllowance& searches() { return searches_; }
  void statement_done(std::size_t index) { done_ = std::min(done_ + weights_[index], most); }
  /// Tells how far the run is, `elapsed` within a statement.
  void tell(std::size_t index, Time elapsed) const {
    if (options_.progress == nullptr) return;
    const std::uint64_t within =
        index < weights_.size() ? std::min<std::uint64_t>(elapsed, weights_[index]) : 0;
    options_.progress->set(done_ + within, events_before_ + events_);
  }

 private:
  static constexpr std::uint64_t most = std::uint64_t{1} << 60;

  const RunOptions& options_;
  SearchAllowance searches_;
  std::vector<std::uint64_t> weights_;  // by statement
  std::uint64_t lane_weight_ = 0;
  std::uint64_t lane_ = 0;
  std::uint64_t done_ = 0;
  std::uint64_t events_before_ = 0, events_ = 0;
};

}  // namespace settle
