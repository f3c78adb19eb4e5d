// Does a circuit come to rest, or is it proved to go round in circles?
//
// Idea: with its inputs standing still a circuit is deterministic, so a state (net values, pending
// changes relative to the present time) that comes a second time comes for ever. A copy runs
// instant by instant and remembers the hash and the time of each state. Where a hash comes again, a
// second copy runs from the start to the earlier time and the two states are compared exactly:
// nothing is claimed on the word of a hash, and since equal states have equal hashes, no first
// repetition is missed. The second copy then goes once round and notes which gates move.
//
// Cost: at most two runs to the first repetition and one period; 16 bytes an instant in a table at
// most three quarters full.
#include "sim/look_ahead.h"

#include <algorithm>
#include <vector>

#include "settle/progress.h"

namespace settle {

namespace {

// Open addressing, several times for one hash allowed.
class SeenStates {
 public:
  SeenStates() : slots_(64) {}

  void add(std::uint64_t hash, Time time) {
    if (4 * (count_ + 1) > 3 * slots_.size()) grow();
    put({hash, time});
    ++count_;
  }

  /// Calls found(time) for each time of this hash until it gives true.
  template <class Found>
  bool any_of(std::uint64_t hash, Found found) const {
    for (std::size_t at = home(hash); slots_[at].time != end_of_time; at = next(at)) {
      if (slots_[at].hash == hash && found(slots_[at].time)) return true;
    }
    return false;
  }

 private:
  struct Slot {
    std::uint64_t hash = 0;
    Time time = end_of_time;  // free
  };
  std::size_t home(std::uint64_t hash) const { return hash & (slots_.size() - 1); }
  std::size_t next(std::size_t at) const { return (at + 1) & (slots_.size() - 1); }
  void put(Slot slot) {
    std::size_t at = home(slot.hash);
    while (slots_[at].time != end_of_time) at = next(at);
    slots_[at] = slot;
  }
  void grow() {
    std::vector<Slot> old(slots_.size() * 2);
    old.swap(slots_);
    for (const Slot& slot : old) {
      if (slot.time != end_of_time) put(slot);
    }
  }
  std::vector<Slot> slots_;
  std::size_t count_ = 0;
};

// A copy that has run the instant now(), if there was something to run.
Kernel started(const Kernel& kernel) {
  Kernel copy = kernel;
  if (copy.is_waiting()) copy.run_instant(copy.now());
  return copy;
}

// Runs on to `until`, marking the gates that change.
std::vector<GateId> moving_gates(Kernel& kernel, Time until) {
  const Circuit& circuit = kernel.circuit();
  std::vector<GateId> gates;
  std::vector<bool> moves(circuit.gate_count(), false);
  const auto note = [&](GateId gate) {
    if (!moves[gate]) gates.push_back(gate);
    moves[gate] = true;
  };
  while (kernel.now() < until) {
    kernel.run_instant(*kernel.next_time());
    for (const NetId net : kernel.changed()) {
      if (circuit.is_gate_output(net)) note(circuit.gate_of(net));
    }
    for (const GateId gate : kernel.changed_drivers()) note(gate);
  }
  std::sort(gates.begin(), gates.end());
  return gates;
}

}  // namespace

Continuation look_ahead_with(const Kernel& kernel, Time limit, std::uint64_t hash_mask,
                             const std::atomic<bool>* stop) {
  Kernel runner = started(kernel);
  SeenStates seen;
  Continuation result;
  for (;;) {
    const auto next = runner.next_time();
    result.end = runner.now();
    if (!next) {
      result.kind = Continuation::Kind::settles;
      return result;
    }
    const std::uint64_t hash = runner.state_hash() & hash_mask;
    const bool repeats = seen.any_of(hash, [&](Time earlier) {
      Kernel probe = started(kernel);
      while (probe.now() < earlier) probe.run_instant(*probe.next_time());
      if (!Kernel::same_state(probe, runner)) return false;
      result.period = runner.now() - earlier;
      result.moving = moving_gates(probe, runner.now());
      return true;
    });
    if (repeats) {
      result.kind = Continuation::Kind::repeats;
      return result;
    }
    if (*next > limit || is_set(stop)) {
      result.kind = Continuation::Kind::undecided;
      return result;
    }
    if (runner.now() != end_of_time) seen.add(hash, runner.now());
    runner.run_instant(*next);
    ++result.instants;
  }
}

Continuation look_ahead(const Kernel& kernel, Time limit, const std::atomic<bool>* stop) {
  return look_ahead_with(kernel, limit, ~std::uint64_t{0}, stop);
}

}  // namespace settle
