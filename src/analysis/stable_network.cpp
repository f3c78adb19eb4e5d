// Idea: a state is stable when every gate has the value of its function and no gate reads a wire
// that floats or is fought over. So every net with readers is a binary variable. The value of a
// three-state gate is a function of its two pins, hence no variable of its own: only the wire is one,
// equal to every driver that is switched on, of which there is at least one (or a pull gate).
//
// First the values that follow from the known inputs are filled in. Then gates that nothing hangs on
// (no gate that is left reads them) are set aside, again and again: a push-pull gate has a value for
// any values of its pins, so it forbids no state and adds none. A circuit without loops and shared
// wires vanishes altogether. What is left becomes clauses.
// With any open level allowed, a wire without a driver, or with drivers of both values, is a free variable.
// Invariant: the satisfying values are in one-to-one relation with the stable states.
// Cost: linear in the pins of the circuit.
#include "analysis/stable_network.h"

#include <algorithm>

#include "analysis/gate_function.h"

namespace settle {
namespace {

class NetworkBuilder {
 public:
  NetworkBuilder(const Circuit& circuit, std::span<const Value> inputs, const StableNetworkOptions& options)
      : circuit_(circuit), options_(options) {
    auto& known = out_.known;
    known.assign(circuit.net_count(), Value::x);
    std::copy(inputs.begin(), inputs.end(), known.begin());
    if (options.any_open_level) std::replace(known.begin(), known.end(), Value::z, Value::x);
    const Value open = options.any_open_level ? Value::x : Value::z;
    for (NetId net = circuit.first_undriven(); net < circuit.const_zero(); ++net) known[net] = open;
    known[circuit.const_zero()] = Value::zero;
    known[circuit.const_one()] = Value::one;
  }

  StableNetwork build() {
    fill_in();
    set_aside();
    add_variables();
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (has_variable(circuit_.output_of(gate)) && is_push_pull(circuit_.kind(gate))) add_gate(gate);
    }
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      const NetId net = circuit_.output_of(gate);
      if (has_variable(net) && !is_push_pull(circuit_.kind(gate))) {
        add_wire(net, std::span<const NetId>(&net, 1));
      }
    }
    for (NetId net = circuit_.first_resolved(); net < circuit_.first_undriven(); ++net) {
      if (has_variable(net)) add_wire(net, circuit_.drivers_of(net));
    }
    if (options_.any_open_level) {
      for (NetId net = circuit_.first_undriven(); net < circuit_.const_zero(); ++net) {
        if (has_variable(net)) out_.open.push_back(literal_true);
      }
    } else {
      reject_floating();
    }
    out_.net_of.resize(out_.clauses.variable_count(), no_id);
    find_deciding();
    return std::move(out_);
  }

 private:
  bool unknown(NetId net) const { return out_.known[net] == Value::x; }
  bool has_variable(NetId net) const {
    return out_.literal[net] != no_literal && variable_of(out_.literal[net]) != 0;
  }

  // Everything that follows forwards from the known inputs.
  void fill_in() {
    auto& known = out_.known;
    const auto read = [&known](NetId net) { return known[net]; };
    std::vector<GateId> queue;
    std::vector<bool> queued(circuit_.gate_count(), true);
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) queue.push_back(gate);
    const auto set = [&](NetId net, Value value) {
      known[net] = value;
      for (const GateId reader : circuit_.fan_out(net)) {
        if (queued[reader] || !unknown(circuit_.output_of(reader))) continue;
        queued[reader] = true;
        queue.push_back(reader);
      }
    };
    for (std::size_t next = 0; next < queue.size(); ++next) {
      const GateId gate = queue[next];
      queued[gate] = false;
      if (!unknown(circuit_.output_of(gate))) continue;
      const Value value = gate_value(circuit_, gate, read);
      if (value == Value::x || (value == Value::z && options_.any_open_level)) continue;
      set(circuit_.output_of(gate), value);
      const NetId wire = circuit_.shared_wire(gate);
      if (wire == no_id || !unknown(wire)) continue;
      if (const Value on_wire = wire_value(circuit_, wire, read); is_binary(on_wire)) set(wire, on_wire);
    }
  }

  // A wire or a three-state gate's own net whose value is open and matters.
  bool is_open_wire(NetId net) const { return unknown(net) && !circuit_.fan_out(net).empty(); }

  void set_aside() {
    kept_.assign(circuit_.gate_count(), false);
    std::vector<std::uint32_t> readers(circuit_.gate_count(), 0);
    std::vector<GateId> three_state, idle;
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (!unknown(circuit_.output_of(gate))) {
        // A gate of known value on an open wire still counts there, but needs no clauses itself.
        continue;
      }
      const NetId visible = circuit_.visible_net(gate);
      if (is_push_pull(circuit_.kind(gate))) {
        kept_[gate] = true;
        if (visible != circuit_.output_of(gate) && is_open_wire(visible)) ++readers[gate];
      } else {
        kept_[gate] = is_open_wire(visible);
        if (!kept_[gate] || visible != circuit_.output_of(gate)) three_state.push_back(gate);
      }
      if (!kept_[gate]) continue;
      for (const NetId pin : circuit_.fan_in(gate)) {
        if (circuit_.is_gate_output(pin)) ++readers[circuit_.gate_of(pin)];
      }
    }
    for (GateId gate = 0; gate < circuit_.gate_count(); ++gate) {
      if (options_.with_followers || !kept_[gate] || !is_push_pull(circuit_.kind(gate))) continue;
      if (readers[gate] == 0) idle.push_back(gate);
    }
    for (std::size_t next = 0; next < idle.size(); ++next) {
      const GateId gate = idle[next];
      kept_[gate] = false;
      for (const NetId pin : circuit_.fan_in(gate)) {
        if (!circuit_.is_gate_output(pin) || !kept_[circuit_.gate_of(pin)]) continue;
        const GateId driver = circuit_.gate_of(pin);
        if (--readers[driver] == 0 && is_push_pull(circuit_.kind(driver))) idle.push_back(driver);
      }
    }
    // Readers went first, so drivers come first the other way round.
    out_.followers.assign(idle.rbegin(), idle.rend());
    out_.followers.insert(out_.followers.end(), three_state.begin(), three_state.end());
  }

  void add_variable(NetId net) {
    out_.literal[net] = literal_of(out_.clauses.add_variable());
    out_.net_of.push_back(net);
  }

  void add_variables() {
    out_.literal.assign(circuit_.net_count(), no_literal);
    out_.net_of.assign(1, no_id);
    for (NetId net = 0; net < circuit_.net_count(); ++net) {
      if (is_binary(out_.known[net])) {
        out_.literal[net] = out_.known[net] == Value::one ? literal_true : literal_false;
      } else if (!unknown(net)) {
        continue;
      } else if (circuit_.is_input(net)) {
        add_variable(net);
        out_.deciding.push_back(out_.clauses.variable_count() - 1);
        ++out_.free_inputs;
      } else if (circuit_.is_gate_output(net)) {
        const GateId gate = circuit_.gate_of(net);
        const bool own_wire = circuit_.visible_net(gate) == net;
        if (kept_[gate] && (is_push_pull(circuit_.kind(gate)) || own_wire)) add_variable(net);
      } else if ((circuit_.is_resolved(net) || circuit_.is_undriven(net)) && is_open_wire(net)) {
        add_variable(net);
      }
    }
  }

  // A pin that cannot be 0 or 1 makes the whole state not stable; reject_floating() says so.
  Literal pin_literal(NetId net) const {
    return out_.literal[net] == no_literal ? literal_false : out_.literal[net];
  }

  void add_gate(GateId gate) {
    const GateKind kind = circuit_.kind(gate);
    const bool or_like = kind == GateKind::or_ || kind == GateKind::nor;
    const bool inverts =
        kind == GateKind::nand || kind == GateKind::not_ || kind == GateKind::xnor || kind == GateKind::or_;
    pins_.clear();
    for (const NetId pin : circuit_.fan_in(gate)) pins_.push_back(pin_literal(pin) ^ (or_like ? 1u : 0u));
    const Literal out = out_.literal[circuit_.output_of(gate)] ^ (inverts ? 1u : 0u);
    if (kind == GateKind::xor_ || kind == GateKind::xnor) {
      out_.clauses.add_parity(out, pins_);
    } else {
      out_.clauses.add_all(out, pins_);
    }
  }

  void add_wire(NetId wire, std::span<const NetId> drivers) {
    const Literal on_wire = out_.literal[wire];
    bool pulled_up = false, pulled_down = false;
    std::vector<Literal> some_on, up, down;
    for (const NetId driver : drivers) {
      const GateId gate = circuit_.gate_of(driver);
      const GateKind kind = circuit_.kind(gate);
      pulled_up |= kind == GateKind::pullup;
      pulled_down |= kind == GateKind::pulldown;
      if (is_pull(kind)) continue;
      Literal on = literal_true, value = out_.literal[driver];
      if (is_three_state(kind)) {
        const auto pins = circuit_.fan_in(gate);
        const bool on_by_zero = kind == GateKind::bufif0 || kind == GateKind::notif0;
        const bool inverts = kind == GateKind::notif0 || kind == GateKind::notif1;
        value = pin_literal(pins[0]) ^ (inverts ? 1u : 0u);
        on = pin_literal(pins[1]) ^ (on_by_zero ? 1u : 0u);
      }
      some_on.push_back(on);
      if (options_.any_open_level) {
        up.push_back(both(on, value));
        down.push_back(both(on, opposite(value)));
        continue;
      }
      out_.clauses.add({opposite(on), opposite(on_wire), value});
      out_.clauses.add({opposite(on), on_wire, opposite(value)});
    }
    if (options_.any_open_level) {
      add_open_wire(on_wire, some_on, up, down, pulled_up == pulled_down ? no_literal : on_wire ^ (pulled_up ? 0u : 1u));
      return;
    }
    if (pulled_up != pulled_down) some_on.push_back(on_wire ^ (pulled_up ? 0u : 1u));
    out_.clauses.add(some_on);
  }

  // Driven one way only it has that level; a pull counts where nothing else drives; else it is open.
  void add_open_wire(Literal on_wire, std::span<const Literal> on, std::span<const Literal> up, std::span<const Literal> down,
                     Literal pulled) {
    const Literal driven = some(on), is_up = some(up), is_down = some(down);
    out_.clauses.add({opposite(is_up), is_down, on_wire});
    out_.clauses.add({opposite(is_down), is_up, opposite(on_wire)});
    if (pulled != no_literal) out_.clauses.add({driven, pulled});
    const Literal fought = both(is_up, is_down), floats = pulled == no_literal ? opposite(driven) : literal_false;
    const Literal either[] = {fought, floats};
    out_.open.push_back(some(either));
  }

  Literal all(std::span<const Literal> literals) {
    const Literal result = literal_of(out_.clauses.add_variable());
    out_.clauses.add_all(result, literals);
    return result;
  }
  Literal both(Literal a, Literal b) {
    const Literal pair[] = {a, b};
    return all(pair);
  }
  Literal some(std::span<const Literal> literals) {
    std::vector<Literal> none;
    for (const Literal literal : literals) none.push_back(opposite(literal));
    return opposite(all(none));
  }

  void reject_floating() {
    for (NetId net = 0; net < circuit_.net_count(); ++net) {
      if (circuit_.fan_out(net).empty()) continue;
      // A wire that is x with all its drivers known is an open wire above, with clauses that fail.
      if (out_.known[net] == Value::z) out_.clauses.add(std::span<const Literal>{});
    }
  }

  // The heads of the back edges of a depth-first walk of each loop: every cycle has one.
  void find_deciding() {
    struct Frame {
      GateId gate;
      std::size_t next;
    };
    enum : std::uint8_t { fresh, entered, closed };
    std::vector<std::uint8_t> state(circuit_.gate_count(), fresh);
    std::vector<bool> chosen(circuit_.net_count(), false);
    std::vector<Frame> frames;
    for (std::uint32_t i = 0; i < circuit_.loop_count(); ++i) {
      for (const GateId root : circuit_.loop(i)) {
        if (state[root] != fresh || !kept_[root]) continue;
        frames.push_back({root, 0});
        state[root] = entered;
        while (!frames.empty()) {
          Frame& frame = frames.back();
          const auto readers = circuit_.fan_out(circuit_.visible_net(frame.gate));
          if (frame.next == readers.size()) {
            state[frame.gate] = closed;
            frames.pop_back();
            continue;
          }
          const GateId to = readers[frame.next++];
          if (!kept_[to] || circuit_.loop_of(to) != i) continue;
          const NetId seen = circuit_.visible_net(to);
          if (state[to] == entered && !chosen[seen] && has_variable(seen)) {
            chosen[seen] = true;
            out_.deciding.push_back(variable_of(out_.literal[seen]));
          } else if (state[to] == fresh) {
            state[to] = entered;
            frames.push_back({to, 0});
          }
        }
      }
    }
  }

  const Circuit& circuit_;
  const StableNetworkOptions options_;
  StableNetwork out_;
  std::vector<bool> kept_;     // by gate: has clauses
  std::vector<Literal> pins_;  // of the gate in hand
};

}  // namespace

StableNetwork stable_network(const Circuit& circuit, std::span<const Value> inputs,
                             const StableNetworkOptions& options) {
  return NetworkBuilder(circuit, inputs, options).build();
}

}  // namespace settle
