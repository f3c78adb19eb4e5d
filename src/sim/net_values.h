// A plain store of all net values with evaluation by the book: slow and obvious, for the few
// places that are not worth a kernel.
#pragma once

#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

class NetValues {
 public:
  NetValues(const Circuit& circuit, std::span<const Value> inputs);

  std::span<const Value> all() const { return values_; }
  Value value(NetId net) const { return values_[net]; }

  /// What the gate would drive now.
  Drive function(GateId gate);

  /// Sets a gate output and the shared wire that it may drive. Gives the net whose readers see a
  /// change, or no_id when there is none.
  NetId put(GateId gate, Drive drive);
  Drive drive(GateId gate) const { return drives_[gate]; }

 private:
  const Circuit& circuit_;
  std::vector<Value> values_;
  std::vector<Drive> drives_;
  std::vector<Value> pins_;
  std::vector<Drive> strong_, pull_;
};

}  // namespace settle
