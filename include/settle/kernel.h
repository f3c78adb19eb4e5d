// The event kernel: one circuit, one state, time in whole ticks.
#pragma once

#include <atomic>
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
  std::uint32_t wheel_slots = 0;          ///< of the timing wheel; 0: by the delays; tests make it tiny
};

class FanOutLines;
class TimingWheel;
struct PendingChange;

/// Simulates gate by gate. Rules: all changes due at t, of inputs and gates, are applied together;
/// then every gate with a changed input is evaluated once. A gate has one pending change at most:
/// an evaluation that gives the value already pending leaves it at its time, another value
/// replaces it, the present output value cancels it. With `transport` every change is kept, and
/// one that a later evaluation overtakes is dropped. A change due at t cannot be cancelled at t.
///
/// Delays: rise for a change to 1, fall for a change to 0, the shorter of the two for a change to
/// x, z or a half-known drive (IEEE 1364-2005, clause 7.14). It follows that an input pulse exactly
/// as long as the delay gets through: its change is due when the cancelling evaluation comes.
///
/// With unit delays (none given, or DelayChoice::unit) pending changes are a list of gates for
/// now + 1; else they lie in a timing wheel. Changes due past the end of time are put there, and
/// nothing is scheduled at end_of_time itself, so that every run ends.
///
/// Copyable: a copy is an independent circuit in the same state (used to look ahead).
class Kernel {
 public:
  /// Powers up with x everywhere. The circuit must outlive the kernel.
  explicit Kernel(const Circuit& circuit, KernelOptions options = {});
  Kernel(const Kernel& other);
  Kernel(Kernel&& other) noexcept;
  Kernel& operator=(const Kernel& other);
  Kernel& operator=(Kernel&& other) noexcept;
  ~Kernel();

  const Circuit& circuit() const { return *circuit_; }
  Time now() const { return now_; }

  /// Puts the circuit at time 0 with these values: one per input bit, one per gate (missing ones
  /// are x). Every gate is evaluated by the first run_instant(0).
  void power_up(std::span<const Value> inputs, std::span<const Value> gates);

  /// Takes effect with the next run_instant(). The last call for a net counts.
  void set_input(NetId input, Value value);

  /// Time of the earliest pending gate change; now() while the evaluation at power-up is still to
  /// come; nothing when all gates are stable.
  std::optional<Time> next_time() const;

  /// Inputs were set, or the circuit was powered up, and run_instant() was not called since.
  bool is_waiting() const { return queue_.size() != 0 || waiting_inputs_.size() != 0; }

  /// Goes on to time t (now() <= t <= next_time()): applies the gate changes due at t together
  /// with the inputs set since the last call, and evaluates once each gate with a changed input.
  void run_instant(Time t);

  /// Nets whose value changed in the last run_instant() or make_unknown(), each once, in no
  /// particular order; private outputs of gates on a shared wire are left out.
  std::span<const NetId> changed() const { return changed_.items(); }

  /// Gates on a shared wire that changed what they drive in that instant, each once.
  std::span<const GateId> changed_drivers() const { return changed_drivers_.items(); }

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
  /// equal hashes; cheap enough to ask for at each instant: with unit delays it costs a step a
  /// pending gate, with explicit delays nothing.
  std::uint64_t state_hash() const;

  /// Same net values (and drives on shared wires), the same pending changes relative to now(), and
  /// the same inputs waiting.
  static bool same_state(const Kernel& a, const Kernel& b);

  /// Gate evaluations (one for each pin that sees a change) and net changes since power-up, for
  /// benchmarks and --stats.
  std::uint64_t evaluations() const { return evaluations_; }
  std::uint64_t net_changes() const { return net_changes_; }
  std::size_t bytes() const;

 private:
  /// A list of ids with room for a fixed number; copies take over only what is in use.
  class IdList {
   public:
    IdList() = default;
    explicit IdList(std::size_t room)
        : items_(std::make_unique_for_overwrite<std::uint32_t[]>(room + 1)), room_(room) {}
    IdList(const IdList& other) : IdList(other.room_) { *this = other; }
    IdList(IdList&&) noexcept = default;
    IdList& operator=(IdList&&) noexcept = default;
    IdList& operator=(const IdList& other);
    ~IdList() = default;
    std::size_t size() const { return size_; }
    std::span<const std::uint32_t> items() const { return {items_.get(), size_}; }
    std::uint32_t* data() { return items_.get(); }
    void resize(std::size_t size) { size_ = size; }
    void clear() { size_ = 0; }
    /// Writes in any case (one place is spare) and keeps the id when `keep`: no branch.
    void push(std::uint32_t id, bool keep = true) {
      items_[size_] = id;
      size_ += keep;
    }
    std::size_t bytes() const { return (room_ + 1) * sizeof(std::uint32_t); }

   private:
    std::unique_ptr<std::uint32_t[]> items_;
    std::size_t size_ = 0;
    std::size_t room_ = 0;
  };

  class Wave;
  void start_word(GateId gate);
  void apply_pending();
  void apply_waiting_inputs();
  void apply_gate(Wave& wave, GateId gate, Drive drive);
  void resolve_wires();
  void evaluate_queue();
  std::uint64_t evaluate_unclear(GateId gate);
  std::uint64_t wake(GateId gate, std::uint64_t word);
  void schedule(GateId gate, Drive drive);
  void drop_pending(std::uint64_t flags);
  Drive present(GateId gate) const;
  Drive evaluate_slowly(GateId gate);

  const Circuit* circuit_;
  std::shared_ptr<const FanOutLines> fan_out_;
  KernelOptions options_;
  Time now_ = 0;
  std::vector<Value> values_;             // by net
  std::vector<std::uint64_t> words_;      // by gate, see kernel_word.h
  std::vector<Drive> drives_;             // by gate; empty without shared wires
  std::vector<std::uint64_t> awake_;      // by long line and reader, a bit each
  std::vector<Value> input_values_;       // by input, as last set
  std::vector<std::uint8_t> input_waits_; // by input: in waiting_inputs_
  std::vector<std::uint8_t> wire_waits_;  // by resolved net: in waiting_wires_
  std::vector<Value> scratch_;
  std::vector<Drive> strong_, pull_;      // scratch of resolve_wires
  std::vector<PendingChange> due_;        // scratch of run_instant
  IdList waiting_inputs_;
  IdList waiting_wires_;
  IdList queue_;            // gates with a changed input
  IdList pending_;          // unit delays: changes due at now + 1, gate * 8 + drive
  IdList changed_;
  IdList changed_drivers_;
  std::unique_ptr<TimingWheel> wheel_;    // explicit delays; none with unit delays
  std::uint64_t value_hash_ = 0;          // sum of value * key(net)
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
  std::uint64_t instants = 0;  ///< run to find out
  std::vector<GateId> moving;  ///< repeats: gates that change within the period, ascending
};

/// Runs on a copy until stable, until a state repeats (values and pending changes, compared
/// exactly), or until `limit` (absolute time). Where inputs are waiting or the evaluation at
/// power-up is due (Kernel::is_waiting()), the instant now() is run first.
/// settles: `end` is the time of the last change, now() if there is none. repeats: `end` is the
/// first instant whose state is that of an earlier one. undecided: `end` is the last instant run,
/// also when `stop` was set from outside.
Continuation look_ahead(const Kernel& kernel, Time limit, const std::atomic<bool>* stop = nullptr);

}  // namespace settle
