// Proofs by example: for each ending of a step that does not settle, gate changes and gate delays that
// lead there, and files to replay them.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/state_space.h"

namespace settle {

/// One ending of a step. Every order shown was found in the any-delay relation or in a simulation; delays
/// were confirmed by simulating the whole circuit with them.
struct Ending {
  struct Instant {
    Time time = 0;                 ///< after the input change; 0: of no fixed delays
    std::vector<GateId> gates;     ///< that change together, ascending
  };
  struct Delay {
    GateId gate = 0;
    Time rise = 1, fall = 1;
    bool operator==(const Delay&) const = default;
  };
  std::uint32_t state = no_state;  ///< stable state it ends in; no_state: it never rests
  /// Changes of the gates on which the ending depends; those that merely follow are left out. Empty: none
  /// was found. For an ending that never rests: up to the end of the first round.
  std::vector<Instant> order;
  std::size_t round = 0;           ///< never rests: first entry of `order` that repeats for ever
  Time period = 0;                 ///< never rests: with the delays below
  bool has_delays = false;         ///< constant delays lead here: `delays`, and 1 for all other gates
  std::vector<Delay> delays;       ///< ascending by gate
};

struct StepWitness {
  std::uint32_t transition = 0;    ///< index into StateSpace::transitions
  /// Stable endings as in Transition::to, then the one that never rests, if any. Empty: the step races
  /// through more gates than the search takes on.
  std::vector<Ending> endings;
};

/// Looks for witnesses of one step (Transition::judged, verdict not `settles`).
StepWitness find_witness(const Circuit& circuit, const StateSpace& space, std::uint32_t transition,
                         const AnyDelayLimits& limits = {});

/// The flat circuit as a cell in the netlist language, with these delays. Gates and nets keep their
/// order; names are flattened to what the language allows.
std::string witness_netlist(const Circuit& circuit, const std::string& cell, const std::vector<Ending::Delay>& delays);

/// A file that replays an ending, and its name.
struct ReplayFile {
  std::string name;
  std::string text;
};

/// NAME.gates with a cell for each ending that has delays, and a stimulus NAME-1.stim, NAME-2.stim, ... for
/// each of them, in the order of the witnesses. No stimulus where the start cannot be written down: shared
/// wires with drivers that hang on these very wires.
std::vector<ReplayFile> replay_files(const Circuit& circuit, const StateSpace& space,
                                     const std::vector<StepWitness>& witnesses, const std::string& name);

}  // namespace settle
