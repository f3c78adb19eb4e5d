// The parts of a stable network that have nothing to do with one another.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/stable_network.h"

namespace settle {

/// A set of clauses of its own. Alike groups share one.
struct GroupClauses {
  ClauseSet clauses;
  std::vector<std::uint32_t> deciding;   ///< variables that decide the others
};

struct StableGroups {
  struct Group {
    std::uint32_t kind = 0;                ///< index into `kinds`
    /// Variables of the network: entry i is variable i + 1 of the group's clauses; ascending.
    std::vector<std::uint32_t> variables;
  };
  bool contradiction = false;              ///< nothing is stable
  std::vector<GroupClauses> kinds;
  std::vector<Group> groups;               ///< by first variable
  /// By variable of the network: what follows without any choice (0, 1) or 2.
  std::vector<std::uint8_t> decided;
};

StableGroups split_into_groups(const StableNetwork& network);

}  // namespace settle
