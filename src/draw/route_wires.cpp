// Puts the columns beside each other with their channels between them, and makes one list of lines of all
// wires: pieces that continue each other are joined, and a dot is set where a net branches.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "draw/channel.h"
#include "draw/layout.h"

namespace settle::draw {
namespace {

Line moved(const Line& line, int x, int y) {
  return {line.net, {line.from.x + x, line.from.y + y}, {line.to.x + x, line.to.y + y}, line.is_tap};
}

// Joins level and upright pieces that touch or overlap; slanted ones stay as they are.
std::vector<Line> joined(const std::vector<Line>& lines) {
  std::map<std::tuple<NetIndex, bool, bool, int>, std::vector<std::pair<int, int>>> rows;
  std::vector<Line> result;
  for (const Line& line : lines) {
    if (line.from.y == line.to.y) {
      rows[{line.net, line.is_tap, false, line.from.y}].push_back(std::minmax({line.from.x, line.to.x}));
    } else if (line.from.x == line.to.x) {
      rows[{line.net, line.is_tap, true, line.from.x}].push_back(std::minmax({line.from.y, line.to.y}));
    } else {
      result.push_back(line);
    }
  }
  for (auto& [key, pieces] : rows) {
    std::sort(pieces.begin(), pieces.end());
    const auto [net, is_tap, is_upright, at] = key;
    for (std::size_t i = 0; i < pieces.size();) {
      auto [low, high] = pieces[i];
      for (++i; i < pieces.size() && pieces[i].first <= high; ++i) high = std::max(high, pieces[i].second);
      if (low == high) continue;
      result.push_back(is_upright ? Line{net, {at, low}, {at, high}, is_tap}
                                  : Line{net, {low, at}, {high, at}, is_tap});
    }
  }
  std::stable_sort(result.begin(), result.end(), [](const Line& a, const Line& b) { return a.net < b.net; });
  return result;
}

// Directions in which a net leaves a point: one from each line that ends there, two from one that goes
// through.
std::vector<Drawing::Dot> dots_of(const std::vector<Line>& lines) {
  std::vector<Drawing::Dot> dots;
  const auto sign = [](int value) { return (value > 0) - (value < 0); };
  for (std::size_t first = 0; first < lines.size();) {
    std::size_t end = first;
    while (end < lines.size() && lines[end].net == lines[first].net) ++end;
    std::map<std::pair<int, int>, std::set<std::pair<int, int>>> ways;
    std::map<int, std::vector<std::size_t>> level, upright;
    for (std::size_t i = first; i < end; ++i) {
      const Point from = lines[i].from, to = lines[i].to;
      ways[{from.x, from.y}].insert({sign(to.x - from.x), sign(to.y - from.y)});
      ways[{to.x, to.y}].insert({sign(from.x - to.x), sign(from.y - to.y)});
      if (from.y == to.y) level[from.y].push_back(i);
      if (from.x == to.x) upright[from.x].push_back(i);
    }
    for (const auto& [y, levels] : level) {
      for (const auto& [x, uprights] : upright) {
        for (const std::size_t i : levels) {
          for (const std::size_t j : uprights) {
            if (lines[i].from.x < x && x < lines[i].to.x && lines[j].from.y < y && y < lines[j].to.y)
              ways[{x, y}];
          }
        }
      }
    }
    for (auto& [at, directions] : ways) {
      const auto [x, y] = at;
      if (const auto found = level.find(y); found != level.end()) {
        for (const std::size_t i : found->second) {
          if (lines[i].from.x < x && x < lines[i].to.x) directions.insert({{1, 0}, {-1, 0}});
        }
      }
      if (const auto found = upright.find(x); found != upright.end()) {
        for (const std::size_t i : found->second) {
          if (lines[i].from.y < y && y < lines[i].to.y) directions.insert({{0, 1}, {0, -1}});
        }
      }
      if (directions.size() > 2 && is_wire(lines[first].net)) dots.push_back({lines[first].net, {x, y}});
    }
    first = end;
  }
  return dots;
}

class Assembly {
 public:
  explicit Assembly(Arrangement& arrangement) : arrangement_(arrangement) {}

  Drawing make() {
    int x = 0;
    const std::size_t count = arrangement_.columns.size();
    for (std::size_t column = 0; column < count; ++column) {
      // Terminals of the circuit stand at its edges; in between the left edges of the symbols are aligned.
      const auto before = [&](const Block& block) {
        return column == 0                                    ? block.width
               : column + 1 == count || block.figures.empty() ? 0
                                                              : block.figures[0].at.x;
      };
      int most_before = 0, most_after = 0;
      for (const auto index : arrangement_.columns[column]) {
        const Block& block = arrangement_.blocks[index];
        most_before = std::max(most_before, before(block));
        most_after = std::max(most_after, block.width - before(block));
      }
      const int width = most_before + most_after;
      for (const auto index : arrangement_.columns[column]) {
        arrangement_.at[index].x = x + most_before - before(arrangement_.blocks[index]);
        add_block(index, x, x + width);
      }
      x += width;
      if (column + 1 == count) break;
      const ChannelWires wires = lay(column);
      for (const Line& line : wires.lines) drawing_.lines.push_back(moved(line, x, 0));
      x += wires.width;
    }
    drawing_.width = x;
    drawing_.lines = joined(drawing_.lines);
    for (const Line& line : drawing_.lines)
      drawing_.height = std::max({drawing_.height, line.from.y, line.to.y});
    drawing_.dots = dots_of(drawing_.lines);
    return std::move(drawing_);
  }

 private:
  ChannelWires lay(std::size_t channel) const {
    const ChannelNets nets = channel_nets(arrangement_, channel);
    std::vector<ChannelNet> list;
    for (std::size_t i = 0; i < nets.nets.size(); ++i) {
      ChannelNet net{nets.nets[i], {}, {}};
      for (const ChannelEnd& end : nets.ends[i]) {
        (end.is_left ? net.left : net.right).push_back(arrangement_.at[end.block].y + end.y);
      }
      list.push_back(std::move(net));
    }
    return lay_channel(list);
  }

  // `left` and `right` are the edges of its column, to which its wires go on.
  void add_block(std::uint32_t index, int left, int right) {
    const Block& block = arrangement_.blocks[index];
    const Point at = arrangement_.at[index];
    for (const Line& line : block.lines) drawing_.lines.push_back(moved(line, at.x, at.y));
    for (const Terminal& terminal : block.left) {
      drawing_.lines.push_back({terminal.net, {left, at.y + terminal.y}, {at.x, at.y + terminal.y}, false});
    }
    for (const Terminal& terminal : block.right) {
      drawing_.lines.push_back(
          {terminal.net, {at.x + block.width, at.y + terminal.y}, {right, at.y + terminal.y}, false});
    }
    if (block.parts.empty()) {
      drawing_.lines.push_back({block.passage, {left, at.y + grid}, {right, at.y + grid}, false});
    }
    for (Figure figure : block.figures) {
      figure.at = {figure.at.x + at.x, figure.at.y + at.y};
      drawing_.figures.push_back(figure);
    }
    for (Label label : block.labels) {
      label.at = {label.at.x + at.x, label.at.y + at.y};
      drawing_.labels.push_back(std::move(label));
    }
    for (PinEnd pin : block.pins) {
      pin.at = {pin.at.x + at.x, pin.at.y + at.y};
      drawing_.pins.push_back(pin);
    }
    drawing_.height = std::max(drawing_.height, at.y + block.height);
  }

  Arrangement& arrangement_;
  Drawing drawing_;
};

}  // namespace

Drawing route_wires(Arrangement& arrangement) { return Assembly(arrangement).make(); }

}  // namespace settle::draw
