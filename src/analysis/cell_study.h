// One storage cell under study: the part as a circuit, its states, its rules, and the names for them.
#pragma once

#include <string>
#include <vector>

#include "analysis/behaviour.h"
#include "analysis/part_split.h"
#include "analysis/recognise.h"
#include "settle/explain.h"
#include "settle/stable_proofs.h"
#include "settle/state_space.h"

namespace settle {

struct CellStudy {
  Circuit circuit;                  ///< of its own, with flat names; outputs are the observed nets
  StateSpace space;
  Behaviour behaviour;              ///< of `observed`
  std::vector<NetId> observed;      ///< nets of `circuit`: its outputs, then inner nets that the outputs need
  std::uint32_t output_count = 0;   ///< of `observed`: outputs of the whole circuit
  std::vector<OutputRule> rules;    ///< by observed net
  unsigned primary = 0;             ///< the observed net that names the cell
  ExplainedCell facts;
  std::vector<ExplainFinding> findings;
  std::uint64_t joint_unjudged = 0;   ///< steps of several inputs that a limit kept from being judged
  /// Pairs of inputs that another cell gives and that are opposite whenever it rests.
  std::vector<std::pair<unsigned, unsigned>> opposite_inputs;
  bool looked_for_sequence = false;
  /// Input vectors that make the state known, whatever the gate delays or for equal ones; empty: none found.
  std::vector<VectorIndex> sequence, sequence_if_equal;
  bool sequence_known = true;          ///< false: the search met a limit
  /// When the behaviour is not usable: what is proved without visiting the states.
  MemoryProof memory;
  UnstableInputs unstable;

  bool may_lack_level = false;   ///< a gate may read a wire that floats or is fought over; no proof covers that

  /// Proved: one stable state for each setting of the inputs, though they were not visited one by one.
  bool is_proved_free() const { return memory.is_free() && !may_lack_level && unstable.answer == UnstableInputs::Answer::none; }
  /// Proved: no stable state, and no input that could change that.
  bool never_rests() const {
    return circuit.input_count() == 0 && unstable.answer == UnstableInputs::Answer::found;
  }

  /// Can the inputs rest like that where the cell stands?
  bool may_rest_with(VectorIndex x) const {
    for (const auto& [a, b] : opposite_inputs) {
      if (behaviour.input_at(x, a) == behaviour.input_at(x, b)) return false;
    }
    return true;
  }

  /// Names for texts; may be those of another, equal cell.
  std::vector<std::string> input_names, observed_names;

  const std::string& input_name(unsigned input) const { return input_names[input]; }
  const std::string& observed_name(unsigned o) const { return observed_names[o]; }
};

/// Explores, finds the rules and names the kind. No findings yet.
CellStudy study_cell(Circuit circuit, std::uint32_t output_count, const ExplainOptions& options);

/// Puts kind, roles, core and power-up into `study.facts`.
void name_cell(CellStudy& study);

/// Fills the power-up part of `study.facts`; the sequence is looked for once.
void add_power_up(CellStudy& study);

/// Fills the closed sequences of `study.facts` for a cell that only its clock drives on.
void add_counts(CellStudy& study);

/// Fills the latches of `study.facts` that lie behind the one inside that names the cell.
void add_followers(CellStudy& study);

/// Another observed net that is the opposite of `net` in every state, or else in more states than not
/// and for no inputs sometimes (`equal_at`: these inputs); no_id when there is none.
unsigned opposite_of(const CellStudy& study, unsigned net, std::vector<VectorIndex>& equal_at);

/// Fills `study.findings`.
void find_findings(CellStudy& study, const ExplainOptions& options);

// --- texts of functions (equations.cpp)

/// Right-hand side of an equation of the rule, at the edge or apart from it. Empty when too large.
std::string equation_side(const CellStudy& study, const OutputRule& rule, bool at_edge);
/// Sum of products that is 1 at the vectors in `on`, free in `free`.
std::string inputs_text(const CellStudy& study, const std::vector<VectorIndex>& on, const std::vector<VectorIndex>& free = {});
/// "j, k and c are 1", "a is 1 and b is 0", or "a b + c is 1".
std::string condition_text(const CellStudy& study, const std::vector<VectorIndex>& on);
/// "s=1 r=0" for all inputs.
std::string values_text(const CellStudy& study, VectorIndex x);
/// Inputs for which a level-sensitive output keeps its value, becomes 1, becomes 0.
struct LevelRegions {
  std::string holds, sets, resets;
};
LevelRegions level_regions(const CellStudy& study, const OutputRule& rule, unsigned observed);

/// "transparent latch, gate active low" -> "transparent latches, gate active low".
std::string plural_of(const std::string& kind);
/// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& names, std::string_view last = " and ");

// --- repairs and margins (findings_cure.cpp)

/// A gate whose addition makes every step of `steps` (indices into transitions) settle and changes
/// no stable behaviour, as "and q d, read by sum"; empty when none is found.
struct Cure {
  std::string gate;    ///< "an AND gate of d and q that feeds the OR gate 'sum'"
  std::vector<std::string> terms;
};
std::optional<Cure> find_cure(const CellStudy& study, const std::vector<std::uint32_t>& steps, const ExplainOptions& options);

/// The smallest delay of a single gate, the others at one unit, with which one of the steps ends
/// elsewhere or not at all.
struct Margin {
  std::vector<GateId> gates;   ///< each alone
  std::vector<GateId> hanging; ///< of these: with it the circuit goes on for ever
  std::uint64_t delay = 0;
};
std::optional<Margin> find_margin(const CellStudy& study, const std::vector<std::uint32_t>& steps);

}  // namespace settle
