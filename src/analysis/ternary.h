// Eichelberger's algorithms A and B on work lists.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "settle/circuit.h"
#include "settle/step_analysis.h"

namespace settle {

/// Keeps its arrays from step to step; a step costs time in proportion to the gates that it
/// touches (and one look at every gate when the step does not say which gates are excited).
class TernarySimulator {
 public:
  explicit TernarySimulator(const Circuit& circuit);

  /// Algorithm A, and B unless `only_a`. Results hold until the next call; `step.values` must
  /// live as long.
  void run(const Step& step, bool loops_only, bool only_a = false);

  Value value(NetId net) const { return stamp_[net] == epoch_ ? now_[net] : start_[net]; }
  Value gate_output(GateId gate) const { return value(circuit_->output_of(gate)); }
  /// Gates that A turned to x, in the order found.
  const std::vector<GateId>& active() const { return active_; }

 private:
  void begin();
  void set(NetId net, Value value);
  bool enqueue(GateId gate);
  void enqueue_readers(NetId net);
  void spread(GateId gate);
  void seed_excited(const Step& step);
  void raise_all();
  void lower_all();
  Value function(GateId gate) const;

  const Circuit* circuit_;
  bool loops_only_ = false;
  bool raising_ = false;
  std::uint32_t epoch_ = 0;
  std::span<const Value> start_;
  std::vector<Value> now_;            // valid where stamp_ == epoch_
  std::vector<std::uint32_t> stamp_;  // by net
  std::vector<bool> queued_;          // by gate; all false between passes
  std::vector<GateId> queue_;
  std::vector<GateId> active_;
  std::vector<GateId> unknown_;  // gates that were x and had an input changed: B may lower them
};

}  // namespace settle
