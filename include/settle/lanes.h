// The many-lane kernel: one circuit, 64 states side by side, unit delays.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle {

/// The values of one net in 64 lanes, a bit a lane: may be 1, may be 0. Both bits: unknown.
struct LaneWord {
  std::uint64_t may_be_one = ~std::uint64_t{0};
  std::uint64_t may_be_zero = ~std::uint64_t{0};
  bool operator==(const LaneWord&) const = default;

  /// The lanes whose bit is set hold 1, the others 0.
  static constexpr LaneWord of_bits(std::uint64_t ones) { return {ones, ~ones}; }
  static constexpr LaneWord of(Value value) {
    return {value == Value::zero ? 0 : ~std::uint64_t{0}, value == Value::one ? 0 : ~std::uint64_t{0}};
  }
  constexpr Value at(unsigned lane) const {
    // Not 'one == zero': g++ 12 -O2 mixes that up with a caller's own choice between this and Value::x.
    const bool one = (may_be_one >> lane & 1) != 0, zero = (may_be_zero >> lane & 1) != 0;
    if (one && !zero) return Value::one;
    return zero && !one ? Value::zero : Value::x;
  }
  constexpr void put(unsigned lane, Value value) {
    const std::uint64_t bit = std::uint64_t{1} << lane;
    may_be_one = value == Value::zero ? may_be_one & ~bit : may_be_one | bit;
    may_be_zero = value == Value::one ? may_be_zero & ~bit : may_be_zero | bit;
  }
};

/// Simulates 64 stimuli or start states at once, tick by tick; every lane does exactly what a Kernel
/// with unit delays does alone. For circuits of push-pull gates with one driver a net (suits()).
/// Inputs that are z count as x.
class LaneKernel {
 public:
  static constexpr unsigned lanes = 64;

  /// Can this circuit be simulated here? Not with three-state gates, pulls or shared wires.
  static bool suits(const Circuit& circuit);

  /// Powers up with x everywhere. REQUIRES: suits(circuit), and that the circuit outlives the kernel.
  explicit LaneKernel(const Circuit& circuit);

  /// Back to the state before time 0, x everywhere, inputs too.
  void power_up();
  /// A gate value to start from; before the first step() only.
  void put_gate(GateId gate, unsigned lane, Value value);

  /// Takes effect with the next step(). The last call for a net counts.
  void set_input(NetId input, LaneWord word);

  /// One tick: applies the inputs set and the gate changes due, then evaluates each gate with a
  /// changed input. The first step is time 0, where all gates are evaluated.
  void step();

  /// Steps until no lane has a change due, `most` ticks at most; false: not within these.
  bool settle(Time most);

  /// The time of the last step.
  Time now() const { return now_; }
  /// Lanes with a change due at now() + 1.
  std::uint64_t moving() const { return moving_; }
  /// Gates that change in some lane at now() + 1, in no particular order.
  std::span<const GateId> pending() const { return {pending_.data(), pending_count_}; }

  LaneWord word(NetId net) const { return values_[net]; }
  Value value(NetId net, unsigned lane) const {
    return circuit_->is_undriven(net) ? Value::z : values_[net].at(lane);
  }

  /// Gate evaluations since power-up, each of 64 lanes.
  std::uint64_t evaluations() const { return evaluations_; }
  std::size_t bytes() const;

 private:
  enum class Form : std::uint8_t { two, exclusive, wide };  // how a gate is evaluated
  struct Gate {
    NetId a = 0, b = 0;  // the two inputs; of a wide gate: unused
    Form form = Form::two;
    bool is_or = false;     // or, nor: the planes change places
    bool inverts = false;
    bool is_queued = false;
  };
  LaneWord two(const Gate& gate) const;
  LaneWord exclusive(const Gate& gate) const;
  LaneWord wide(GateId gate) const;
  void keep(GateId gate, LaneWord word);
  void queue_readers(NetId net);
  void evaluate_queue();
  void sweep();

  const Circuit* circuit_;
  Time now_ = 0;
  bool started_ = false;
  std::vector<LaneWord> values_;              // by net
  std::vector<LaneWord> next_;                // by gate: what it changes to, if it is pending
  std::vector<Gate> gates_;
  std::array<std::vector<GateId>, 3> forms_;  // gates by form, for sweeps
  std::vector<LaneWord> input_words_;
  std::vector<std::uint8_t> input_waits_;
  std::vector<NetId> waiting_;
  std::vector<GateId> pending_, queue_;       // room for all gates and one more
  std::size_t pending_count_ = 0, queue_count_ = 0;
  std::uint64_t moving_ = 0;
  std::uint64_t evaluations_ = 0;
};

}  // namespace settle
