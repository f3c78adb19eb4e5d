// One simulation for a whole range of offsets between two input changes, and the walk over all of them.
#pragma once

#include <atomic>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "settle/circuit.h"
#include "settle/kernel.h"

namespace settle {

/// A time that depends on the unknown offset o, in ticks: base, or base + o when it moves.
struct EventTime {
  std::int64_t base = 0;
  bool moves = false;
  std::int64_t at(std::int64_t offset) const { return moves ? base + offset : base; }
  bool operator==(const EventTime&) const = default;
};

/// An input change at such a time.
struct TimedChange {
  NetId input = 0;
  Value value = Value::x;
  EventTime when;
};

inline constexpr std::int64_t lowest_offset = std::numeric_limits<std::int64_t>::min() / 4;
inline constexpr std::int64_t highest_offset = std::numeric_limits<std::int64_t>::max() / 4;

/// Two changes whose order decides how far an outcome holds; one of them moves with the offset.
struct OffsetTie {
  NetId first_net = 0, second_net = 0;  ///< `first_net` changes first within the range
  Value first_value = Value::x, second_value = Value::x;
};

/// A change of a net in a run, and what made it.
struct RunChange {
  NetId net = 0;
  Value value = Value::x;
  EventTime when;
  std::uint32_t cause = no_id;  ///< index of the change that the gate answered, or no_id: an input
};

/// What comes of the changes for every offset from `first` to `last`, both included.
struct OffsetOutcome {
  enum class Kind : std::uint8_t {
    rests,    ///< comes to rest
    repeats,  ///< proved never to: the state at `end` came back after `period`
    unknown,  ///< neither within the limit
  };
  Kind kind = Kind::rests;
  std::int64_t first = lowest_offset, last = highest_offset;
  std::vector<OffsetTie> first_ties,
      last_ties;                   ///< orders that turn just outside of the range (a few of them)
  std::vector<Value> values;       ///< of all nets, at the end
  std::vector<RunChange> changes;  ///< in order of time
  EventTime end;                   ///< of the last instant run
  Time period = 0;

  std::uint32_t count(NetId net) const;           ///< changes of a net
  const RunChange* last_change(NetId net) const;  ///< nullptr: it never changed
};

/// Runs a circuit from stable states. By the rules of Kernel (inertial delays), with its delays chosen
/// alike. Not thread-safe; the circuit must outlive it.
class OffsetRunner {
 public:
  OffsetRunner(const Circuit& circuit, DelayChoice delays);
  /// With delays of its own, one for each gate, in ticks of at least 1.
  struct Ticks {
    std::uint64_t rise = 1, fall = 1;
  };
  OffsetRunner(const Circuit& circuit, std::vector<Ticks> delays);

  /// From the stable state `gates` under `inputs`; the outcome at `offset`, and how far it holds.
  OffsetOutcome run(std::span<const Value> inputs, std::span<const Value> gates,
                    std::span<const TimedChange> changes, std::int64_t offset);

  const Circuit& circuit() const { return circuit_; }
  const std::vector<Ticks>& delays() const { return delays_; }
  void set_limit(std::uint64_t instants) { limit_ = instants; }
  /// Runs done so far.
  std::uint64_t runs() const { return runs_; }

 private:
  struct Pending {
    GateId gate = 0;
    Drive drive = Drive::x;
    EventTime due;
    std::uint32_t cause = no_id;
    bool operator==(const Pending& other) const {
      return gate == other.gate && drive == other.drive && due == other.due;
    }
  };
  struct Snapshot {
    std::vector<Value> values;
    std::vector<Drive> drives;
    std::vector<Pending> pending;
    EventTime now;
  };

  void start(std::span<const Value> inputs, std::span<const Value> gates);
  void apply(NetId net, Value value, EventTime when, std::uint32_t cause);
  void resolve_wires(EventTime when);
  void evaluate(EventTime now);
  NetId net_of(const Pending& pending) const { return circuit_.visible_net(pending.gate); }
  void narrow(const RunChange& soonest, const RunChange& other, std::int64_t offset);
  bool has_come_back(const Snapshot& then, EventTime now, std::int64_t offset);

  const Circuit& circuit_;
  std::vector<Ticks> delays_;
  std::uint64_t limit_ = 100'000;
  std::uint64_t runs_ = 0;
  std::vector<Value> values_;
  std::vector<Drive> drives_;  // by gate
  std::vector<Pending> pending_;
  std::vector<std::uint32_t> cause_;  // by net: its last change
  std::vector<GateId> queue_;
  std::vector<bool> queued_;
  std::vector<std::uint32_t> wire_causes_;  // by resolved net: change that moves it in this instant, or no_id
  std::vector<NetId> wires_;
  std::vector<Value> pins_;
  std::vector<Drive> strong_, pull_;
  OffsetOutcome out_;
};

/// Outcomes for all offsets from `from` to `to`, ascending and without a gap when complete.
struct OffsetSweep {
  std::vector<OffsetOutcome> outcomes;
  bool complete = true;  ///< false: more ranges than the limit, or stopped
};

/// Walks from range to range, starting in the middle.
OffsetSweep sweep_offsets(OffsetRunner& runner, std::span<const Value> inputs, std::span<const Value> gates,
                          std::span<const TimedChange> changes, std::int64_t from, std::int64_t to,
                          std::size_t limit, const std::atomic<bool>* stop = nullptr);

}  // namespace settle
