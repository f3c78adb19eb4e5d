// How far gate delays of a little circuit may stray from their nominal values before it ends elsewhere.
#pragma once

#include <atomic>
#include <cstdint>
#include <vector>

#include "analysis/delay_race.h"
#include "analysis/narrow_network.h"

namespace settle {

struct MarginProblem {
  const NarrowNetwork* network = nullptr;
  GateTimes nominal;
  std::uint64_t right = 0;        ///< the stable state in which the nominal delays end
  bool separate_edges = false;    ///< rise and fall of a gate stray on their own
  std::uint64_t most_orders = 0;  ///< to look at
  const std::atomic<bool>* stop = nullptr;
};

/// Two paths from the input change to two events; gates common at their beginning are left out.
struct PathRace {
  std::vector<std::uint32_t> faster, slower;      ///< as it is with nominal delays, and must be
  std::int64_t faster_time = 0, slower_time = 0;  ///< nominal
  bool tie = false;                               ///< it fails when they take equally long
  bool operator==(const PathRace&) const = default;
};

struct MarginResult {
  /// Every assignment within less than 1-least .. 1+least of the nominal delays ends right.
  double least = 0;
  /// Some assignment within 1-most .. 1+most, or any more than that, does not. 1: none was found.
  double most = 1;
  bool complete = false;        ///< least = most: the margin is known
  bool fails_at = false;        ///< at `most` itself some assignment was found to fail; else beyond it
  bool known = true;            ///< false: an unknown value was met
  std::uint64_t orders = 0;     ///< nodes of the search
  std::vector<PathRace> races;  ///< of wrong orders with the spread `most`; each once
  /// Delays just beyond `most`: nominal delays are times `scale`. Empty: none.
  GateTimes witness;
  Time scale = 0;
  double witness_spread = 0;
};

MarginResult find_margin(const MarginProblem& problem);

}  // namespace settle
