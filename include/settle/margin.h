// Margins: how far gate delays may stray from nominal before a step ends elsewhere, and which race it then
// loses.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/kernel.h"
#include "settle/state_space.h"
#include "settle/witness.h"

namespace settle {

/// One input changes at a time; any-delay analysis gives up early, as its steps are searched all the same.
inline StateSpaceOptions usual_margin_space() {
  StateSpaceOptions space;
  space.any_delay.states = 100'000;
  space.single_changes_only = true;
  return space;
}

/// What is known of the tolerance of one step. Delays are constant: each gate has one factor for the step,
/// and takes its nominal rise and fall delays times that factor.
enum class MarginKind : std::uint8_t {
  exact,      ///< `least` = `most`: the tolerance, proved
  between,    ///< a limit stopped the search: proved up to `least`, fails at `most`
  unlimited,  ///< no assignment within any tolerance below 1 ends wrong: proved
  undecided,  ///< the nominal delays themselves never rest: there is no right ending
  unknown,    ///< not analysed: too many gates, an unknown value, or nominal delays take too long
};

/// The race that is lost: two paths from a common event (or the input change). It must stay that `faster`
/// takes less time than `slower`.
struct MarginRace {
  std::vector<GateId> faster, slower;     ///< in order; `faster` may be one gate or many
  Time faster_time = 0, slower_time = 0;  ///< with nominal delays, in ticks
  bool tie = false;                       ///< the wrong order found is both taking equally long
};

struct StepMargin {
  std::uint32_t transition = 0;  ///< index into StateSpace::transitions
  MarginKind kind = MarginKind::unknown;
  std::uint32_t right = no_state;  ///< the stable state in which nominal delays end
  double least = 0;                ///< every assignment within less than this ends right
  double most = 1;                 ///< some assignment within this, or any more, does not
  bool fails_at = false;           ///< at `most` itself one was found to fail; else beyond it
  std::optional<std::pair<std::uint32_t, std::uint32_t>> fraction;  ///< `least` where exact and simple
  std::uint64_t orders = 0;                                         ///< looked at
  std::vector<MarginRace> races;  ///< of the wrong orders with the tolerance `most`
  /// The wrong ending with delays just beyond `most`, confirmed by simulating the whole circuit: `delays` of
  /// every gate in ticks, of which nominal delays have `scale` times as many.
  std::optional<Ending> witness;
  Time scale = 0;
  double witness_spread = 0;  ///< these delays are within this of nominal
};

struct MarginOptions {
  StateSpaceOptions space = usual_margin_space();
  DelayChoice delays = DelayChoice::typ;  ///< which are nominal
  bool separate_edges = false;            ///< a factor for the rise and one for the fall of each gate
  std::uint64_t order_limit = 100'000;    ///< orders to look at, for each step
};

struct MarginStudy {
  StateSpace space;
  std::uint64_t settled = 0;      ///< judged steps that settle whatever the delays
  std::uint64_t never_rest = 0;   ///< judged steps that oscillate whatever the delays
  std::vector<StepMargin> steps;  ///< the others with a stable ending; least margin first
  bool complete = true;           ///< false: states or steps are missing, or a step is not known exactly
};

MarginStudy study_margins(const Circuit& circuit, const MarginOptions& options);

/// The worst-case delays of each step that has a witness, as for replay_files().
std::vector<StepWitness> margin_witnesses(const MarginStudy& study);

}  // namespace settle
