// Cutting a step down. Each cut keeps the set of outcomes, the existence of lasting (non-transient)
// cycles and the values on them exact:
//
// Followers. A gate without a path into a loop of active gates changes nothing that it reads in
// turn. On a cycle of states some looping gate moves: else a follower that reads only still gates
// would have to change twice. So lasting cycles of the whole give lasting cycles of the rest, and
// the other way round: go along the cycle again and again, firing each excited follower at once;
// none of them is then excited with one value for good. In a stable state followers have the
// values that evaluation gives.
//
// Independent parts. With no gate in common, any runs of two parts can be put together. From every
// state a stable state or a lasting cycle can be reached (the states that cannot be left form one
// or the other), so a lasting cycle of one part is one of the whole whatever the other does.
//
// Shared fronts. A gate outside the loops that reads no active gate, or only one such gate and is
// quiet at the start, fires at most once. Let parts share only gates c1 -> c2 -> ... of one such
// row. They fire in this order in each part, so the runs of the parts can be put together piece by
// piece: all moves before c1, c1 together with what fires at the same time, all moves up to c2, and
// so on. In stable states and on lasting cycles all of the row has fired. (Two shared gates that
// may fire in either order would tie the parts together: a bad outcome of one may need the one
// order, a bad outcome of the other the other order.) Parts of parts follow by the same argument.
//
// Cost: linear in gates and pins for each row tried; few rows are tried.
#include "analysis/step_split.h"

#include <algorithm>
#include <numeric>

#include "analysis/components.h"

namespace settle {

void ActiveGraph::link() {
  const std::uint32_t n = size();
  succ_start.assign(n + 1, 0);
  for (const std::uint32_t p : preds) ++succ_start[p + 1];
  std::partial_sum(succ_start.begin(), succ_start.end(), succ_start.begin());
  succs.resize(preds.size());
  std::vector<std::uint32_t> next(succ_start.begin(), succ_start.end() - 1);
  for (std::uint32_t node = 0; node < n; ++node) {
    for (const std::uint32_t p : preds_of(node)) succs[next[p]++] = node;
  }
}

namespace {

class Groups {
 public:
  explicit Groups(std::uint32_t size) : parent_(size) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::uint32_t find(std::uint32_t a) {
    while (parent_[a] != a) a = parent_[a] = parent_[parent_[a]];
    return a;
  }
  void join(std::uint32_t a, std::uint32_t b) { parent_[find(a)] = find(b); }

 private:
  std::vector<std::uint32_t> parent_;
};

class StepSplitter {
 public:
  StepSplitter(const ActiveGraph& graph, const Reductions& reductions)
      : graph_(graph),
        reductions_(reductions),
        in_loop_(nodes_in_loops(graph.pred_start, graph.preds)),
        kept_(graph.size(), true),
        row_place_(graph.size(), 0),
        index_(graph.size(), 0) {}

  std::vector<NodeList> run() {
    if (reductions_.cut_followers) keep_only_what_decides();
    NodeList all;
    for (std::uint32_t node = 0; node < graph_.size(); ++node) {
      if (kept_[node]) all.push_back(node);
    }
    if (all.empty()) return {};
    if (!reductions_.split) return {all};
    std::vector<NodeList> work = divide(all, {});
    if (!reductions_.split_fronts) return work;
    mark_single_fire();
    std::vector<NodeList> parts;
    while (!work.empty()) {
      const NodeList part = std::move(work.back());
      work.pop_back();
      if (!split_at_row(part, work)) parts.push_back(part);
    }
    std::sort(parts.begin(), parts.end());
    return parts;
  }

 private:
  void keep_only_what_decides() {
    std::vector<std::uint32_t> stack;
    for (std::uint32_t node = 0; node < graph_.size(); ++node) {
      kept_[node] = in_loop_[node];
      if (in_loop_[node]) stack.push_back(node);
    }
    while (!stack.empty()) {
      const std::uint32_t node = stack.back();
      stack.pop_back();
      for (const std::uint32_t p : graph_.preds_of(node)) {
        if (!kept_[p]) {
          kept_[p] = true;
          stack.push_back(p);
        }
      }
    }
  }

  // row_place_ is not 0 exactly for the nodes of `row`, while this runs: their place in it, from 1.
  std::vector<NodeList> divide(const NodeList& nodes, const NodeList& row) {
    for (std::uint32_t i = 0; i < nodes.size(); ++i) index_[nodes[i]] = i;
    for (std::uint32_t i = 0; i < row.size(); ++i) row_place_[row[i]] = i + 1;
    Groups groups(static_cast<std::uint32_t>(nodes.size()));
    std::vector<std::uint32_t> deepest(nodes.size(), 0);
    for (const std::uint32_t node : nodes) {
      if (row_place_[node] != 0) continue;
      for (const std::uint32_t p : graph_.preds_of(node)) {
        if (row_place_[p] != 0) {
          deepest[index_[node]] = std::max(deepest[index_[node]], row_place_[p]);
        } else {
          groups.join(index_[node], index_[p]);
        }
      }
    }
    std::vector<NodeList> lists;
    std::vector<std::uint32_t> list_of(nodes.size(), no_id), row_length;
    for (const std::uint32_t node : nodes) {
      if (row_place_[node] != 0) continue;
      const std::uint32_t root = groups.find(index_[node]);
      if (list_of[root] == no_id) {
        list_of[root] = static_cast<std::uint32_t>(lists.size());
        lists.emplace_back();
        row_length.push_back(0);
      }
      lists[list_of[root]].push_back(node);
      row_length[list_of[root]] = std::max(row_length[list_of[root]], deepest[index_[node]]);
    }
    for (std::size_t i = 0; i < lists.size(); ++i) {
      lists[i].insert(lists[i].end(), row.begin(), row.begin() + row_length[i]);
      std::sort(lists[i].begin(), lists[i].end());
    }
    for (const std::uint32_t node : row) row_place_[node] = 0;
    return lists;
  }

  void mark_single_fire() {
    single_fire_.assign(graph_.size(), false);
    std::vector<std::uint32_t> work;
    for (std::uint32_t node = 0; node < graph_.size(); ++node) {
      if (!in_loop_[node] && graph_.preds_of(node).empty()) work.push_back(node);
    }
    while (!work.empty()) {
      const std::uint32_t node = work.back();
      work.pop_back();
      single_fire_[node] = true;
      for (const std::uint32_t s : graph_.succs_of(node)) {
        if (!in_loop_[s] && !graph_.excited[s] && graph_.preds_of(s).size() == 1) work.push_back(s);
      }
    }
  }

  // Tries the rows that end in a gate with the most readers first.
  bool split_at_row(const NodeList& part, std::vector<NodeList>& work) {
    constexpr std::size_t most_tries = 8;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> ends;  // readers along the row, last node
    for (std::uint32_t i = 0; i < part.size(); ++i) index_[part[i]] = i;
    const auto has = [&](std::uint32_t node) {
      return index_[node] < part.size() && part[index_[node]] == node;
    };
    for (const std::uint32_t node : part) {
      if (!single_fire_[node]) continue;
      bool last = true;
      std::uint32_t readers = 0;
      for (const std::uint32_t s : graph_.succs_of(node)) last = last && !(has(s) && single_fire_[s]);
      if (!last) continue;
      for (std::uint32_t n = node; n != no_id; n = before(n)) {
        for (const std::uint32_t s : graph_.succs_of(n)) readers += has(s) ? 1u : 0u;
      }
      ends.emplace_back(readers, node);
    }
    std::sort(ends.begin(), ends.end(), [](const auto& a, const auto& b) {
      return a.first != b.first ? a.first > b.first : a.second < b.second;
    });
    for (std::size_t k = 0; k < ends.size() && k < most_tries; ++k) {
      NodeList row;
      for (std::uint32_t n = ends[k].second; n != no_id; n = before(n)) row.push_back(n);
      std::reverse(row.begin(), row.end());
      std::vector<NodeList> pieces = divide(part, row);
      if (pieces.size() < 2) continue;
      for (NodeList& piece : pieces) work.push_back(std::move(piece));
      return true;
    }
    return false;
  }

  std::uint32_t before(std::uint32_t node) const {
    const auto preds = graph_.preds_of(node);
    return preds.empty() ? no_id : preds[0];
  }

  const ActiveGraph& graph_;
  const Reductions& reductions_;
  std::vector<bool> in_loop_, kept_, single_fire_;
  std::vector<std::uint32_t> row_place_, index_;
};

}  // namespace

std::vector<NodeList> split_step(const ActiveGraph& graph, const Reductions& reductions) {
  return StepSplitter(graph, reductions).run();
}

}  // namespace settle
