// The height of each block, its order in the column given: sweeps over the columns, each of which is placed
// at its best while its neighbours stand still.
//
// Best: the sum of |bend| over the wires, weighted so that long wires come out straight, is least. For a
// column with fixed order and least distances that is an isotonic regression with absolute errors; pooling
// neighbours that collide, with the weighted median of what they wish, solves it exactly (Robertson and
// Waltman, "On estimating monotone parameters", 1968). All wishes lie on the grid, and so do medians of them.
// The best of all sweeps is kept. Cost: a fixed number of sweeps, each n log n but for very crowded columns.
#include <algorithm>
#include <cstdlib>
#include <limits>

#include "draw/layout.h"

namespace settle::draw {
namespace {

constexpr int row_sweeps = 24;

struct Wish {
  int y = 0;
  int weight = 1;
};

class Rows {
 public:
  explicit Rows(Arrangement& arrangement) : arrangement_(arrangement) {
    for (std::size_t i = 0; i + 1 < arrangement.columns.size(); ++i)
      channels_.push_back(channel_nets(arrangement, i));
  }

  void place() {
    for (std::size_t i = 0; i < arrangement_.columns.size(); ++i) place_column(i, false, false);
    std::vector<Point> best = arrangement_.at;
    long best_cost = std::numeric_limits<long>::max();
    for (int sweep = 0; sweep < row_sweeps; ++sweep) {
      const bool both = sweep >= 4;
      const std::size_t columns = arrangement_.columns.size();
      for (std::size_t i = 0; i < columns; ++i) {
        if (sweep % 2 == 0) {
          place_column(i, true, both);
        } else {
          place_column(columns - 1 - i, both, true);
        }
      }
      const long now = cost();
      if (now >= best_cost) continue;
      best_cost = now;
      best = arrangement_.at;
    }
    arrangement_.at = std::move(best);
    close_gaps();
  }

 private:
  const Block& block(std::uint32_t index) const { return arrangement_.blocks[index]; }
  int y_of(const ChannelEnd& end) const { return arrangement_.at[end.block].y + end.y; }
  bool is_passage(std::uint32_t index) const { return block(index).parts.empty(); }
  int weight(std::uint32_t a, std::uint32_t b) const {
    return is_passage(a) && is_passage(b) ? 8 : is_passage(a) || is_passage(b) ? 3 : 2;
  }

  // From the top of one block to the top of the next.
  int distance(std::uint32_t upper, std::uint32_t lower) const {
    const bool roomy = block(upper).height > 2 * grid && block(lower).height > 2 * grid;
    return block(upper).height + (roomy ? grid : 0);
  }

  void collect(std::size_t channel, bool column_is_left, const std::vector<std::uint32_t>& slot,
               std::vector<std::vector<Wish>>& wishes) const {
    for (const auto& ends : channels_[channel].ends) {
      bool has_other = false;
      for (const ChannelEnd& end : ends) has_other = has_other || end.is_left != column_is_left;
      for (const ChannelEnd& end : ends) {
        if (end.is_left != column_is_left) continue;
        for (const ChannelEnd& other : ends) {
          if (other.block == end.block || (has_other && other.is_left == column_is_left)) continue;
          wishes[slot[end.block]].push_back({y_of(other) - end.y, weight(end.block, other.block)});
        }
      }
    }
  }

  // Takes out strips that no block stands in: parts of the circuit that have little to do with each other
  // drift apart. Heights that are equal stay so.
  void close_gaps() {
    std::vector<std::uint32_t> by_y(arrangement_.at.size());
    for (std::uint32_t i = 0; i < by_y.size(); ++i) by_y[i] = i;
    std::stable_sort(by_y.begin(), by_y.end(), [&](std::uint32_t a, std::uint32_t b) {
      return arrangement_.at[a].y < arrangement_.at[b].y;
    });
    if (by_y.empty()) return;
    int taken = arrangement_.at[by_y[0]].y, bottom = taken;
    for (const auto index : by_y) {
      int& y = arrangement_.at[index].y;
      const int next_bottom = std::max(bottom, y + block(index).height);
      taken += std::max(0, y - bottom - 2 * grid);
      bottom = next_bottom;
      y -= taken;
    }
  }

  struct Pool {
    std::vector<Wish> wishes;
    std::size_t first = 0;
    int fit = 0;
  };

  static int median(std::vector<Wish>& wishes) {
    std::sort(wishes.begin(), wishes.end(), [](const Wish& a, const Wish& b) { return a.y < b.y; });
    long total = 0, seen = 0;
    for (const Wish& wish : wishes) total += wish.weight;
    for (const Wish& wish : wishes) {
      seen += wish.weight;
      if (2 * seen >= total) return wish.y;
    }
    return 0;
  }

  void place_column(std::size_t column, bool left, bool right) {
    const auto& blocks = arrangement_.columns[column];
    std::vector<std::uint32_t> slot(arrangement_.blocks.size());
    for (std::uint32_t i = 0; i < blocks.size(); ++i) slot[blocks[i]] = i;
    std::vector<std::vector<Wish>> wishes(blocks.size());
    if (left && column > 0) collect(column - 1, false, slot, wishes);
    if (right && column + 1 < arrangement_.columns.size()) collect(column, true, slot, wishes);
    std::vector<Pool> pools;
    std::vector<int> offset(blocks.size());
    for (std::size_t i = 0; i < blocks.size(); ++i) {
      if (i > 0) offset[i] = offset[i - 1] + distance(blocks[i - 1], blocks[i]);
      if (wishes[i].empty()) wishes[i].push_back({arrangement_.at[blocks[i]].y, 1});
      for (Wish& wish : wishes[i]) wish.y -= offset[i];
      pools.push_back({std::move(wishes[i]), i, 0});
      pools.back().fit = median(pools.back().wishes);
      while (pools.size() > 1 && pools[pools.size() - 2].fit > pools.back().fit) {
        Pool& into = pools[pools.size() - 2];
        into.wishes.insert(into.wishes.end(), pools.back().wishes.begin(), pools.back().wishes.end());
        into.fit = median(into.wishes);
        pools.pop_back();
      }
    }
    for (std::size_t pool = 0; pool < pools.size(); ++pool) {
      const std::size_t end = pool + 1 < pools.size() ? pools[pool + 1].first : blocks.size();
      for (std::size_t i = pools[pool].first; i < end; ++i)
        arrangement_.at[blocks[i]].y = pools[pool].fit + offset[i];
    }
  }

  // Bends and their lengths.
  long cost() const {
    long total = 0;
    for (const ChannelNets& channel : channels_) {
      for (const auto& ends : channel.ends) {
        int low = std::numeric_limits<int>::max(), high = std::numeric_limits<int>::min();
        for (const ChannelEnd& end : ends) {
          low = std::min(low, y_of(end));
          high = std::max(high, y_of(end));
        }
        total += high - low;
        if (low != high) total += 3 * grid;
      }
    }
    return total;
  }

  Arrangement& arrangement_;
  std::vector<ChannelNets> channels_;
};

}  // namespace

void place_rows(Arrangement& arrangement) { Rows(arrangement).place(); }

}  // namespace settle::draw
