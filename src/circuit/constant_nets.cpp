// From the constants and the gates without inputs, forwards: a gate whose known inputs fix its output
// makes that known. All else is x, so that what is found holds for every delay and every start (the
// ternary values are monotonic). Gates wait in a row, each at most once at a time.
// Cost: in practice linear in the pins that are reached; at worst a look at a whole gate for each of its
// pins.
#include "circuit/constant_nets.h"

#include <algorithm>

namespace settle {
namespace {

class ConstantSpread {
 public:
  explicit ConstantSpread(const Circuit& circuit)
      : circuit_(circuit), known_(circuit.net_count(), Value::x), is_queued_(circuit.gate_count()) {}

  std::vector<Value> run() {
    for (NetId net = circuit_.first_undriven(); net < circuit_.const_zero(); ++net) known_[net] = Value::z;
    set(circuit_.const_zero(), Value::zero);
    set(circuit_.const_one(), Value::one);
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (is_pull(circuit_.kind(gate))) enqueue(gate);
    }
    for (std::size_t next = 0; next < queue_.size(); ++next) {
      is_queued_[queue_[next]] = false;
      evaluate_gate(queue_[next]);
    }
    return std::move(known_);
  }

 private:
  void set(NetId net, Value value) {
    known_[net] = value;
    for (const GateId reader : circuit_.fan_out(net)) {
      if (known_[circuit_.output_of(reader)] == Value::x) enqueue(reader);
    }
  }

  void enqueue(GateId gate) {
    if (is_queued_[gate]) return;
    is_queued_[gate] = true;
    queue_.push_back(gate);
  }

  void evaluate_gate(GateId gate) {
    const NetId output = circuit_.output_of(gate);
    if (known_[output] != Value::x) return;
    pins_.clear();
    for (const NetId pin : circuit_.fan_in(gate)) pins_.push_back(known_[pin]);
    const Value value = evaluate(circuit_.kind(gate), pins_);
    if (value == Value::x) return;
    set(output, value);
    const NetId wire = circuit_.shared_wire(gate);
    if (wire == no_id || known_[wire] != Value::x) return;
    std::vector<Drive> strong, pull;
    for (const NetId driver : circuit_.drivers_of(wire)) {
      auto& list = is_pull(circuit_.kind(circuit_.gate_of(driver))) ? pull : strong;
      list.push_back(static_cast<Drive>(known_[driver]));  // the first four drives are the four values
    }
    const Value on_wire = resolve(strong, pull);
    if (on_wire != Value::x) set(wire, on_wire);
  }

  const Circuit& circuit_;
  std::vector<Value> known_;
  std::vector<bool> is_queued_;
  std::vector<GateId> queue_;
  std::vector<Value> pins_;
};

}  // namespace

std::vector<Value> constant_nets(const Circuit& circuit) { return ConstantSpread(circuit).run(); }

}  // namespace settle
