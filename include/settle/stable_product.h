// How many stable states a circuit has, without listing them: the product of parts that have nothing
// to do with one another.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <vector>

#include "settle/big_count.h"
#include "settle/circuit.h"

namespace settle {

struct StableProductOptions {
  std::uint64_t list_limit = 64;        ///< a group's states are listed up to this number of them
  std::uint64_t work_limit = 20'000'000;  ///< assignments to try for the count of a group
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// Nets whose values hang together, and hang on no net of another group.
struct StableGroup {
  /// Free inputs, gate outputs and shared wires, ascending.
  std::vector<NetId> nets;
  std::uint32_t kind = 0;               ///< alike groups (equal but for the names) have equal numbers
  BigCount states;
  bool exact = true;                    ///< false: a limit stopped the count, there may be more
  /// One value per net each, ascending; empty when there are more than list_limit.
  std::vector<std::vector<Value>> listed;
};

/// All stable states: every combination of one state of each group. The nets in no group have the
/// same value in all of them or follow from the groups.
struct StableProduct {
  std::vector<StableGroup> groups;      ///< by first net
  std::uint32_t free_inputs = 0;
  /// The product; with free inputs the number of pairs of an input vector and a stable state.
  BigCount total;
  bool exact = true;                    ///< false: `total` is a lower bound
};

/// `inputs`: one value per input bit, x: free. Groups that are connected through a free input are
/// one group; so are loops that feed others where that matters. Each group is listed or else counted by
/// search that splits again after every choice. Exact unless a limit is met.
StableProduct stable_product(const Circuit& circuit, std::span<const Value> inputs,
                             const StableProductOptions& options = {});

}  // namespace settle
