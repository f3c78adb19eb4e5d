// The general multiple-winner relation lets any non-empty set U of excited gates fire at once. Most of
// these moves add nothing: when U falls into V and W such that no gate of W reads a gate of V, all of
// W is still excited once V has fired, so V and then W lead to the same state. Splitting goes on
// until a set is left whose gates, with the wires among them, are strongly connected (a set that is
// not has a part that reads nothing of the rest). So single firings and the firings of strongly
// connected sets give the same reachability between states as all subsets do, and with it the same
// reachable states, components and lasting cycles. A ring of n inverters needs n single firings and
// one joint one in place of 2^n - 1; a NOR latch its two gates and the pair.
//
// Strongly connected sets are the unions of overlapping cycles: cycles are walked out from their
// lowest gate, then unions are formed until nothing new comes. Both stop at a limit; the loop is then
// handed back whole, for the search to try every subset of its excited gates.
#include "analysis/joint_moves.h"

#include <algorithm>
#include <set>

#include "analysis/components.h"

namespace settle {
namespace {

using GateSet = std::vector<std::uint32_t>;

struct Graph {
  std::vector<GateSet> preds;
  std::vector<std::uint32_t> loop;  // number of the strongly connected component
  std::vector<GateSet> loops;       // components of several gates
};

Graph make_graph(const Subnetwork& network) {
  Graph graph;
  std::vector<std::uint32_t> start{0}, preds;
  for (std::uint32_t g = 0; g < network.size(); ++g) {
    const Subnetwork::Gate& gate = network.gates[g];
    GateSet list(network.inputs.begin() + gate.first, network.inputs.begin() + gate.first + gate.count);
    preds.insert(preds.end(), list.begin(), list.end());
    start.push_back(static_cast<std::uint32_t>(preds.size()));
    graph.preds.push_back(std::move(list));
  }
  graph.loop = component_numbers(start, preds);
  std::vector<GateSet> members(network.size());
  for (std::uint32_t g = 0; g < network.size(); ++g) members[graph.loop[g]].push_back(g);
  for (GateSet& set : members) {
    if (set.size() > 1) graph.loops.push_back(std::move(set));
  }
  return graph;
}

// All strongly connected sets of one loop. False: more than `most`.
// `on_path`: by gate, all false, and so again afterwards.
bool list_sets(const Graph& graph, const GateSet& loop, std::size_t most, std::vector<bool>& on_path,
               std::set<GateSet>& sets) {
  struct Frame {
    std::uint32_t gate;
    std::size_t next;
  };
  std::size_t steps = most * 64;
  std::vector<Frame> path;
  const auto give_up = [&] {
    for (const Frame& frame : path) on_path[frame.gate] = false;
    return false;
  };
  std::vector<GateSet> cycles;
  for (const std::uint32_t lowest : loop) {
    path.push_back({lowest, 0});
    on_path[lowest] = true;
    while (!path.empty()) {
      Frame& frame = path.back();
      if (frame.next == graph.preds[frame.gate].size()) {
        on_path[frame.gate] = false;
        path.pop_back();
        continue;
      }
      if (steps-- == 0) return give_up();
      const std::uint32_t to = graph.preds[frame.gate][frame.next++];
      if (to == lowest && path.size() > 1) {
        GateSet cycle;
        for (const Frame& f : path) cycle.push_back(f.gate);
        std::sort(cycle.begin(), cycle.end());
        if (sets.insert(cycle).second) cycles.push_back(std::move(cycle));
        if (sets.size() > most) return give_up();
      } else if (to > lowest && graph.loop[to] == graph.loop[lowest] && !on_path[to]) {
        on_path[to] = true;
        path.push_back({to, 0});
      }
    }
  }
  std::vector<GateSet> work = cycles;
  while (!work.empty()) {
    const GateSet set = std::move(work.back());
    work.pop_back();
    for (const GateSet& cycle : cycles) {
      GateSet both;
      std::set_union(set.begin(), set.end(), cycle.begin(), cycle.end(), std::back_inserter(both));
      const bool overlap = both.size() < set.size() + cycle.size();
      if (!overlap || !sets.insert(both).second) continue;
      if (sets.size() > most) return false;
      work.push_back(std::move(both));
    }
  }
  return true;
}

}  // namespace

JointMoves find_joint_moves(const Subnetwork& network, std::size_t most_sets) {
  const Graph graph = make_graph(network);
  JointMoves moves;
  std::vector<bool> on_path(network.size(), false);
  for (const GateSet& loop : graph.loops) {
    std::set<GateSet> sets;
    if (list_sets(graph, loop, most_sets, on_path, sets)) {
      moves.sets.insert(moves.sets.end(), sets.begin(), sets.end());
    } else {
      moves.any_subset_of.push_back(loop);
    }
  }
  return moves;
}

}  // namespace settle
