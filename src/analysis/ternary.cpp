// Ternary simulation after Eichelberger (IBM J. Res. Develop. 9 (2), 1965), for a start in any state
// after Seger and Brzozowski (RAIRO Informatique theorique 28 (3-4), 1994).
//
// A: changing inputs stand at the least upper bound of old and new value; a gate goes to the least
// upper bound of its value and its function until nothing changes. B: the inputs take their new
// values; a gate that is x takes its function.
//
// Invariants: in A a net only ever goes up (0, 1, z -> x), in B only down, so each gate changes at
// most twice and the work is bounded by the pins of the gates touched. Gates outside the lists have
// no changed input and, being stable, keep their value. A gate that was x at the start is x all
// through A; it is noted when touched, since B may lower it.
#include "analysis/ternary.h"

#include <algorithm>

#include "analysis/gate_function.h"

namespace settle {

TernarySimulator::TernarySimulator(const Circuit& circuit)
    : circuit_(&circuit),
      now_(circuit.net_count(), Value::x),
      stamp_(circuit.net_count(), 0),
      queued_(circuit.gate_count(), false) {}

void TernarySimulator::begin() {
  if (++epoch_ == 0) {
    std::fill(stamp_.begin(), stamp_.end(), 0u);
    epoch_ = 1;
  }
  active_.clear();
  unknown_.clear();
  queue_.clear();
}

void TernarySimulator::set(NetId net, Value value) {
  stamp_[net] = epoch_;
  now_[net] = value;
}

bool TernarySimulator::enqueue(GateId gate) {
  if (queued_[gate] || (loops_only_ && !circuit_->reaches_loop(gate))) return false;
  queued_[gate] = true;
  queue_.push_back(gate);
  return true;
}

void TernarySimulator::enqueue_readers(NetId net) {
  for (const GateId gate : circuit_->fan_out(net)) {
    // B only looks at gates that are still x.
    if (raising_ || gate_output(gate) == Value::x) enqueue(gate);
  }
}

Value TernarySimulator::function(GateId gate) const {
  return gate_value(*circuit_, gate, [this](NetId net) { return value(net); });
}

// The gate's output has a new value: passes it on, over a shared wire if there is one.
void TernarySimulator::spread(GateId gate) {
  enqueue_readers(circuit_->output_of(gate));
  const NetId wire = circuit_->shared_wire(gate);
  if (wire == no_id) return;
  Value next = wire_value(*circuit_, wire, [this](NetId net) { return value(net); });
  if (raising_) next = least_upper_bound(value(wire), next);
  if (next == value(wire)) return;
  set(wire, next);
  enqueue_readers(wire);
}

void TernarySimulator::seed_excited(const Step& step) {
  if (step.excited) {
    for (const GateId gate : *step.excited) enqueue(gate);
    return;
  }
  const auto read = [&step](NetId net) { return step.values[net]; };
  for (GateId gate = 0; gate < circuit_->gate_count(); ++gate) {
    if (loops_only_ && !circuit_->reaches_loop(gate)) continue;
    if (gate_value(*circuit_, gate, read) != step.values[circuit_->output_of(gate)]) enqueue(gate);
  }
}

void TernarySimulator::raise_all() {
  for (std::size_t next = 0; next < queue_.size(); ++next) {
    const GateId gate = queue_[next];
    queued_[gate] = false;
    const NetId output = circuit_->output_of(gate);
    const Value old = value(output);
    if (old == Value::x) {
      if (stamp_[output] != epoch_) unknown_.push_back(gate);
      continue;
    }
    if (function(gate) == old) continue;
    set(output, Value::x);
    active_.push_back(gate);
    spread(gate);
  }
  queue_.clear();
}

void TernarySimulator::lower_all() {
  for (std::size_t next = 0; next < queue_.size(); ++next) {
    const GateId gate = queue_[next];
    queued_[gate] = false;
    if (gate_output(gate) != Value::x) continue;
    const Value low = function(gate);
    if (low == Value::x) continue;
    set(circuit_->output_of(gate), low);
    spread(gate);
  }
  queue_.clear();
}

void TernarySimulator::run(const Step& step, bool loops_only, bool only_a) {
  begin();
  start_ = step.values;
  loops_only_ = loops_only;
  raising_ = true;
  seed_excited(step);
  for (const InputChange& change : step.changes) {
    set(change.net, least_upper_bound(start_[change.net], change.value));
    enqueue_readers(change.net);
  }
  raise_all();
  if (only_a) return;

  raising_ = false;
  for (const InputChange& change : step.changes) {
    set(change.net, change.value);
    enqueue_readers(change.net);
  }
  for (const GateId gate : active_) enqueue(gate);
  for (const GateId gate : unknown_) enqueue(gate);
  lower_all();
}

}  // namespace settle
