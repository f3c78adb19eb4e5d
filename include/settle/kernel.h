// The event kernel: one circuit, one state, time in whole ticks.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle {

enum class DelayChoice : std::uint8_t { unit, min, typ, max };

struct KernelOptions {
  DelayChoice delays = DelayChoice::typ;  ///< unit: one tick a gate, whatever the netlist says
  bool transport = false;                 ///< keep every pending change (explicit delays only)
};

/// Simulates gate by gate. Rules: all changes due at t, of inputs and gates, are applied together;
/// then every gate with a changed input is evaluated once. A gate has one pending change at most:
/// an evaluation that gives the value already pending leaves it at its time, another value
/// replaces it, the present output value cancels it. With `transport` every change is kept, and
/// one that a later evaluation overtakes is dropped. A change due at t cannot be cancelled at t.
///
/// With unit delays (none given, or DelayChoice::unit) pending changes are a list of gates for
/// now + 1; else they lie in a timing wheel.
///
/// Copyable: a copy is an independent circuit in the same state (used to look ahead).
class Kernel {
 public:
  explicit Kernel(const Circuit& circuit, KernelOptions options = {});

  const Circuit& circuit() const { return *circuit_; }
  Time now() const { return now_; }

  /// Puts the circuit at time 0 with these values: one per input bit, one per gate. Every gate is
  /// evaluated by the first run_instant(0).
  void power_up(std::span<const Value> inputs, std::span<const Value> gates);

  /// Takes effect with the next run_instant(). The last call for a net counts.
  void set_input(NetId input, Value value);

  /// Time of the earliest pending gate change; nothing when all gates are stable.
  std::optional<Time> next_time() const;

  /// Goes on to time t (now() <= t <= next_time()): applies the gate changes due at t together
  /// with the inputs set since the last call, and evaluates once each gate with a changed input.
  void run_instant(Time t);

  /// Nets whose value changed in the last run_instant() or make_unknown(), each once, in no
  /// particular order; private outputs of gates on a shared wire are left out.
  std::span<const NetId> changed() const { return changed_; }

  Value value(NetId net) const { return values_[net]; }
  std::span<const Value> values() const { return values_; }

  /// No gate change is pending.
  bool is_stable() const { return !next_time(); }

  /// Gates with a pending change, in ascending order (costs a sort).
  std::vector<GateId> pending_gates() const;

  /// At now(): turns these gate outputs to x, drops their pending changes, and evaluates their
  /// fan-out as run_instant() does. For gates left undecided by an oscillation.
  void make_unknown(std::span<const GateId> gates);

  /// Hash of the state: net values, and pending changes relative to now(). Equal states have
  /// equal hashes; cheap enough to ask for at each instant.
  std::uint64_t state_hash() const;

  /// Same net values and the same pending changes relative to now().
  static bool same_state(const Kernel& a, const Kernel& b);

  /// Gate evaluations and net changes since power-up, for benchmarks and --stats.
  std::uint64_t evaluations() const { return evaluations_; }
  std::uint64_t net_changes() const { return net_changes_; }
  std::size_t bytes() const;

  // private members are the kernel author's affair
 private:
  const Circuit* circuit_;
  Time now_ = 0;
  std::vector<Value> values_;
  std::vector<NetId> changed_;
  std::uint64_t evaluations_ = 0;
  std::uint64_t net_changes_ = 0;
};

/// What a circuit does when its inputs stand still from now on.
struct Continuation {
  enum class Kind : std::uint8_t {
    settles,      ///< stable at `end`
    repeats,      ///< proved: the state at `end` is the state at `end - period`
    undecided,    ///< neither within the limit
  };
  Kind kind = Kind::settles;
  Time end = 0;
  Time period = 0;
  std::vector<GateId> moving;  ///< gates that change within the period, ascending
};

/// Runs on a copy until stable, until a state repeats (values and pending changes, compared
/// exactly), or until `limit` (absolute time).
Continuation look_ahead(const Kernel& kernel, Time limit);

}  // namespace settle
