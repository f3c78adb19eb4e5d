// All stable states by depth-first search.
//
// Deciding one gate on every loop decides all the others by evaluation. The gates to decide are the
// heads of the back edges of a depth-first walk of each loop (every cycle has one); they are tried
// one after another, after each value everything that follows is filled in, forwards (a gate whose
// inputs decide it) and backwards (an input that a gate value leaves no choice), and a contradiction
// turns the search back. Exact: a state is listed when every gate has the value of its function.
//
// Invariants: a net goes from unknown to known only, and back in the reverse order of the trail;
// every gate with a net that became known since is in the queue.
// Cost: worst case exponential in the gates to decide; on memories a few evaluations a state.
#include "settle/stable_states.h"

#include <algorithm>

#include "analysis/gate_function.h"

namespace settle {
namespace {

class StableSearcher {
 public:
  StableSearcher(const Circuit& circuit, std::span<const Value> inputs, const StableSearch& search)
      : circuit_(circuit), limit_(search.limit), values_(circuit.net_count(), Value::x),
        queued_(circuit.gate_count(), false) {
    std::copy(inputs.begin(), inputs.end(), values_.begin());
    for (NetId net = circuit.first_undriven(); net < circuit.const_zero(); ++net) values_[net] = Value::z;
    values_[circuit.const_zero()] = Value::zero;
    values_[circuit.const_one()] = Value::one;
    find_decisions();
    for (NetId net = 0; net < circuit.net_count(); ++net) {
      const bool may_float = circuit.is_resolved(net) || circuit.is_undriven(net) ||
                             (circuit.is_gate_output(net) && !is_push_pull(circuit.kind(circuit.gate_of(net))));
      if (may_float && !circuit.fan_out(net).empty()) may_float_.push_back(net);
    }
  }

  StableList run() {
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) enqueue(gate);
    bool consistent = propagate();
    for (;;) {
      if (consistent) {
        while (next_ < decisions_.size() && known(decisions_[next_])) ++next_;
        if (next_ < decisions_.size()) {
          choices_.push_back({trail_.size(), next_, Value::zero});
          consistent = decide(choices_.back());
          continue;
        }
        if (is_stable() && !list()) break;
      }
      if (!turn_back()) break;
      consistent = decide(choices_.back());
    }
    if (!std::is_sorted(result_.states.begin(), result_.states.end())) {
      std::sort(result_.states.begin(), result_.states.end());
    }
    return std::move(result_);
  }

 private:
  struct Choice {
    std::size_t trail;
    std::size_t decision;
    Value value;  // being tried
  };
  struct Change {
    NetId net;
    Value before;
  };

  bool known(GateId gate) const { return values_[circuit_.output_of(gate)] != Value::x; }

  void find_decisions() {
    struct Frame {
      GateId gate;
      std::size_t next;
    };
    enum : std::uint8_t { fresh, open, closed };
    std::vector<std::uint8_t> state(circuit_.gate_count(), fresh);
    std::vector<bool> chosen(circuit_.gate_count(), false);
    std::vector<Frame> frames;
    for (std::uint32_t i = 0; i < circuit_.loop_count(); ++i) {
      for (const GateId root : circuit_.loop(i)) {
        if (state[root] != fresh) continue;
        frames.push_back({root, 0});
        state[root] = open;
        while (!frames.empty()) {
          Frame& frame = frames.back();
          const auto readers = circuit_.fan_out(circuit_.visible_net(frame.gate));
          if (frame.next == readers.size()) {
            state[frame.gate] = closed;
            frames.pop_back();
            continue;
          }
          const GateId to = readers[frame.next++];
          if (circuit_.loop_of(to) != i) continue;
          if (state[to] == open && !chosen[to]) {
            chosen[to] = true;
            decisions_.push_back(to);
          } else if (state[to] == fresh) {
            state[to] = open;
            frames.push_back({to, 0});
          }
        }
      }
    }
  }

  void enqueue(GateId gate) {
    if (queued_[gate]) return;
    queued_[gate] = true;
    queue_.push_back(gate);
  }
  void set(NetId net, Value value) {
    trail_.push_back({net, values_[net]});
    values_[net] = value;
    for (const GateId reader : circuit_.fan_out(net)) enqueue(reader);
  }
  void assign(GateId gate, Value value) {
    set(circuit_.output_of(gate), value);
    enqueue(gate);
    const NetId wire = circuit_.shared_wire(gate);
    if (wire == no_id) return;
    const Value on_wire = wire_value(circuit_, wire, read());
    if (on_wire != values_[wire]) set(wire, on_wire);
  }
  struct Read {
    const std::vector<Value>* values;
    Value operator()(NetId net) const { return (*values)[net]; }
  };
  Read read() const { return {&values_}; }

  bool propagate() {
    bool consistent = true;
    for (std::size_t next = 0; next < queue_.size(); ++next) {
      const GateId gate = queue_[next];
      queued_[gate] = false;
      if (!consistent) continue;  // only empties the queue
      const Value value = gate_value(circuit_, gate, read());
      const Value now = values_[circuit_.output_of(gate)];
      if (value != Value::x) {
        if (now == Value::x) {
          assign(gate, value);
        } else {
          consistent = now == value;
        }
      } else if (is_binary(now)) {
        imply_inputs(gate, now);
      }
    }
    queue_.clear();
    return consistent;
  }

  // The inputs of a gate with known output that have no choice left.
  void imply_inputs(GateId gate, Value output) {
    const GateKind kind = circuit_.kind(gate);
    if (!is_push_pull(kind)) return;
    NetId open = no_id;  // an unknown input, when all unknown pins are that net
    std::size_t open_nets = 0, open_pins = 0;
    Value parity = kind == GateKind::xnor ? inverted(output) : output;
    for (const NetId pin : circuit_.fan_in(gate)) {
      if (values_[pin] == Value::one) parity = inverted(parity);
      if (is_binary(values_[pin])) continue;
      ++open_pins;
      if (pin == open) continue;
      open = pin;
      ++open_nets;
    }
    const auto imply = [this](NetId net, Value value) {
      if (values_[net] != Value::x || !circuit_.is_gate_output(net)) return;
      if (is_push_pull(circuit_.kind(circuit_.gate_of(net)))) assign(circuit_.gate_of(net), value);
    };
    if (kind == GateKind::xor_ || kind == GateKind::xnor) {
      if (open_pins == 1) imply(open, parity);
      return;
    }
    const bool inverts = kind == GateKind::nand || kind == GateKind::nor || kind == GateKind::not_;
    const Value before = inverts ? inverted(output) : output;
    const bool or_like = kind == GateKind::or_ || kind == GateKind::nor;
    const Value controlling = or_like ? Value::one : Value::zero;
    if (before != controlling) {
      for (const NetId pin : circuit_.fan_in(gate)) imply(pin, before);
    } else if (open_nets == 1) {
      imply(open, before);
    }
  }

  bool decide(const Choice& choice) {
    assign(decisions_[choice.decision], choice.value);
    return propagate();
  }

  // Undoes the last choice that has a value left to try, and moves it on to that value.
  bool turn_back() {
    while (!choices_.empty()) {
      Choice& choice = choices_.back();
      while (trail_.size() > choice.trail) {
        values_[trail_.back().net] = trail_.back().before;
        trail_.pop_back();
      }
      next_ = choice.decision;
      const GateKind kind = circuit_.kind(decisions_[choice.decision]);
      if (choice.value == Value::zero) {
        choice.value = Value::one;
        return true;
      }
      if (choice.value == Value::one && is_three_state(kind)) {
        choice.value = Value::z;
        return true;
      }
      choices_.pop_back();
    }
    return false;
  }

  // All gates known, and no gate reads a wire that floats or is fought over.
  bool is_stable() const {
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (!known(gate)) return false;
    }
    for (const NetId net : may_float_) {
      if (!is_binary(values_[net])) return false;
    }
    return true;
  }

  bool list() {
    if (result_.states.size() >= limit_) return result_.complete = false;
    const auto first = values_.begin() + circuit_.input_count();
    result_.states.emplace_back(first, first + circuit_.gate_count());
    return true;
  }

  const Circuit& circuit_;
  const std::uint64_t limit_;
  std::vector<Value> values_;       // by net; x: not yet known
  std::vector<bool> queued_;        // by gate
  std::vector<GateId> queue_;
  std::vector<Change> trail_;
  std::vector<GateId> decisions_;   // one gate at least on every cycle
  std::vector<NetId> may_float_;    // nets with readers that may be x or z in a full state
  std::vector<Choice> choices_;
  std::size_t next_ = 0;            // decisions before this one are known
  StableList result_;
};

}  // namespace

StableList find_stable_states(const Circuit& circuit, std::span<const Value> inputs,
                              const StableSearch& search) {
  return StableSearcher(circuit, inputs, search).run();
}

}  // namespace settle
