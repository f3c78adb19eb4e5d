#include "draw/drawing_check.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include <fmt/format.h>

namespace settle::draw {
namespace {

struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
};

Box box_of(const Label& label) {
  const double size = label_size(label.style),
               width = text_width(label.text, size, label.style == Label::Style::title);
  const double left = label.align == Picture::Align::start    ? label.at.x
                      : label.align == Picture::Align::middle ? label.at.x - width / 2
                                                              : label.at.x - width;
  return {left, label.at.y - 0.75 * size, left + width, label.at.y + 0.2 * size};
}

// Without its edges, on which pins end.
Box inside_of(const Figure& figure) {
  return {figure.at.x + figure.inset + 0.5, figure.at.y + 0.5, figure.at.x + figure.width - 0.5,
          figure.at.y + figure.height - 0.5};
}

bool overlap(const Box& a, const Box& b) {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

// Clipping as by Liang and Barsky (1984): is any part of the line inside?
bool crosses(const Line& line, const Box& box) {
  double from = 0, to = 1;
  const double dx = line.to.x - line.from.x, dy = line.to.y - line.from.y;
  const auto clip = [&](double step, double room) {
    if (step == 0) return room >= 0;
    const double at = room / step;
    if (step > 0) {
      to = std::min(to, at);
    } else {
      from = std::max(from, at);
    }
    return from <= to;
  };
  return clip(-dx, line.from.x - box.left) && clip(dx, box.right - line.from.x) &&
         clip(-dy, line.from.y - box.top) && clip(dy, box.bottom - line.from.y);
}

// Does the point lie on the line, and not at an end?
bool is_within(const Line& line, Point point) {
  if (point == line.from || point == line.to) return false;
  const long dx = line.to.x - line.from.x, dy = line.to.y - line.from.y;
  const long px = point.x - line.from.x, py = point.y - line.from.y;
  if (dx * py != dy * px) return false;
  const long along = dx * px + dy * py;
  return along > 0 && along < dx * dx + dy * dy;
}

bool are_parallel(const Line& a, const Line& b) {
  const long ax = a.to.x - a.from.x, ay = a.to.y - a.from.y, bx = b.to.x - b.from.x, by = b.to.y - b.from.y;
  return ax * by == ay * bx;
}

class Reader {
 public:
  Reader(const Sheet& sheet, const Drawing& drawing) : sheet_(sheet), drawing_(drawing) {
    for (const Drawing::Dot& dot : drawing.dots) dots_.insert({dot.at.x, dot.at.y});
  }

  std::vector<std::string> read() {
    look_at_room();
    follow_lines();
    compare_nets();
    return std::move(faults_);
  }

 private:
  template <class... Values>
  void fault(fmt::format_string<Values...> text, Values&&... values) {
    faults_.push_back(fmt::format(text, std::forward<Values>(values)...));
  }

  static std::string text_of(const Line& line) {
    return fmt::format("{},{}-{},{}", line.from.x, line.from.y, line.to.x, line.to.y);
  }

  void look_at_room() {
    std::vector<Box> labels;
    for (const Label& label : drawing_.labels) labels.push_back(box_of(label));
    for (const Line& line : drawing_.lines) {
      for (const Figure& figure : drawing_.figures) {
        if (crosses(line, inside_of(figure)))
          fault("line {} over {}", text_of(line), sheet_.parts[figure.part].name);
      }
      for (std::size_t i = 0; i < labels.size(); ++i) {
        if (crosses(line, labels[i]))
          fault("line {} over the text {}", text_of(line), drawing_.labels[i].text);
      }
    }
    for (std::size_t i = 0; i < labels.size(); ++i) {
      for (std::size_t j = i + 1; j < labels.size(); ++j) {
        if (overlap(labels[i], labels[j]))
          fault("texts {} and {} overlap", drawing_.labels[i].text, drawing_.labels[j].text);
      }
    }
    for (std::size_t i = 0; i < drawing_.figures.size(); ++i) {
      for (std::size_t j = i + 1; j < drawing_.figures.size(); ++j) {
        if (overlap(inside_of(drawing_.figures[i]), inside_of(drawing_.figures[j])))
          fault("parts {} and {} overlap", i, j);
      }
    }
  }

  std::size_t root(std::size_t line) {
    while (group_[line] != line) line = group_[line] = group_[group_[line]];
    return line;
  }

  // Joins what a reader takes for connected, whatever nets the lines are said to be of.
  void follow_lines() {
    const auto& lines = drawing_.lines;
    group_.resize(lines.size());
    std::iota(group_.begin(), group_.end(), std::size_t{0});
    for (std::size_t i = 0; i < lines.size(); ++i) {
      for (std::size_t j = i + 1; j < lines.size(); ++j) look_at_pair(lines[i], lines[j], i, j);
    }
  }

  void look_at_pair(const Line& a, const Line& b, std::size_t i, std::size_t j) {
    int touching = 0;  // ends of one inside of the other
    for (const auto& [line, other] : {std::pair(&a, &b), std::pair(&b, &a)}) {
      for (const Point end : {line->from, line->to}) {
        if (!is_within(*other, end)) continue;
        ++touching;
        if (dots_.count({end.x, end.y}) != 0) group_[root(i)] = root(j);
        if (line->net != other->net) fault("lines {} and {} touch", text_of(a), text_of(b));
        if (line->net == other->net && dots_.count({end.x, end.y}) == 0)
          fault("no dot at {},{}", end.x, end.y);
      }
    }
    const bool meet = a.from == b.from || a.from == b.to || a.to == b.from || a.to == b.to;
    if (meet) group_[root(i)] = root(j);
    const bool same = (a.from == b.from && a.to == b.to) || (a.from == b.to && a.to == b.from);
    if (are_parallel(a, b) && (touching != 0 || same))
      fault("lines {} and {} overlap", text_of(a), text_of(b));
    if (touching == 0 && !meet) {
      for (const auto& [x, y] : dots_) {
        if (is_within(a, {x, y}) && is_within(b, {x, y})) group_[root(i)] = root(j);
      }
    }
  }

  void compare_nets() {
    std::map<NetIndex, std::size_t> group_of_net;
    std::map<std::size_t, NetIndex> net_of_group;
    std::map<NetIndex, int> pins_of_net;
    std::set<std::pair<std::uint32_t, std::pair<bool, std::uint32_t>>> drawn;
    for (const PinEnd& pin : drawing_.pins) {
      if (is_wire(pin.net)) ++pins_of_net[pin.net];
    }
    for (const PinEnd& pin : drawing_.pins) {
      const SheetPart& part = sheet_.parts[pin.part];
      const SheetPin& wanted = (pin.is_output ? part.outputs : part.inputs)[pin.pin];
      drawn.insert({pin.part, {pin.is_output, pin.pin}});
      if (wanted.net != pin.net) fault("pin {} of {} is drawn for another net", pin.pin, part.name);
      const auto at_end = std::find_if(drawing_.lines.begin(), drawing_.lines.end(), [&](const Line& line) {
        return line.from == pin.at || line.to == pin.at;
      });
      if (!is_wire(wanted.net) || pins_of_net[wanted.net] < 2) continue;
      if (at_end == drawing_.lines.end()) {
        fault("no wire at pin {} of {}", pin.pin, part.name);
        continue;
      }
      const std::size_t group = root(static_cast<std::size_t>(at_end - drawing_.lines.begin()));
      const auto [by_net, new_net] = group_of_net.emplace(wanted.net, group);
      if (!new_net && by_net->second != group)
        fault("net {} is broken at {}", sheet_.nets[wanted.net].name, part.name);
      const auto [by_group, new_group] = net_of_group.emplace(group, wanted.net);
      if (!new_group && by_group->second != wanted.net) {
        fault("nets {} and {} are one at {}", sheet_.nets[wanted.net].name,
              sheet_.nets[by_group->second].name, part.name);
      }
    }
    std::size_t pins = 0;
    for (const SheetPart& part : sheet_.parts) pins += part.inputs.size() + part.outputs.size();
    if (drawn.size() != pins) fault("{} pins are drawn of {}", drawn.size(), pins);
  }

  const Sheet& sheet_;
  const Drawing& drawing_;
  std::set<std::pair<int, int>> dots_;
  std::vector<std::size_t> group_;
  std::vector<std::string> faults_;
};

}  // namespace

std::vector<std::string> faults_of(const Sheet& sheet, const Drawing& drawing) {
  return Reader(sheet, drawing).read();
}

}  // namespace settle::draw
