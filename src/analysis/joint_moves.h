// Which sets of gates need to fire together at all.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/subnetwork.h"

namespace settle {

/// Sets of two or more gates whose firing at one instant may do what no sequence does.
struct JointMoves {
  /// Gate sets, each ascending.
  std::vector<std::vector<std::uint32_t>> sets;
  /// Loops with too many such sets to list: any subset of one of these counts.
  std::vector<std::vector<std::uint32_t>> any_subset_of;
};

/// Sets that a search tries at most, on average for each state that it may visit.
inline constexpr std::uint64_t joint_moves_a_state = 4;

/// `most_sets`: sets to list at most for one loop.
JointMoves find_joint_moves(const Subnetwork& network, std::size_t most_sets = 512);

}  // namespace settle
