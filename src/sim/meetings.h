// Start states of `power-up every` that have come to the same state: only the first goes on.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <unordered_map>
#include <vector>

#include "settle/time.h"
#include "settle/value.h"

namespace settle {

/// Where a lane stands between two statements, at rest.
struct Whereabouts {
  std::size_t statement = 0;          ///< the one just executed
  std::vector<std::uint64_t> rounds;  ///< left to do of each repeat around it, this one included
  std::vector<Time> clocks;           ///< when each clock was started
  Time now = 0;
  bool instant_is_run = false;  ///< the instant at `now` has been run
  bool operator==(const Whereabouts&) const = default;
};

/// What a lane has done.
struct LaneCounts {
  std::uint64_t evaluations = 0, net_changes = 0;
};

/// Remembers where lanes stood. A lane that stands where one before it stood, with all nets alike, has
/// nothing new to tell: the stimulus has no conditions, so all that follows was seen. Exact, since
/// states are compared and not their hashes only. The memory for it is limited; beyond that lanes run on.
class Meetings {
 public:
  /// What another lane did from the same place on; nothing when none stood there. Else the place is kept
  /// as one of `lane`, which has done `counts` so far.
  std::optional<LaneCounts> meet(std::uint32_t lane, const Whereabouts& place, std::uint64_t hash,
                                 std::span<const Value> nets, LaneCounts counts);
  /// The lane has ended after `counts`. An incomplete one is met by nobody.
  void end(std::uint32_t lane, LaneCounts counts, bool complete);

 private:
  struct Stand {
    Whereabouts place;
    std::vector<Value> nets;
    std::uint32_t lane;
    LaneCounts counts;
  };
  struct Lane {
    LaneCounts counts;
    bool complete;
  };
  static constexpr std::uint64_t most_bytes = std::uint64_t{64} << 20;

  std::unordered_multimap<std::uint64_t, Stand> stands_;  // by hash of the state
  std::vector<std::optional<Lane>> ended_;                // by lane
  std::uint64_t bytes_ = 0;
};

}  // namespace settle
