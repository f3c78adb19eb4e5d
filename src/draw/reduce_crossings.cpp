// The order of blocks in each column: sweeps that put each block at the mean height of what it is wired to
// (barycentres, Sugiyama, Tagawa and Toda, "Methods for visual understanding of hierarchical system
// structures", 1981), then swaps of neighbours as long as they remove crossings. The best order met is kept.
//
// Crossings of a channel are counted for wires drawn straight from each left end to each right end of a net;
// a net with ends on one side only crosses what ends between them. Cost: a fixed number of sweeps, each
// linear but for sorting.
#include <algorithm>
#include <cstddef>

#include "draw/layout.h"

namespace settle::draw {
namespace {

constexpr int sweep_count = 36;
constexpr int swap_rounds = 12;
constexpr std::size_t most_swapped_column = 120;

class Orders {
 public:
  Orders(Arrangement& arrangement, const BlockMaker& maker, PinOrders& orders)
      : arrangement_(arrangement), maker_(maker), orders_(orders) {}

  void improve() {
    stack_all();
    best_ = arrangement_.columns;
    order_pins(arrangement_, maker_, orders_);
    best_count_ = count_all();
    for (int sweep = 0; sweep < sweep_count && best_count_ != 0; ++sweep) {
      const std::size_t columns = arrangement_.columns.size();
      const bool both = sweep % 6 >= 4;
      for (std::size_t i = 0; i < columns; ++i) {
        const bool forward = sweep % 2 == 0;
        sort_column(forward ? i : columns - 1 - i, both || forward, both || !forward);
      }
      order_pins(arrangement_, maker_, orders_);
      keep_if_better();
    }
    arrangement_.columns = best_;
    stack_all();
    order_pins(arrangement_, maker_, orders_);
    swap_neighbours();
    stack_all();
  }

 private:
  // Provisional heights: columns stacked, their middles at one height.
  void stack(std::size_t column) {
    int total = 0;
    for (const auto block : arrangement_.columns[column]) total += arrangement_.blocks[block].height + grid;
    int y = -total / 2;
    for (const auto block : arrangement_.columns[column]) {
      arrangement_.at[block].y = y;
      y += arrangement_.blocks[block].height + grid;
    }
  }
  void stack_all() {
    for (std::size_t i = 0; i < arrangement_.columns.size(); ++i) stack(i);
  }

  int y_of(const ChannelEnd& end) const { return arrangement_.at[end.block].y + end.y; }

  struct Mean {
    double sum = 0;
    int count = 0;
  };

  // What the blocks of `column` see in one channel: ends on the other side, or, where there are none, on
  // theirs.
  void look(std::size_t channel, bool column_is_left, std::vector<Mean>& means,
            const std::vector<std::uint32_t>& slot) const {
    const ChannelNets nets = channel_nets(arrangement_, channel);
    for (const auto& ends : nets.ends) {
      bool has_other = false;
      for (const ChannelEnd& end : ends) has_other = has_other || end.is_left != column_is_left;
      for (const ChannelEnd& end : ends) {
        if (end.is_left != column_is_left) continue;
        Mean& mean = means[slot[end.block]];
        for (const ChannelEnd& other : ends) {
          if (&other == &end || (has_other && other.is_left == column_is_left)) continue;
          mean.sum += y_of(other) - end.y;
          ++mean.count;
        }
      }
    }
  }

  void sort_column(std::size_t column, bool left, bool right) {
    auto& blocks = arrangement_.columns[column];
    std::vector<std::uint32_t> slot(arrangement_.blocks.size());
    for (std::uint32_t i = 0; i < blocks.size(); ++i) slot[blocks[i]] = i;
    std::vector<Mean> means(blocks.size());
    if (left && column > 0) look(column - 1, false, means, slot);
    if (right && column + 1 < arrangement_.columns.size()) look(column, true, means, slot);
    std::vector<std::pair<double, std::uint32_t>> keyed;
    for (std::uint32_t i = 0; i < blocks.size(); ++i) {
      const Block& block = arrangement_.blocks[blocks[i]];
      const double own = arrangement_.at[blocks[i]].y;
      const double wanted = means[i].count == 0 ? own : means[i].sum / means[i].count;
      keyed.emplace_back(wanted + block.height / 2.0, blocks[i]);
    }
    std::stable_sort(keyed.begin(), keyed.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::uint32_t i = 0; i < blocks.size(); ++i) blocks[i] = keyed[i].second;
    stack(column);
  }

  void keep_if_better() {
    const long count = count_all();
    if (count >= best_count_) return;
    best_count_ = count;
    best_ = arrangement_.columns;
  }

  long count_all() {
    long total = 0;
    for (std::size_t channel = 0; channel + 1 < arrangement_.columns.size(); ++channel)
      total += count_channel(channel);
    return total;
  }

  struct Edge {
    int left, right;
  };

  // Wires as straight lines between ranks; inversions counted with a Fenwick tree.
  long count_channel(std::size_t channel) {
    const ChannelNets nets = channel_nets(arrangement_, channel);
    std::vector<int> left_ys, right_ys;
    for (const auto& ends : nets.ends) {
      for (const ChannelEnd& end : ends) (end.is_left ? left_ys : right_ys).push_back(y_of(end));
    }
    std::sort(left_ys.begin(), left_ys.end());
    std::sort(right_ys.begin(), right_ys.end());
    const auto rank = [](const std::vector<int>& ys, int y) {
      return static_cast<int>(std::lower_bound(ys.begin(), ys.end(), y) - ys.begin());
    };
    long total = 0;
    std::vector<Edge> edges;
    std::vector<int> left, right;
    for (const auto& ends : nets.ends) {
      left.clear();
      right.clear();
      for (const ChannelEnd& end : ends) {
        if (end.is_left) {
          left.push_back(rank(left_ys, y_of(end)));
        } else {
          right.push_back(rank(right_ys, y_of(end)));
        }
      }
      if (left.empty() || right.empty()) {
        const auto& side = left.empty() ? right : left;
        const auto [low, high] = std::minmax_element(side.begin(), side.end());
        total += *high - *low - static_cast<int>(side.size()) + 1;
        continue;
      }
      for (const int from : left) {
        for (const int to : right) edges.push_back({from, to});
      }
    }
    std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) {
      return a.left != b.left ? a.left < b.left : a.right < b.right;
    });
    tree_.assign(right_ys.size() + 1, 0);
    long seen = 0;
    for (std::size_t i = 0; i < edges.size();) {
      std::size_t next = i;
      for (; next < edges.size() && edges[next].left == edges[i].left; ++next) {
        long not_below = 0;
        for (int at = edges[next].right + 1; at > 0; at -= at & -at)
          not_below += tree_[static_cast<std::size_t>(at)];
        total += seen - not_below;
      }
      for (; i < next; ++i) {
        ++seen;
        for (int at = edges[i].right + 1; at < static_cast<int>(tree_.size()); at += at & -at)
          ++tree_[static_cast<std::size_t>(at)];
      }
    }
    return total;
  }

  long count_around(std::size_t column) {
    long total = 0;
    if (column > 0) total += count_channel(column - 1);
    if (column + 1 < arrangement_.columns.size()) total += count_channel(column);
    return total;
  }

  // The other gate of a pair on top, if that saves crossings.
  bool turn_pair(std::uint32_t index, std::size_t column, long& count) {
    if (arrangement_.blocks[index].parts.size() != 2 || count == 0) return false;
    const Block was = arrangement_.blocks[index];
    arrangement_.blocks[index] = maker_.pair({was.parts[1], was.parts[0]}, orders_);
    stack(column);
    const long now = count_around(column);
    if (now < count) {
      count = now;
      return true;
    }
    arrangement_.blocks[index] = was;
    stack(column);
    return false;
  }

  void swap_neighbours() {
    for (int round = 0; round < swap_rounds; ++round) {
      bool has_swapped = false;
      for (std::size_t column = 0; column < arrangement_.columns.size(); ++column) {
        auto& blocks = arrangement_.columns[column];
        if (blocks.size() > most_swapped_column) continue;
        long count = count_around(column);
        for (const auto block : blocks) has_swapped = turn_pair(block, column, count) || has_swapped;
        for (std::size_t i = 0; i + 1 < blocks.size() && count != 0; ++i) {
          std::swap(blocks[i], blocks[i + 1]);
          stack(column);
          const long now = count_around(column);
          if (now < count) {
            count = now;
            has_swapped = true;
          } else {
            std::swap(blocks[i], blocks[i + 1]);
            stack(column);
          }
        }
      }
      order_pins(arrangement_, maker_, orders_);
      if (!has_swapped) break;
    }
  }

  Arrangement& arrangement_;
  const BlockMaker& maker_;
  PinOrders& orders_;
  std::vector<std::vector<std::uint32_t>> best_;
  long best_count_ = 0;
  std::vector<long> tree_;
};

}  // namespace

void order_pins(Arrangement& arrangement, const BlockMaker& maker, PinOrders& orders) {
  const Sheet& sheet = maker.sheet();
  for (std::size_t column = 1; column < arrangement.columns.size(); ++column) {
    const ChannelNets nets = channel_nets(arrangement, column - 1);
    for (const auto block : arrangement.columns[column]) {
      bool has_changed = false;
      for (const auto part : arrangement.blocks[block].parts) {
        if (sheet.parts[part].form != SheetPart::Form::gate || !has_equal_inputs(sheet.parts[part].kind))
          continue;
        const auto height_of = [&](std::uint32_t pin) -> double {
          const NetIndex net = sheet.parts[part].inputs[pin].net;
          const auto found = std::lower_bound(nets.nets.begin(), nets.nets.end(), net);
          double sum = 0;
          int count = 0;
          if (found == nets.nets.end() || *found != net) return arrangement.at[block].y;
          for (const ChannelEnd& end : nets.ends[static_cast<std::size_t>(found - nets.nets.begin())]) {
            if (end.block == block && !end.is_left) continue;
            sum += arrangement.at[end.block].y + end.y;
            ++count;
          }
          return count == 0 ? arrangement.at[block].y : sum / count;
        };
        auto& order = orders[part];
        std::vector<std::pair<double, std::uint32_t>> keyed;
        for (const auto pin : order) keyed.emplace_back(height_of(pin), pin);
        std::stable_sort(keyed.begin(), keyed.end(), [&](const auto& a, const auto& b) {
          if (a.first != b.first) return a.first < b.first;
          return sheet.parts[part].inputs[a.second].net < sheet.parts[part].inputs[b.second].net;
        });
        for (std::size_t i = 0; i < order.size(); ++i) {
          has_changed = has_changed || order[i] != keyed[i].second;
          order[i] = keyed[i].second;
        }
      }
      if (has_changed) arrangement.blocks[block] = maker.again(arrangement.blocks[block], orders);
    }
  }
}

void reduce_crossings(Arrangement& arrangement, const BlockMaker& maker, PinOrders& orders) {
  Orders(arrangement, maker, orders).improve();
}

}  // namespace settle::draw
