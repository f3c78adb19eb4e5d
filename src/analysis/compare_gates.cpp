// Matching gates: from each pair of outputs back to the inputs, a gate of one side is paired with the gate
// of the other at the same place. Equal when each pair has one kind, equal delays and paired fan-ins in
// the same order, and no gate is in two pairs. The pairing is then an isomorphism of what the outputs
// can see, so that behaviour is equal for all delays; the order of inputs is not tried in other ways.
// Linear.
#include <vector>

#include "analysis/compare_steps.h"

namespace settle {
namespace {

class GateMatcher {
 public:
  GateMatcher(const Circuit& a, const Circuit& b) : a_(a), b_(b), of_a_(a.net_count(), no_id), of_b_(b.net_count(), no_id) {}

  bool pair(NetId x, NetId y) {
    if (a_.is_constant(x) || b_.is_constant(y)) {
      return a_.is_constant(x) && b_.is_constant(y) && (x == a_.const_one()) == (y == b_.const_one());
    }
    if (of_a_[x] != no_id || of_b_[y] != no_id) return of_a_[x] == y && of_b_[y] == x;
    of_a_[x] = y;
    of_b_[y] = x;
    waiting_.emplace_back(x, y);
    return true;
  }

  bool run() {
    while (!waiting_.empty()) {
      const auto [x, y] = waiting_.back();
      waiting_.pop_back();
      if (!expand(x, y)) return false;
    }
    return true;
  }

 private:
  bool expand(NetId x, NetId y) {
    if (a_.is_input(x) || b_.is_input(y)) return false;  // paired inputs never get here, others are not alike
    if (a_.is_undriven(x) || b_.is_undriven(y)) return a_.is_undriven(x) && b_.is_undriven(y);
    if (a_.is_resolved(x) != b_.is_resolved(y)) return false;
    if (a_.is_resolved(x)) return pair_all(a_.drivers_of(x), b_.drivers_of(y));
    const GateId g = a_.gate_of(x), h = b_.gate_of(y);
    if (a_.kind(g) != b_.kind(h) || a_.has_delays() != b_.has_delays() || a_.time_unit() != b_.time_unit()) return false;
    if (a_.has_delays() && !(a_.delay(g) == b_.delay(h))) return false;
    return pair_all(a_.fan_in(g), b_.fan_in(h));
  }

  bool pair_all(std::span<const NetId> from_a, std::span<const NetId> from_b) {
    if (from_a.size() != from_b.size()) return false;
    for (std::size_t i = 0; i < from_a.size(); ++i) {
      if (!pair(from_a[i], from_b[i])) return false;
    }
    return true;
  }

  const Circuit& a_;
  const Circuit& b_;
  std::vector<NetId> of_a_, of_b_;  // the net paired with, by net
  std::vector<std::pair<NetId, NetId>> waiting_;

 public:
  void pair_inputs(const PinMatch& match) {
    for (NetId i = 0; i < match.inputs.size(); ++i) {
      of_a_[i] = match.inputs[i];
      of_b_[match.inputs[i]] = i;
    }
  }
};

}  // namespace

bool same_gates(const Circuit& a, const Circuit& b, const PinMatch& match) {
  GateMatcher matcher(a, b);
  matcher.pair_inputs(match);
  for (std::size_t i = 0; i < match.outputs.size(); ++i) {
    if (!matcher.pair(a.outputs()[i], b.outputs()[match.outputs[i]])) return false;
  }
  return matcher.run();
}

}  // namespace settle
