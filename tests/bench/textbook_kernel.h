// Event-driven simulation as textbooks draw it: an object for each gate and each net, pointers
// between them, and one priority queue of events. The yardstick of the benchmark; unit delays only.
#pragma once

#include <algorithm>
#include <memory>
#include <queue>
#include <vector>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle::bench {

class TextbookKernel {
 public:
  explicit TextbookKernel(const Circuit& circuit) {
    for (NetId net = 0; net < circuit.net_count(); ++net) {
      nets_.push_back(std::make_unique<Net>());
      if (circuit.is_undriven(net)) nets_[net]->value = Value::z;
    }
    nets_[circuit.const_zero()]->value = Value::zero;
    nets_[circuit.const_one()]->value = Value::one;
    for (GateId g = 0; g < circuit.gate_count(); ++g) {
      gates_.push_back(std::make_unique<Gate>());
      Gate& gate = *gates_.back();
      gate.kind = circuit.kind(g);
      gate.output = nets_[circuit.output_of(g)].get();
      for (const NetId net : circuit.fan_in(g)) {
        gate.inputs.push_back(nets_[net].get());
        nets_[net]->readers.push_back(&gate);
      }
      touched_.push_back(&gate);  // all are evaluated at power-up
    }
  }

  void set(NetId net, Value value, Time time) { queue_.push({time, number_++, nets_[net].get(), value}); }

  Value value(NetId net) const { return nets_[net]->value; }

  /// Runs until nothing is left or the next event is later than `until`.
  Time run(Time until) {
    for (;;) {
      while (!queue_.empty() && queue_.top().time == now_) {
        const Event event = queue_.top();
        queue_.pop();
        if (event.net->value == event.value) continue;
        event.net->value = event.value;
        for (Gate* reader : event.net->readers) {
          if (reader->is_touched) continue;
          reader->is_touched = true;
          touched_.push_back(reader);
        }
      }
      for (Gate* gate : touched_) {
        gate->is_touched = false;
        pins_.clear();
        for (const Net* input : gate->inputs) pins_.push_back(input->value);
        const Value value = evaluate(gate->kind, pins_);
        if (value == gate->last) continue;
        gate->last = value;
        queue_.push({now_ + 1, number_++, gate->output, value});
      }
      touched_.clear();
      if (queue_.empty() || queue_.top().time > until) return now_;
      now_ = queue_.top().time;
    }
  }

 private:
  struct Gate;
  struct Net {
    Value value = Value::x;
    std::vector<Gate*> readers;
  };
  struct Gate {
    GateKind kind = GateKind::buf;
    bool is_touched = false;
    Value last = Value::x;  // scheduled last
    Net* output = nullptr;
    std::vector<const Net*> inputs;
  };
  struct Event {
    Time time;
    std::uint64_t number;
    Net* net;
    Value value;
  };
  struct Later {
    bool operator()(const Event& a, const Event& b) const {
      return a.time != b.time ? a.time > b.time : a.number > b.number;
    }
  };
  std::vector<std::unique_ptr<Net>> nets_;
  std::vector<std::unique_ptr<Gate>> gates_;
  std::vector<Gate*> touched_;
  std::vector<Value> pins_;
  std::priority_queue<Event, std::vector<Event>, Later> queue_;
  std::uint64_t number_ = 0;
  Time now_ = 0;
};

}  // namespace settle::bench
