// A run: circuit + stimulus -> waveforms, warnings, judged expectations.
#pragma once

#include <atomic>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/kernel.h"
#include "settle/limits.h"
#include "settle/progress.h"
#include "settle/step_analysis.h"
#include "settle/stimulus.h"
#include "settle/waveform.h"

namespace settle {

struct RunOptions {
  KernelOptions kernel;
  bool record_all = false;                 ///< every net, not only the pins
  std::vector<std::string> patterns;       ///< --nets: also record flat names that match (* and ?)
  /// Ticks that the circuit may go on without coming to rest.
  Time time_limit = default_limit(LimitKind::time);
  std::uint64_t change_limit = default_limit(LimitKind::changes);  ///< recorded changes
  std::uint64_t event_limit = default_limit(LimitKind::events);    ///< work, all lanes together
  std::uint64_t lane_limit = default_limit(LimitKind::lanes);      ///< start states of `power-up every`
  AnyDelayLimits any_delay;
  std::optional<std::uint64_t> seed;       ///< --seed: replaces seeds written in the stimulus
  const std::atomic<bool>* stop = nullptr; ///< set from outside (Ctrl-C): the run ends early
  Progress* progress = nullptr;
};

enum class FindingSeverity : std::uint8_t { note, warning };

/// Something that the run noticed.
struct Finding {
  enum class Kind : std::uint8_t {
    // In step with warning_words in stimulus.h.
    delay_dependent,   ///< a race that unequal gate delays can decide otherwise (note)
    indeterminate,     ///< left undecided (warning)
    oscillation,       ///< no stable state reachable (warning)
    hazard,            ///< essential hazard with delays in wires, only when asked for (note)
    contention,        ///< two drivers hold a wire at different values (warning)
    unsettled_change,  ///< an input changed while gates were still changing (note)
    not_settled,       ///< the limit came before rest (warning)
    unjudged,          ///< the analysis met a limit: no verdict for this step (note)
    skew,              ///< inputs changed together: the result depends on which comes first (note)
  };
  Kind kind = Kind::indeterminate;
  FindingSeverity severity = FindingSeverity::warning;
  Time time = 0;                           ///< of the input change that started it
  std::optional<Time> since;               ///< nets are unknown from here on
  struct Cause {
    std::string net;                       ///< the input that changed; "power-up" at the start
    Time time = 0;
    Value from = Value::x, to = Value::x;
  };
  std::vector<Cause> causes;
  std::vector<std::string> nets;           ///< nets left undecided or moving
  std::vector<std::string> gates;          ///< gates that race or move
  std::optional<Time> period;
  /// Values of `nets` in each reachable stable state (at most 64 listed); net by net as in `nets`.
  std::vector<std::vector<Value>> outcomes;
  std::uint64_t outcome_count = 0;
  bool may_hang = false;
  bool expected = false;                   ///< claimed by `expect warning`
  std::optional<Verdict> skewed_verdict;   ///< when inputs changed together and it is worse
  std::uint32_t repeats = 0;               ///< how often the same finding came again later
  std::string message;                     ///< one sentence
};
/// "delay-dependent", "indeterminate", "oscillation", ...: as in documents and `expect warning`.
std::string_view name_of(Finding::Kind kind);
std::optional<Finding::Kind> finding_kind_from(std::string_view name);

struct ExpectationFailure {
  Place place;
  Time time = 0;
  std::string net;                         ///< empty for `expect warning`
  std::string want, got;
  std::uint32_t lane = 0;                  ///< start state, for `power-up every`
  /// Last changes of the failing net and of the nets that drive it: "12: hold_a nor -> 1".
  std::vector<std::string> history;
};

struct RunResult {
  Waveform waveform;                       ///< of the first lane
  std::vector<Finding> findings;           ///< by time, those of all lanes merged
  std::uint32_t lanes = 1;                 ///< start states run
  std::uint64_t passed = 0, failed = 0;    ///< expectations
  std::vector<ExpectationFailure> failures;
  bool complete = true;                    ///< false: a limit or a stop signal ended the run
  std::string incomplete_reason;
  std::uint64_t evaluations = 0, net_changes = 0;
  /// No failed expectation and no unexpected warning.
  bool passes() const;
};

/// Looks up the stimulus' names in the circuit and reports what does not fit, then runs it.
/// Nothing when there were errors.
std::optional<RunResult> run(const Circuit& circuit, const Stimulus& stimulus,
                             const RunOptions& options, Diagnostics& diagnostics);

}  // namespace settle
