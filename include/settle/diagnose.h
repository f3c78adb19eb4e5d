// Which single fault explains what was seen, and what to look at next.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "settle/fault.h"
#include "settle/progress.h"
#include "settle/source.h"

namespace settle {

struct DiagnoseOptions {
  std::uint32_t walks = 16;                 ///< at most, that look for differences
  std::uint32_t walk_steps = 24;            ///< input settings of each
  std::uint64_t seed = 1;
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// One value that was seen.
struct Observation {
  std::uint32_t place = 0;   ///< index into FaultModel::places
  Value value = Value::x;    ///< 0, 1; x: no clear level
  std::uint32_t step = 0;    ///< index into FaultSession::steps() of the inputs at that time, plus 1; 0: before any
  Place source;              ///< where it was stated, or absent
  Value intended = Value::x; ///< what the intended circuit shows
};

/// Faults that nothing tells apart: equal in all walks from the present state, at every place.
struct FaultGroup {
  std::vector<std::uint32_t> faults;  ///< the likeliest kind first
  std::uint64_t signature = 0;
};

/// Input settings, one after another, and a place to look at then.
struct NextLook {
  std::vector<std::vector<Value>> inputs;  ///< may be empty: look now
  std::uint32_t place = 0;
  std::uint32_t zeros = 0, ones = 0, unknown = 0;  ///< leading faults that predict each
  double bits = 0;                                  ///< expected information
};

/// What the leading faults would do next.
struct Outlook {
  std::vector<FaultGroup> groups;   ///< of the leading faults
  std::optional<NextLook> next;     ///< nothing: no look splits them any more
};

/// All faults of a model at one bench: inputs are set, values are seen, and faults drop out.
///
/// An observation 0 or 1 contradicts a fault that predicts the other; one of x contradicts none. A
/// prediction of x contradicts nothing. What agrees without being equal is a miss; the faults with the
/// fewest misses lead. Copyable; a copy goes its own way.
class FaultSession {
 public:
  /// The model must outlive the session and its copies. `gates`: power-up values, or nothing.
  FaultSession(const FaultModel& model, const DiagnoseOptions& options, std::span<const Value> gates = {});

  /// Sets all inputs and waits for rest.
  void apply(std::span<const Value> inputs);
  void observe(std::uint32_t place, Value value, Place source = {});
  /// The place cannot be looked at: it is not asked for again.
  void leave_out(std::uint32_t place) { left_out_[place] = true; }

  /// Faults without contradiction and with the fewest misses, ascending; empty when none explains all.
  std::vector<std::uint32_t> leading() const;
  /// Faults without contradiction.
  std::uint64_t possible() const;
  /// Faults that fewer observations contradict than any other, for when no fault explains all.
  bool is_possible(std::uint32_t fault) const { return contradicted_by_[fault] == no_id; }
  /// Observations that the fault explains as unknown only, or predicts while no clear level was seen.
  std::uint32_t misses(std::uint32_t fault) const { return misses_[fault]; }
  /// What a fault shows at a place now. z counts as x.
  Value predicted(std::uint32_t fault, std::uint32_t place) const;

  const std::vector<std::vector<Value>>& steps() const { return steps_; }
  const std::vector<Observation>& observations() const { return observations_; }
  const FaultModel& model() const { return *model_; }

  /// Groups of the leading faults and the look that splits them best.
  Outlook look_ahead(Progress* progress = nullptr) const;

 private:
  struct Batch {
    FaultKernel kernel;
    std::vector<std::uint32_t> faults;         // by lane; lane 63 is the intended circuit
    struct Seen {
      std::uint32_t place;
      std::uint64_t lane;
      SignalRef signal;
    };
    std::vector<Seen> seen;                    // by place
    std::uint64_t alive = 0;
  };
  static constexpr unsigned faults_a_batch = 63;
  /// Where the present state of a fault is.
  struct Lane {
    const Batch* batch;
    unsigned lane;
  };
  class Watch;
  static LaneWord word_at(const Batch& batch, const FaultModel& model, std::uint32_t place);
  Lane lane_of(std::uint32_t fault) const;
  std::vector<Batch> batches_of(std::span<const std::uint32_t> faults) const;
  void drop_idle_lanes();

  const FaultModel* model_;
  DiagnoseOptions options_;
  std::vector<Value> start_;                   // power-up values of gates
  std::vector<Batch> batches_;
  std::vector<std::uint32_t> misses_, contradicted_by_;  // by fault
  std::vector<std::vector<Value>> steps_;
  std::vector<Observation> observations_;
  std::vector<bool> left_out_;
};

}  // namespace settle
