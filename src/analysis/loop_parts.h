// The parts of a circuit whose stability can be judged one by one once the inputs are given.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/stable_network.h"

namespace settle {

/// Loops that hang together through nets that depend on a loop, or one shared wire that depends on
/// inputs only. An input vector has a stable state when it has one in each part.
struct LoopPart {
  std::vector<NetId> nets;    ///< all that it takes to evaluate it, gates and wires, drivers before readers
  std::vector<NetId> inputs;  ///< free inputs that it depends on, ascending
};

class LoopParts {
 public:
  /// The arguments must live as long. `network` must be made without followers.
  LoopParts(const Circuit& circuit, const StableNetwork& network);

  std::uint32_t size() const { return static_cast<std::uint32_t>(roots_.size()); }
  LoopPart part(std::uint32_t index) const;

  /// Evaluates a part: `values` holds the inputs (x: any value) and the deciding nets; fills in the
  /// others. True: the deciding nets confirm themselves and no wire floats, whatever the x stand for.
  bool is_stable(const LoopPart& part, std::vector<Value>& values) const;

 private:
  template <class Visit>
  void for_each_source(NetId net, const Visit& visit) const;
  Value function(NetId net, const std::vector<Value>& values) const;

  const Circuit* circuit_;
  const StableNetwork* network_;
  std::vector<bool> decides_;              // by net: on every cycle there is one
  std::vector<std::uint32_t> position_;    // by net: in an order with drivers before readers
  std::vector<std::vector<NetId>> roots_;  // by part: its nets, but for those in front of it
};

}  // namespace settle
