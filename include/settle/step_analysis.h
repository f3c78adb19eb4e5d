// One step, judged for all gate delays: from a state, inputs change, what can become of it?
#pragma once

#include <atomic>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "settle/circuit.h"
#include "settle/limits.h"

namespace settle {

/// From best to worst.
enum class Verdict : std::uint8_t {
  settles,          ///< one stable state and no lasting cycle, whatever the gate delays
  delay_dependent,  ///< equal delays settle it, unequal ones can end elsewhere or not at all
  indeterminate,    ///< equal delays repeat a state while stable states are reachable
  oscillation,      ///< no stable state is reachable
};
/// "settles", "delay-dependent", "indeterminate", "oscillation".
std::string_view name_of(Verdict verdict);

struct InputChange {
  NetId net = 0;
  Value value = Value::x;
};

/// A step to be judged. `values` are all net values before the inputs change (they need not be
/// stable: excited gates may fire); `changes` are the inputs that change, all at once.
struct Step {
  std::span<const Value> values;
  std::span<const InputChange> changes;
  /// All gates that are excited in `values`, but for those that read a changing input; others may be
  /// among them (the pending gates of a kernel will do). Saves one look at every gate. Nothing: unknown.
  std::optional<std::span<const GateId>> excited = std::nullopt;
};

/// Result of Eichelberger's algorithms A and B (IBM J. Res. Develop. 9 (2), 1965), generalised to
/// any start state (Seger and Brzozowski 1994).
struct TernaryResult {
  /// Gates that algorithm A turned to x (from 0, 1 or z), in the order found: but for gates that
  /// were x from the start, only these can ever move.
  std::vector<GateId> active;
  /// Active gates that are still x after algorithm B, ascending; empty: every net settles to one
  /// definite value whatever the gate and wire delays.
  std::vector<GateId> undecided;
};

struct AnyDelayLimits {
  std::uint64_t states = default_limit(LimitKind::states);  ///< per independent part of the circuit
  std::uint64_t memory_bytes = default_limit(LimitKind::memory) << 20;
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// Reductions that keep the analysis exact; tests switch them off and compare.
struct Reductions {
  bool active_only = true;      ///< leave out gates that algorithm A proves still
  bool cut_followers = true;    ///< leave out active gates with no path into a loop
  bool split = true;            ///< judge independent parts one by one
  bool split_fronts = true;     ///< split also where parts share only gates that fire once, in a row
  bool trust_ternary = true;    ///< do not search parts that algorithm B proves settled
  bool reuse = true;            ///< search parts that are alike once
};

/// One independent part of the active gates: its any-delay outcome.
struct StepPart {
  std::vector<GateId> gates;                ///< active gates of this part, ascending
  /// Reachable stable states, each the values of `gates` in order; sorted.
  std::vector<std::vector<Value>> outcomes;
  bool may_cycle = false;                   ///< a non-transient cycle is reachable
  /// Gates that are not the same in all reachable stable states, states on reachable
  /// non-transient cycles and what can be reached from these; ascending.
  std::vector<GateId> differing;
  /// Gates excited together in a state from which the outcomes part, in a critical race; ascending.
  std::vector<GateId> racing;
  /// With skewed inputs: inputs whose arrival takes part in that race; ascending.
  std::vector<NetId> racing_inputs;
  std::uint64_t states = 0;                 ///< states visited
};

/// The any-delay outcome (general multiple-winner relation, Brzozowski and Seger 1995) of a step:
/// the product of its parts. Any non-empty set of excited gates may change next; a cycle is
/// transient when some gate is excited with the same value in all its states.
struct StepOutcome {
  bool complete = true;      ///< false: a limit stopped the search; no verdict then
  bool known = true;         ///< false: an unknown value reaches the loops; no verdict then
  std::vector<StepPart> parts;   ///< only parts that can end in several ways or cycle, and those
                                 ///< that ternary analysis left undecided
  /// All active gates, loops and followers, that differ as in StepPart::differing; ascending.
  std::vector<GateId> differing;

  bool has_outcome() const;      ///< every part has a reachable stable state
  bool may_cycle() const;        ///< some part has a non-transient cycle
  bool settles() const;          ///< complete, known, one outcome a part, no cycle
  std::uint64_t outcome_count() const;  ///< product over the parts, saturating
};

/// Judges steps of one circuit. Holds work arrays, so that a step costs time in proportion to the
/// gates that it touches. Not thread-safe; make one for each thread.
class StepAnalyzer {
 public:
  explicit StepAnalyzer(const Circuit& circuit);
  ~StepAnalyzer();
  StepAnalyzer(StepAnalyzer&&) noexcept;

  /// Cheap first check. Gates that cannot reach a loop are left out when `loops_only`.
  TernaryResult ternary(const Step& step, bool loops_only = true);

  /// Ternary values of all nets after A (`after_a`) or after B, for documents and tests.
  std::vector<Value> ternary_values(const Step& step, bool after_a);

  /// Exact analysis. With `skewed`, a delay element stands behind each changing input, so that
  /// they may reach the gates one after another.
  StepOutcome any_delay(const Step& step, const AnyDelayLimits& limits = {}, bool skewed = false,
                        const Reductions& reductions = {});

 private:
  struct Work;
  std::unique_ptr<Work> work_;
};

/// The verdict from the any-delay outcome and what equal (or the given) delays do.
/// `repeats`: the run with these delays was proved to repeat a state.
Verdict verdict_of(const StepOutcome& outcome, bool repeats);

}  // namespace settle
