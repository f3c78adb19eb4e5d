// What a circuit is, in the words of the trade, and what one must know to use it.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/progress.h"
#include "settle/step_analysis.h"

namespace settle {

struct ExplainOptions {
  AnyDelayLimits any_delay{.states = 400'000};
  std::uint64_t stable_limit = 20'000;      ///< stable states of one storage cell
  std::uint64_t transition_limit = 200'000; ///< steps of one storage cell to judge; above: single changes only
  std::uint32_t input_limit = 12;           ///< inputs of one storage cell
  std::uint64_t gate_limit = 4'000'000;     ///< gates of all storage cells together
  unsigned jobs = 1;
  const std::atomic<bool>* stop = nullptr;
  Progress* progress = nullptr;
};

/// The family of a storage cell, once no direct control is active. First those that answer to levels,
/// then those that answer to an edge.
enum class CellCore : std::uint8_t {
  none,             ///< no storage
  oscillator,       ///< no stable state for some inputs, nothing stored for the others
  hold,             ///< only direct controls change it: set-reset latch
  transparent,      ///< gate(s), data: data while the gate is active
  gated_set_reset,  ///< gate, set, reset
  gated_jk,         ///< gate, J, K: no stable state while all three are active
  gated_toggle,     ///< (gate,) toggle: no stable state while active
  c_element,        ///< follows its inputs when they agree, else holds
  arbiter,          ///< two requests, at most one grant
  multistable,      ///< more than two stable states, one output of several
  level_logic,      ///< another function of levels and stored values
  d,                ///< data
  d_enable,         ///< enable, data
  toggle,           ///< the opposite
  toggle_enable,    ///< enable: the opposite while enabled
  set_reset,        ///< set, reset
  jk,               ///< J, K
  select,           ///< select, data while selected, data while not
  clocked_logic,    ///< another function
  unknown,          ///< no rule found
};

/// When an output may change.
struct OutputTrigger {
  enum class Edge : std::uint8_t { rise, fall, level };
  std::string input;
  Edge edge = Edge::level;
};

struct ExplainedOutput {
  std::string name;
  std::string equation;        ///< "q+ = d", "y = a b'"; empty: none found or too large
  std::string level_equation;  ///< clocked outputs with direct controls: what holds apart from the edge
  std::vector<OutputTrigger> changes_on;
  std::string holds_when;      ///< level-sensitive outputs: inputs for which it keeps its value, as an expression
  std::string set_when, reset_when;  ///< and for which it becomes 1 or 0 whatever it was; empty: never
  bool is_stored = false;      ///< depends on the past
  bool has_free_entries = false;  ///< the equation says nothing where steps are undecided
  std::uint32_t cell = 0;      ///< index into Explanation::cells
};

/// An input of a storage cell and what it is for.
struct InputRole {
  std::string input;
  std::string role;            ///< "set", "reset", "clock", "gate", "data", "enable", "J", ...
  bool active_high = true;     ///< of a clock: the rising edge is the active one
};

struct ComplementaryPair {
  std::string a, b;
  std::string except;          ///< inputs for which both are equal, as an expression; empty: always opposite
  bool both_at_one = false;    ///< there
  bool may_swing = false;      ///< there it may go on for ever, too
};

/// Something to know when using the circuit.
struct ExplainFinding {
  enum class Kind : std::uint8_t {
    forbidden_change,   ///< inputs that change together leave it undecided, or never at rest
    undecided_change,   ///< one input that changes does
    delay_dependent,    ///< decided by which gate is faster
    hazard,             ///< a missing product term can lose the stored value
    race_around,        ///< inputs for which it never comes to rest, entered while storing
    order_of_inputs,    ///< inputs that change together: the result depends on which is first
    pulse_triggered,    ///< inputs that must rest while the clock is at one level
    neighbours,         ///< a cell of a chain changes while the next one takes in its old value
    unknown_level,      ///< inputs with which a gate may read a wire that floats or is fought over
    wire_delay,         ///< settles with delays in gates, not proved with delays in wires
    short_pulse,        ///< logic without a loop: an output can leave its level for a moment
  };
  Kind kind = Kind::forbidden_change;
  bool is_warning = false;     ///< else a note
  std::vector<std::string> inputs;   ///< that change
  std::vector<std::string> gates;    ///< that race or are too slow
  std::string from, to;        ///< input values before and after, as in "s=1 r=1": one example
  /// The set-up, hold and recovery rule of a cell: inputs that must rest, and controls that must not be released, at
  /// the moment when "c rises". Else empty.
  std::vector<std::string> resting, released;
  std::string moment;
  std::string cure;            ///< a gate to add, proved; empty: none known
  std::uint64_t slow_factor = 0;     ///< a race: the gate spoils it when so many times as slow as the others; 0: none found
  std::string message;         ///< one or more sentences
  std::uint32_t cell = 0;      ///< index into Explanation::cells; equal cells have the same; no_id: no cell
  std::string about;           ///< output of the cell that the names in the message belong to
};
/// "forbidden-change", "undecided-change", ...
std::string_view name_of(ExplainFinding::Kind kind);

/// A storage cell (or a piece of logic behind some), and how many equal ones there are.
struct ExplainedCell {
  std::string kind;                      ///< short trade name of one
  std::string group_kind;                ///< of all copies together: "8-bit register of transparent latches"
  CellCore core = CellCore::unknown;
  bool is_pulse_triggered = false;
  bool both_edges = false;
  bool has_data_lockout = false;         ///< pulse-triggered: data is taken in at the first edge of the pulse alone
  bool has_asynchronous_load = false;    ///< clocked logic: apart from the edge an input puts data in
  std::optional<bool> set_dominates;     ///< where set and reset are roles of the core and both are active
  bool has_gated_clock = false;          ///< two clocks: the edge of one counts while the other is at its active level
  std::string output, complement;        ///< the output that the roles speak of; its opposite, or empty
  std::vector<InputRole> inputs;         ///< direct controls first, strongest first
  std::uint32_t direct_controls = 0;     ///< of `inputs`
  std::vector<std::string> outputs;      ///< of all equal cells, in the order of the pins
  std::vector<std::string> data;         ///< data inputs of equal cells, one each, when they have one
  std::vector<std::string> shared;       ///< inputs that equal cells have in common
  std::uint32_t copies = 1;
  std::uint32_t stored_bits_alike = 1;   ///< stored nets like `output` behind the outputs of one cell
  bool is_chain = false;                 ///< data of each cell is the output of the one before
  bool is_fed = false;                   ///< some copy has inputs that are no inputs of the circuit
  bool same_counts = true;               ///< the numbers checked, below, are those of every copy
  std::vector<std::string> own_clocks;   ///< copies that have no clock or gate in common: that of each
  /// Outputs that show a stored net while an input is at one level and hold while it is not: a latch behind the latch
  /// that the cell is named by.
  struct Follower {
    std::string output, source, gate;
    bool active_high = true, inverted = false;
  };
  std::vector<Follower> followers;
  std::uint32_t states_held = 0;         ///< of one
  std::string known_when;                ///< inputs that leave one stable state, as an expression; empty: none
  std::string never_stable_when;         ///< inputs with which it goes on for ever, proved; empty: none
  /// `known_when` is said of the inputs with which this oscillator, at rest, gives the cell what it needs.
  std::string known_behind;
  /// Inputs with one stable state that is not proved to be reached from everywhere; empty: none.
  std::string may_not_rest_when;
  bool hides_states = false;             ///< no storage, yet several stable states with equal inputs: no output shows which
  /// Inputs that bring it from whatever stable state to the one they have, when `known_when` is empty: at power-up, not
  /// yet at rest, it may go on for ever with them.
  std::string known_from_rest_when;
  /// Inputs with which a gate may read a wire that floats or is fought over; nothing is proved for them.
  std::string unknown_level_when;
  bool may_lack_level = false;           ///< there are such inputs, or they were not looked for one by one
  /// "d=0 c=0, then c=1": hold these inputs at power-up, then change one after another: a shortest such
  /// sequence, when `known_when` is empty. Empty: none exists.
  std::string synchronised_by;
  bool synchronising_known = true;
  /// Such a sequence for equal gate delays, when no other exists: with unequal ones it may swing on the way.
  std::string synchronised_if_equal;
  std::vector<std::string> fed_by;       ///< inputs of the cell that are no inputs of the circuit
  /// What a direct control makes of the other outputs, "q2=0 q3=1", in the order of `inputs`; empty: nothing certain.
  std::vector<std::string> forced_too;
  /// Of a cell that only its clock drives on: the values of `count_nets` after each active edge, a list for each
  /// closed sequence, the longest first. None when there are too many.
  std::vector<std::string> count_nets;
  std::vector<std::vector<std::string>> counts;
  /// Checked, of one: stable states, steps in which one input changes, and other steps.
  std::uint64_t stable_states = 0, single_steps = 0, joint_steps = 0;
  std::uint64_t unproved_steps = 0;      ///< of one: steps known for equal delays only, stopped by a limit
  bool all_steps = true;                 ///< any number of inputs changed at once; else not all of the joint ones
  /// Of a cell whose states are too many to visit: what a SAT solver proved of it all the same.
  enum class Proof : std::uint8_t {
    none,       ///< nothing, or it was not asked
    one_state,  ///< exactly one stable state for each setting of the inputs: no storage
    stores,     ///< `two_states_when` has two or more stable states
    at_most_one,  ///< at most one stable state for each setting; `never_stable_example` has none
  };
  Proof proof = Proof::none;
  std::string two_states_when;           ///< "a=0 b=1", all inputs of the cell
  std::string never_stable_example;      ///< so too; empty: none found
  std::vector<std::string> differing;    ///< stores: outputs that differ between two states of one setting
};

/// An output behind a three-state gate of its own. All else in an explanation is said of the value that it shows
/// while the gate drives.
struct ThreeStateOutput {
  std::string output, control;   ///< names; `control` is a net
  bool drives_at_one = true;     ///< level of `control` at which it drives; else it is high impedance
};

struct Explanation {
  std::vector<ThreeStateOutput> three_state;  ///< in the order of the pins
  /// A gate may read a wire that floats or is fought over; nothing that is said covers that, and the work
  /// counts as incomplete.
  bool may_lack_level = false;
  std::string circuit;
  std::string kind;
  std::uint64_t bits_stored = 0;
  std::optional<std::uint64_t> states_held;   ///< nothing when it is too large for 64 bits
  bool bits_exact = true;                     ///< else an upper bound
  bool bits_known = true;                     ///< false: not found out
  std::vector<ExplainedCell> cells;
  std::vector<ExplainedOutput> outputs;       ///< in the order of the pins
  std::vector<ExplainedOutput> inner;         ///< stored nets behind outputs, where those need them
  std::vector<ComplementaryPair> complementary;
  std::vector<ComplementaryPair> inner_complementary;   ///< an output and a net inside that other cells read; always
  std::vector<ExplainFinding> findings;
  bool has_loops = false;
  bool complete = true;
  std::string incomplete_reason;
};

/// Splits the circuit into storage cells, proves what each does and names it. Recognition is by
/// behaviour alone: stable states and the steps between them.
Explanation explain(const Circuit& circuit, const ExplainOptions& options = {});

}  // namespace settle
