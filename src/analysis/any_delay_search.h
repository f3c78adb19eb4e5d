// Exact any-delay outcome of one little circuit.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/subnetwork.h"
#include "settle/step_analysis.h"

namespace settle {

/// What can become of a subnetwork from its start state. Gates by their number in it.
struct SearchResult {
  bool complete = true;                       ///< false: a limit was met; only `states` holds then
  bool known = true;                          ///< false: an unknown value was met; as above
  std::vector<std::vector<bool>> outcomes;    ///< reachable stable states, in no order
  bool may_cycle = false;                     ///< a lasting cycle is reachable
  std::vector<std::uint32_t> differing;       ///< as StepPart::differing, ascending
  std::vector<std::uint32_t> racing;          ///< as StepPart::racing, ascending
  std::uint64_t states = 0;
};

/// Chooses the search that suits the size.
SearchResult search_any_delay(const Subnetwork& network, const AnyDelayLimits& limits);

/// Bitmap over all states; at most `bitmap_gates` gates.
inline constexpr std::uint32_t bitmap_gates = 28;
SearchResult search_with_bitmap(const Subnetwork& network, const AnyDelayLimits& limits);
/// Bytes that search_with_bitmap() needs before it has seen a state.
std::uint64_t bitmap_bytes(std::uint32_t gates);

/// Table of the states met; any number of gates.
SearchResult search_with_table(const Subnetwork& network, const AnyDelayLimits& limits);

}  // namespace settle
