// How fast a circuit is and what its inputs must observe: propagation, pulse widths, setup, hold, recovery.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/kernel.h"
#include "settle/limits.h"
#include "settle/progress.h"
#include "settle/step_analysis.h"

namespace settle {

struct TimingOptions {
  DelayChoice delays = DelayChoice::typ;
  std::uint32_t input_limit = 12;        ///< inputs of one storage cell, or of logic, tried in all ways
  std::uint64_t stable_limit = 20'000;   ///< stable states of one storage cell
  std::uint64_t run_limit = 1'000'000;   ///< simulations of one cell
  std::uint64_t gate_limit = 4'000'000;  ///< gates of all cells together
  AnyDelayLimits any_delay{.states = 100'000};
  unsigned jobs = 1;
  const std::atomic<bool>* stop = nullptr;
  Progress* progress = nullptr;
};

/// A change of a net: "clk rises".
struct NetEdge {
  std::string net;
  bool rises = true;
  bool operator==(const NetEdge&) const = default;
};

/// From an input edge to the last change of an output that follows, the other inputs at rest.
struct Propagation {
  NetEdge from, to;
  /// In ticks: the least and the most, over all stable states and values of the other inputs.
  std::uint64_t least = 0, most = 0;
  bool is_bound = false;      ///< least and most bound it, by path lengths; else both do occur
  std::uint64_t cases = 0;    ///< states from which it was measured; 0: a bound
  std::vector<NetEdge> path;  ///< changes that lead to the slowest one, the input first
  std::string when;           ///< inputs of that case, "d=1 c=0"
};

/// Offsets between two input changes, in ticks; both ends included.
struct OffsetRange {
  std::int64_t first = 0, last = 0;
  bool operator==(const OffsetRange&) const = default;
};

/// What the timing of two input changes must observe.
struct TimingConstraint {
  enum class Kind : std::uint8_t {
    setup,     ///< `data` must have changed that long before `control` does
    hold,      ///< `data` must not change until that long after
    recovery,  ///< a direct control must have ended that long before
    removal,   ///< a direct control that lasts until then has overruled the edge
    pulse,     ///< from `control` to the opposite edge of the same input
  };
  Kind kind = Kind::setup;
  NetEdge control;     ///< active edge, end of the gate's active level, or begin of the pulse
  NetEdge data;        ///< the change that may not come between setup and hold; pulse: its end
  bool value = false;  ///< of setup and hold: of the data that is stored
  /// The least time in ticks from which on (every longer time included) the cell ends in the right state;
  /// may be negative. Nothing: every offset will do.
  std::optional<std::int64_t> right;
  /// The same for no output changing more often than it would with all the time in the world.
  std::optional<std::int64_t> clean;
  /// Offsets of `data` after `control` for which some state never comes to rest, or for which an output
  /// changes more often than it must; ascending, not touching each other.
  std::vector<OffsetRange> undecided, glitches;
  std::string when;           ///< inputs of the case that decides `right`
  std::vector<NetEdge> race;  ///< two changes whose order turns at the limit: first, second
  std::string race_gate;      ///< the gate that reads both, or the gate of the second; may be empty
  // Proof.
  std::uint64_t cases = 0;     ///< states from which all offsets were looked at
  std::uint64_t ranges = 0;    ///< ranges of offsets in all cases, each with one outcome
  std::uint64_t restless = 0;  ///< states left out, since it never rests after one of the changes alone
};
/// "setup", "hold", ...
std::string_view name_of(TimingConstraint::Kind kind);

/// A storage cell, or outputs that are functions of inputs.
struct TimedCell {
  std::string kind;  ///< as of explain(); "logic" without storage
  bool is_storage = false;
  std::vector<std::string> outputs;              ///< of one
  std::vector<std::vector<std::string>> copies;  ///< outputs of equal cells, this one left out
  std::vector<Propagation> propagation;
  std::vector<TimingConstraint> constraints;
  std::uint64_t stable_states = 0;
  std::uint64_t restless = 0;  ///< input changes after which it never comes to rest
  std::string note;            ///< a sentence: what was not measured and why; empty: all was
};

struct Timing {
  std::string circuit;
  TimeUnit unit = TimeUnit::none;          ///< of a tick
  DelayChoice delays = DelayChoice::unit;  ///< as used: unit when the circuit has none
  std::vector<TimedCell> cells;
  /// From input pins to outputs across cells, when the circuit was small enough to try it as a whole.
  std::vector<Propagation> through;
  bool complete = true;
  std::string incomplete_reason;
};

/// Measures everything by simulation from every stable state. Limits leave cells out and say so.
Timing measure_timing(const Circuit& circuit, const TimingOptions& options = {});

}  // namespace settle
