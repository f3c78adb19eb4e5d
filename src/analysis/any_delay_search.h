// Exact any-delay outcome of one little circuit.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "analysis/subnetwork.h"
#include "settle/step_analysis.h"

namespace settle {

/// What can become of a subnetwork from its start state. Gates by their number in it.
struct SearchResult {
  bool complete = true;                     ///< false: a limit was met; only `states` holds then
  bool known = true;                        ///< false: an unknown value was met; as above
  std::vector<std::vector<bool>> outcomes;  ///< reachable stable states, in no order
  bool may_cycle = false;                   ///< a lasting cycle is reachable
  std::vector<std::uint32_t> differing;     ///< as StepPart::differing, ascending
  std::vector<std::uint32_t> racing;        ///< as StepPart::racing, ascending
  std::uint64_t states = 0;
};

/// Chooses the search that suits the size.
SearchResult search_any_delay(const Subnetwork& network, const AnyDelayLimits& limits);

/// States as single words: at most 64 gates. States are looked up in an array over all 2^n states up
/// to `most_array_gates` gates (at most 24 count), in a table above.
SearchResult search_narrow(const Subnetwork& network, const AnyDelayLimits& limits,
                           std::uint32_t most_array_gates = 24);

/// Bitmaps over all 2^n states: 7 to 32 gates. Nothing: the part does not suit it (size, memory, unknown
/// values) or has too many components to be told apart so.
std::optional<SearchResult> search_bitmap(const Subnetwork& network, const AnyDelayLimits& limits);

/// Any number of gates.
SearchResult search_wide(const Subnetwork& network, const AnyDelayLimits& limits);

}  // namespace settle
