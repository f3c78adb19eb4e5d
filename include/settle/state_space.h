// All that is true of a circuit between its stable states: the data behind `states`, `table` and
// `explain`.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/progress.h"
#include "settle/step_analysis.h"
#include "settle/time.h"

namespace settle {

/// Index of an input vector: the values of the inputs read as a binary number, first input bit
/// most significant.
using VectorIndex = std::uint32_t;
inline constexpr std::uint32_t no_state = 0xffffffffu;

struct StateSpaceOptions {
  AnyDelayLimits any_delay;
  std::uint64_t stable_limit = default_limit(LimitKind::stable);     ///< stable states to list
  std::uint64_t transition_limit = default_limit(LimitKind::steps);  ///< steps to judge
  std::uint32_t input_limit = default_limit(LimitKind::inputs);      ///< free input bits
  /// Inputs held at a value (one per input bit, x: free); only vectors that agree are looked at.
  std::vector<Value> held;
  bool single_changes_only = false;            ///< judge only steps in which one input changes
  unsigned jobs = 1;                           ///< threads; the result does not depend on it
  const std::atomic<bool>* stop = nullptr;
  Progress* progress = nullptr;
};

struct StableState {
  VectorIndex inputs = 0;
  std::uint32_t alike = 0;   ///< class: equal numbers are alike; only between states with equal inputs
};

/// One step: from a stable state, the inputs become `inputs` at once.
struct Transition {
  std::uint32_t from = 0;               ///< index into StateSpace::stable
  VectorIndex inputs = 0;
  std::vector<std::uint32_t> to;        ///< reachable stable states, ascending
  bool may_cycle = false;               ///< a non-transient cycle is reachable
  std::uint32_t equal_delay = no_state; ///< where unit delays lead, or no_state
  Time period = 0;                      ///< of the unit-delay run when it repeats, else 0
  Verdict verdict = Verdict::settles;
  std::vector<GateId> racing;           ///< gates of the race when the verdict is not `settles`
  bool judged = true;                   ///< false: a limit stopped the analysis of this step
};

/// Row-merged flow table (Huffman 1954; Unger 1969). An entry is a row (where the circuit goes),
/// stable when that is its own row.
struct FlowTable {
  struct Entry {
    std::vector<std::uint32_t> rows;    ///< possible next rows; empty: no stable state follows
    bool may_cycle = false;             ///< some step of this row may hang on the way
    bool stable = false;
    std::uint32_t state = no_state;     ///< the stable state of a stable entry
    bool specified = false;             ///< false: never entered, free
  };
  std::vector<VectorIndex> columns;
  std::vector<std::vector<Entry>> rows; ///< [row][column]
};

struct StateSpace {
  std::uint32_t input_bits = 0;
  std::vector<VectorIndex> vectors;            ///< those looked at, ascending
  std::vector<StableState> stable;             ///< by inputs, then nodes
  std::vector<Value> nodes;                    ///< stable state s, gate g: nodes[s * gates + g]
  std::uint32_t gates = 0;
  std::vector<Transition> transitions;         ///< by from, then inputs
  std::uint32_t states_held = 0;
  std::uint32_t bits_stored = 0;
  bool held_exactly = false;                   ///< false: states_held is a lower bound, or not known
  std::vector<VectorIndex> never_stable;       ///< input vectors without any stable state
  /// Input vectors for which the circuit may rest with a wire that gates read and that floats or is fought
  /// over. No such state is in `stable`, so nothing is proved for them: not that there is one state only,
  /// nor, where there is none, that it oscillates.
  std::vector<VectorIndex> unknown_level;
  /// Input vectors with one stable state that is not proved to be reached from every other state whatever the gate
  /// delays: after power-up it may go on for ever, too.
  std::vector<VectorIndex> may_not_rest;
  std::optional<std::vector<VectorIndex>> synchronising_sequence;  ///< shortest; nothing: none exists
  bool synchronising_known = true;             ///< false: the search met a limit
  /// Where there is none: a shortest one for inputs held from power-up on. The first vector are these; it
  /// brings each of their stable states to one and the same.
  std::optional<std::vector<VectorIndex>> power_up_sequence;
  /// Rows are made only when all states and their steps are known and few enough; else there are none.
  FlowTable flow;
  bool all_listed = false;                     ///< `stable` holds every stable state for `vectors`
  bool complete = true;
  std::string incomplete_reason;

  std::span<const Value> nodes_of(std::uint32_t state) const {
    return {nodes.data() + std::size_t{state} * gates, gates};
  }
  /// States with these inputs: [first, last).
  std::pair<std::uint32_t, std::uint32_t> states_with(VectorIndex inputs) const;
  /// Proved: with these inputs it goes on for ever.
  bool swings_with(VectorIndex inputs) const;
  /// Those in `never_stable` for which that is proved.
  std::vector<VectorIndex> swinging() const;
  bool has_unknown_level(VectorIndex inputs) const;
  /// One stable state, which every power-up leads to.
  bool inputs_decide(VectorIndex inputs) const;
  /// The transition from a state to an input vector, or nullptr (same vector, or not judged).
  const Transition* transition(std::uint32_t from, VectorIndex inputs) const;
  /// Value of a net in a stable state; inputs and constants included.
  Value value(const Circuit& circuit, std::uint32_t state, NetId net) const;
};

/// Explores all stable states and all steps between them. Exact; limits leave it incomplete:
/// - more stable states or free inputs than allowed: no steps are judged;
/// - more steps than allowed: only those in which one input changes, or none when these are too many;
/// - a limit met within a step: that step has judged == false, and an input change with such a step
///   tells no states apart, so that states_held is a lower bound.
StateSpace explore(const Circuit& circuit, const StateSpaceOptions& options = {});

/// "01": the bits of an input vector, first input first.
std::string vector_text(VectorIndex inputs, std::uint32_t input_bits);

}  // namespace settle
