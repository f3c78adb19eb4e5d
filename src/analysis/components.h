// Loops of a small graph given by predecessor lists.
#pragma once

#include <cstdint>
#include <vector>

namespace settle {

/// True for each node on a cycle (a node that reads itself is). Linear time, no recursion.
/// `preds` of node i are entries start[i] .. start[i + 1] - 1.
std::vector<bool> nodes_in_loops(const std::vector<std::uint32_t>& start,
                                 const std::vector<std::uint32_t>& preds);

/// Number of the strongly connected component of each node, below the number of nodes.
std::vector<std::uint32_t> component_numbers(const std::vector<std::uint32_t>& start,
                                             const std::vector<std::uint32_t>& preds);

}  // namespace settle
