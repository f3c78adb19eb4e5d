// The active gates of a step as a graph, cut down to what decides and split into independent parts.
#pragma once

#include <cstdint>
#include <vector>

#include "settle/circuit.h"
#include "settle/step_analysis.h"

namespace settle {

/// Nodes 0 .. gates-1 are gates in ascending order, the rest delay elements behind inputs.
struct ActiveGraph {
  std::vector<GateId> gates;
  std::vector<NetId> delayed;
  std::vector<std::uint32_t> pred_start, preds;  ///< nodes that a node reads
  std::vector<std::uint32_t> succ_start, succs;  ///< nodes that read it
  /// Excited in the start state (delay elements are).
  std::vector<bool> excited;

  std::uint32_t size() const { return static_cast<std::uint32_t>(pred_start.size()) - 1; }
  std::span<const std::uint32_t> preds_of(std::uint32_t node) const {
    return {preds.data() + pred_start[node], preds.data() + pred_start[node + 1]};
  }
  std::span<const std::uint32_t> succs_of(std::uint32_t node) const {
    return {succs.data() + succ_start[node], succs.data() + succ_start[node + 1]};
  }
  /// Fills the successor lists from the predecessor lists.
  void link();
};

/// Nodes of one part, ascending. Every node that one of them reads is in the part too.
using NodeList = std::vector<std::uint32_t>;

/// Parts that can be judged one by one: their outcomes multiply. Nodes that fire once and stand in
/// front of several parts are in each of them. Nodes cut off as followers are in none.
std::vector<NodeList> split_step(const ActiveGraph& graph, const Reductions& reductions);

}  // namespace settle
