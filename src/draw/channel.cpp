// Channel routing with one vertical track a net (the left-edge idea of Hashimoto and Stevens, "TrackWire
// routing by optimizing channel assignment within large apertures", 1971).
//
// Where one net ends at the left side and another one at the right side at the same height, the first must
// turn off before the second comes in: its track lies further left. A cycle of such demands is broken by a
// net that changes tracks on the way (a dogleg, Deutsch, "A dogleg channel router", 1976), at a height
// between those of the grid, which no other wire uses. Among the orders that remain, the one with few
// crossings is chosen greedily. Invariant: on one track, stretches of different nets do not even touch. Cost:
// the square of the number of nets that turn in the channel.
#include "draw/channel.h"

#include <algorithm>
#include <optional>

namespace settle::draw {
namespace {

struct TrackWire {
  NetIndex net = net_open;
  std::vector<int> left, right;
  std::optional<int> link;  // height at which it goes on to its other half
  std::size_t partner = 0;  // that half
  bool is_first_half = false;
  int low = 0, high = 0;
  int track = 0;

  void measure() {
    std::vector<int> all = left;
    all.insert(all.end(), right.begin(), right.end());
    if (link) all.push_back(*link);
    low = *std::min_element(all.begin(), all.end());
    high = *std::max_element(all.begin(), all.end());
  }
};

class Channel {
 public:
  explicit Channel(const std::vector<ChannelNet>& nets) {
    for (const ChannelNet& net : nets) {
      TrackWire wire{net.net, net.left, net.right, {}, 0, false, 0, 0, 0};
      if (wire.left.size() + wire.right.size() < 2) continue;
      wire.measure();
      (wire.low == wire.high ? straight_ : wires_).push_back(std::move(wire));
    }
  }

  ChannelWires lay() {
    break_cycles();
    order_wires();
    give_tracks();
    return draw();
  }

 private:
  bool must_precede(const TrackWire& a, const TrackWire& b) const {
    if (a.net == b.net) return a.is_first_half && a.link == b.link;
    for (const int y : a.left) {
      if (std::find(b.right.begin(), b.right.end(), y) != b.right.end()) return true;
    }
    return false;
  }

  void find_demands() {
    after_.assign(wires_.size(), {});
    for (std::size_t i = 0; i < wires_.size(); ++i) {
      for (std::size_t j = 0; j < wires_.size(); ++j) {
        if (i != j && must_precede(wires_[i], wires_[j])) after_[i].push_back(j);
      }
    }
  }

  // Takes away what has nothing before it; a wire left over with ends on both sides is cut in two.
  void break_cycles() {
    for (;;) {
      find_demands();
      std::vector<int> before(wires_.size());
      for (const auto& list : after_) {
        for (const std::size_t next : list) ++before[next];
      }
      std::vector<std::size_t> ready;
      for (std::size_t i = 0; i < wires_.size(); ++i) {
        if (before[i] == 0) ready.push_back(i);
      }
      std::vector<bool> is_done(wires_.size(), false);
      while (!ready.empty()) {
        const std::size_t one = ready.back();
        ready.pop_back();
        is_done[one] = true;
        for (const std::size_t next : after_[one]) {
          if (--before[next] == 0) ready.push_back(next);
        }
      }
      std::optional<std::size_t> cut;
      for (std::size_t i = 0; i < wires_.size(); ++i) {
        if (is_done[i] || wires_[i].link || wires_[i].left.empty() || wires_[i].right.empty()) continue;
        const bool leads_on =
            std::any_of(after_[i].begin(), after_[i].end(), [&](std::size_t next) { return !is_done[next]; });
        if (leads_on && (!cut || wires_[i].high - wires_[i].low > wires_[*cut].high - wires_[*cut].low))
          cut = i;
      }
      if (!cut) return;
      split(*cut);
    }
  }

  void split(std::size_t index) {
    const int middle = (wires_[index].low + wires_[index].high) / 2 / grid * grid + grid / 2;
    int y = middle;
    for (int step = 1; std::find(links_.begin(), links_.end(), y) != links_.end(); ++step) {
      y = middle + (step % 2 == 0 ? -step / 2 : (step + 1) / 2) * grid;
    }
    links_.push_back(y);
    TrackWire second = wires_[index];
    TrackWire& first = wires_[index];
    first.right.clear();
    first.link = y;
    first.is_first_half = true;
    first.partner = wires_.size();
    second.left.clear();
    second.link = y;
    second.partner = index;
    first.measure();
    second.measure();
    wires_.push_back(std::move(second));
  }

  static int inside(const std::vector<int>& ys, const TrackWire& of) {
    return static_cast<int>(
        std::count_if(ys.begin(), ys.end(), [&](int y) { return of.low < y && y < of.high; }));
  }
  // With `a` further left than `b`.
  static int crossings(const TrackWire& a, const TrackWire& b) {
    return inside(b.left, a) + inside(a.right, b);
  }

  void order_wires() {
    const std::size_t count = wires_.size();
    std::vector<std::vector<int>> gain(count, std::vector<int>(count));
    std::vector<int> sum(count), before(count);
    for (std::size_t i = 0; i < count; ++i) {
      for (std::size_t j = 0; j < count; ++j) {
        if (i != j) gain[i][j] = crossings(wires_[i], wires_[j]) - crossings(wires_[j], wires_[i]);
        sum[i] += gain[i][j];
      }
      for (const std::size_t next : after_[i]) ++before[next];
    }
    std::vector<bool> is_placed(count, false);
    while (order_.size() < count) {
      std::size_t best = count;
      for (std::size_t i = 0; i < count; ++i) {
        if (!is_placed[i] && before[i] == 0 && (best == count || sum[i] < sum[best])) best = i;
      }
      is_placed[best] = true;
      order_.push_back(best);
      for (const std::size_t next : after_[best]) --before[next];
      for (std::size_t i = 0; i < count; ++i) sum[i] -= gain[i][best];
    }
  }

  void give_tracks() {
    for (std::size_t i = 0; i < order_.size(); ++i) {
      TrackWire& wire = wires_[order_[i]];
      for (std::size_t j = 0; j < i; ++j) {
        const TrackWire& other = wires_[order_[j]];
        const bool meets = wire.low <= other.high && other.low <= wire.high;
        if (meets || must_precede(other, wire)) wire.track = std::max(wire.track, other.track + 1);
      }
      tracks_ = std::max(tracks_, wire.track + 1);
    }
  }

  ChannelWires draw() const {
    ChannelWires result;
    result.width = std::max(2, tracks_ + 1) * grid;
    for (const TrackWire& wire : straight_)
      result.lines.push_back({wire.net, {0, wire.low}, {result.width, wire.low}, false});
    for (const TrackWire& wire : wires_) {
      const int x = (wire.track + 1) * grid;
      for (const int y : wire.left) result.lines.push_back({wire.net, {0, y}, {x, y}, false});
      for (const int y : wire.right) result.lines.push_back({wire.net, {x, y}, {result.width, y}, false});
      if (wire.low != wire.high) result.lines.push_back({wire.net, {x, wire.low}, {x, wire.high}, false});
      if (wire.link && wire.is_first_half) {
        result.lines.push_back(
            {wire.net, {x, *wire.link}, {(wires_[wire.partner].track + 1) * grid, *wire.link}});
      }
    }
    return result;
  }

  std::vector<TrackWire> straight_, wires_;
  std::vector<std::vector<std::size_t>> after_;
  std::vector<std::size_t> order_;
  std::vector<int> links_;
  int tracks_ = 0;
};

}  // namespace

ChannelWires lay_channel(const std::vector<ChannelNet>& nets) { return Channel(nets).lay(); }

}  // namespace settle::draw
