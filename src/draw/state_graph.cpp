// States stand in a ring, those with the same inputs beside each other, neighbours differing in one input
// where that can be (Gray order); among equal inputs the order is one with few crossings. Steps are curves
// through the inside (ring_curves.h). A label stands where fewest other curves pass. Cost: the square of the
// number of steps.
#include "settle/state_graph.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "draw/ring_curves.h"
#include "draw/svg.h"
#include "report/state_names.h"

namespace settle {
namespace {

constexpr double ring_margin = 24;
constexpr double ring_head = 56;
constexpr double state_font = 11, step_font = 10;
constexpr double state_line = 14;  // pixels a line of text
constexpr double least_radius = 150;
constexpr double state_gap = 40, group_gap = 70;  // on the ring
constexpr double widest_inputs = 150;             // longer ones are written as bits
constexpr std::size_t most_lines = 4;             // of text in a state
constexpr std::size_t most_labelled_states = 24;

struct StateBox : draw::RingBox {
  std::uint32_t state = 0;
  std::vector<std::string> lines;
  double angle = 0;
};

using draw::Curve;
using draw::RingPoint;

std::string_view class_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::settles: return "e";
    case Verdict::delay_dependent: return "e ed";
    case Verdict::indeterminate: return "e ei";
    case Verdict::oscillation: return "e eo";
  }
  return "e";
}

class RingPicture {
 public:
  RingPicture(const StateSpace& space, const Circuit& circuit)
      : space_(space), circuit_(circuit), picture_("State graph of " + circuit.cell_name(), describe()) {}

  std::string make() {
    add_style();
    make_boxes();
    place_boxes();
    const double width = right_ - left_ + 2 * ring_margin;
    const double height = bottom_ - top_ + ring_head + ring_margin;
    picture_.text(ring_margin, 24, circuit_.cell_name(), "h");
    picture_.text(ring_margin, 41, summary(), "g");
    picture_.open("g", fmt::format("transform=\"translate({} {})\"", draw::number(ring_margin - left_),
                                   draw::number(ring_head - top_)));
    add_steps();
    add_boxes();
    picture_.close("g");
    const double legend = add_legend(height + 4);
    return picture_.finish(
        std::max({width, legend, ring_margin * 2 + draw::text_width(summary(), step_font)}), height + 24);
  }

 private:
  std::string summary() const {
    if (space_.stable.empty()) return "no stable state";
    return fmt::format("{} stable state{}, steps in which one input changes", space_.stable.size(),
                       space_.stable.size() == 1 ? "" : "s");
  }

  std::string describe() const {
    std::string text = summary() + ".";
    for (const Transition& step : space_.transitions) {
      if (!is_shown(step) || step.verdict == Verdict::settles) continue;
      text +=
          fmt::format(" From {} with {}: {}.", state_text(step.from), step_text(step), name_of(step.verdict));
    }
    return text;
  }

  std::string state_text(std::uint32_t state) const {
    return report::input_assignments(space_, circuit_, space_.stable[state].inputs, ~VectorIndex{0}) + " " +
           report::assignments(space_, circuit_, state, shown_nets());
  }
  std::vector<NetId> shown_nets() const {
    auto nets = report::shown_outputs(circuit_);
    return nets.empty() ? report::node_nets(circuit_) : nets;
  }
  std::string step_text(const Transition& step) const {
    return report::input_assignments(space_, circuit_, step.inputs,
                                     step.inputs ^ space_.stable[step.from].inputs);
  }
  bool is_shown(const Transition& step) const {
    return step.judged && std::popcount(step.inputs ^ space_.stable[step.from].inputs) == 1;
  }

  void add_style() {
    draw::StyleSheet& style = picture_.style();
    style.rule(".e", "fill:none;stroke-width:1.4");
    style.rule(".ed", "stroke-dasharray:10 3");
    style.rule(".ei", "stroke-width:2.4;stroke-dasharray:5 4");
    style.rule(".eo", "stroke-width:2.4;stroke-dasharray:1 4;stroke-linecap:round");
    style.colour(".e", "stroke", draw::Hue::ink);
    style.colour(".ed", "stroke", draw::Hue::blue);
    style.colour(".ei", "stroke", draw::Hue::vermillion);
    style.colour(".eo", "stroke", draw::Hue::purple);
    style.rule(".a", "stroke:none");
    style.colour(".a", "fill", draw::Hue::ink);
    style.colour(".a.ed", "fill", draw::Hue::blue);
    style.colour(".a.ei", "fill", draw::Hue::vermillion);
    style.colour(".a.eo", "fill", draw::Hue::purple);
    style.rule(".s", "stroke-width:1.4");
    style.colour(".s", "stroke", draw::Hue::ink);
    style.colour(".s", "fill", draw::Hue::panel);
    style.rule("text.h", "font-size:15px;font-weight:bold");
    style.rule("text.b", "font-size:11px;font-weight:bold");
    style.rule("text.p", "font-size:11px");
    style.rule("text.g", "font-size:10px");
    style.colour("text.g", "fill", draw::Hue::faint);
    style.rule("text.k", "font-size:10px;paint-order:stroke;stroke-width:3px");
    style.colour("text.k", "stroke", draw::Hue::paper);
  }

  void make_boxes() {
    std::vector<std::uint32_t> order(space_.stable.size());
    for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
    const auto gray = [&](std::uint32_t state) {  // place of the inputs in Gray order
      VectorIndex place = space_.stable[state].inputs;
      for (VectorIndex shift = place >> 1; shift != 0; shift >>= 1) place ^= shift;
      return place;
    };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return gray(a) < gray(b); });
    uncross(order);
    const std::vector<NetId> nets = shown_nets();
    for (const std::uint32_t state : order) {
      StateBox box;
      box.state = state;
      const std::string inputs =
          report::input_assignments(space_, circuit_, space_.stable[state].inputs, ~VectorIndex{0});
      box.lines.push_back(draw::text_width(inputs, state_font) < widest_inputs
                              ? inputs
                              : vector_text(space_.stable[state].inputs, space_.input_bits));
      if (nets.size() <= most_lines) {
        for (const NetId net : nets)
          box.lines.push_back(report::assignments(space_, circuit_, state, std::span(&net, 1)));
      } else {
        std::string bits;
        for (const NetId net : nets) bits += to_char(space_.value(circuit_, state, net));
        box.lines.push_back(bits);
      }
      for (const auto& line : box.lines) box.width = std::max(box.width, draw::text_width(line, state_font));
      box.width += 18;
      box.height = static_cast<double>(box.lines.size()) * state_line + 10;
      boxes_.push_back(std::move(box));
    }
    box_of_.resize(space_.stable.size());
    for (std::size_t i = 0; i < boxes_.size(); ++i) box_of_[boxes_[i].state] = i;
  }

  // Chords that cross when the states stand on a circle in this order.
  std::size_t crossings(const std::vector<std::uint32_t>& order) const {
    std::vector<std::size_t> place(order.size());
    for (std::size_t i = 0; i < order.size(); ++i) place[order[i]] = i;
    std::vector<std::pair<std::size_t, std::size_t>> chords;
    for (const Transition& step : space_.transitions) {
      if (!is_shown(step)) continue;
      for (const std::uint32_t to : step.to) chords.push_back(std::minmax(place[step.from], place[to]));
    }
    std::size_t count = 0;
    for (const auto& [a, b] : chords) {
      for (const auto& [c, d] : chords) count += a < c && c < b && b < d ? 1 : 0;
    }
    return count;
  }

  // Exchanges neighbours with equal inputs as long as that saves crossings.
  void uncross(std::vector<std::uint32_t>& order) const {
    std::size_t least = crossings(order);
    for (bool has_changed = true; has_changed;) {
      has_changed = false;
      for (std::size_t i = 0; i + 1 < order.size(); ++i) {
        if (space_.stable[order[i]].inputs != space_.stable[order[i + 1]].inputs) continue;
        std::swap(order[i], order[i + 1]);
        const std::size_t now = crossings(order);
        has_changed = has_changed || now < least;
        if (now >= least) std::swap(order[i], order[i + 1]);
        least = std::min(least, now);
      }
    }
  }

  VectorIndex inputs_of(const StateBox& box) const { return space_.stable[box.state].inputs; }

  void place_boxes() {
    std::vector<double> room;
    double around = 0;
    for (std::size_t i = 0; i < boxes_.size(); ++i) {
      const bool ends_group = inputs_of(boxes_[i]) != inputs_of(boxes_[(i + 1) % boxes_.size()]);
      room.push_back(std::hypot(boxes_[i].width, boxes_[i].height) + (ends_group ? group_gap : state_gap));
      around += room.back();
    }
    const double radius = std::max(least_radius, around / (2 * std::numbers::pi));
    double way = 0;
    for (std::size_t i = 0; i < boxes_.size(); ++i) {
      StateBox& box = boxes_[i];
      // The first group begins at the left of the top.
      box.angle = (way + room[i] / 2) / around * 2 * std::numbers::pi - std::numbers::pi * 0.75;
      way += room[i];
      box.at = {radius * std::cos(box.angle), radius * std::sin(box.angle)};
      grow(box.at.x - box.width / 2, box.at.y - box.height / 2);
      grow(box.at.x + box.width / 2, box.at.y + box.height / 2);
    }
  }

  void grow(double x, double y) {
    left_ = std::min(left_, x);
    right_ = std::max(right_, x);
    top_ = std::min(top_, y);
    bottom_ = std::max(bottom_, y);
  }

  void add_boxes() {
    for (const StateBox& box : boxes_) {
      const double x = box.at.x - box.width / 2, y = box.at.y - box.height / 2;
      picture_.element(
          "rect",
          fmt::format(R"(class="s" x="{}" y="{}" width="{}" height="{}" rx="6")", draw::number(x),
                      draw::number(y), draw::number(box.width), draw::number(box.height)),
          state_text(box.state));
      for (std::size_t i = 0; i < box.lines.size(); ++i) {
        picture_.text(box.at.x, y + 16 + static_cast<double>(i) * state_line, box.lines[i],
                      i == 0 ? "g" : "p", draw::Picture::Align::middle);
      }
    }
  }

  void add_steps() {
    std::vector<const Transition*> drawn;  // of each curve
    std::vector<draw::RingStep> ways;
    for (const Transition& step : space_.transitions) {
      if (!is_shown(step)) continue;
      for (const std::uint32_t to : step.to) {
        drawn.push_back(&step);
        ways.push_back({box_of_[step.from], box_of_[to]});
      }
      if (step.to.empty()) add_endless(boxes_[box_of_[step.from]], step);
    }
    curves_ = draw::ring_curves({boxes_.begin(), boxes_.end()}, ways);
    for (std::size_t i = 0; i < curves_.size(); ++i) {
      add_curve(curves_[i], *drawn[i]);
      if (drawn[i]->may_cycle) add_endless_mark(free_spot(curves_[i]), *drawn[i]);
    }
    if (boxes_.size() > most_labelled_states) return;
    for (std::size_t i = 0; i < curves_.size(); ++i) {
      if (i == 0 || drawn[i] != drawn[i - 1]) add_label(curves_[i], step_text(*drawn[i]));
    }
  }

  std::size_t passing(const draw::RingBox& room) const {
    return static_cast<std::size_t>(std::count_if(curves_.begin(), curves_.end(),
                                                  [&](const Curve& curve) { return curve.passes(room); }));
  }

  // For a mark, somewhat behind the middle.
  RingPoint free_spot(const Curve& curve) const {
    constexpr std::array<double, 5> spots = {0.6, 0.66, 0.54, 0.72, 0.48};
    const auto passing_at = [&](double t) { return passing({14, 14, curve.point(t)}); };
    return curve.point(*std::min_element(spots.begin(), spots.end(),
                                         [&](double a, double b) { return passing_at(a) < passing_at(b); }));
  }

  // Where it is free on its curve and fewest others pass, rather near the beginning; else it is left out: the
  // states tell it too.
  void add_label(const Curve& curve, const std::string& text) {
    StateBox best;
    std::size_t best_passing = ~std::size_t{0};
    for (const double t : {0.3, 0.36, 0.24, 0.42, 0.48, 0.18, 0.54, 0.6}) {
      StateBox room;
      room.at = curve.point(t);
      room.width = draw::text_width(text, step_font);
      room.height = step_font + 2;
      const auto is_over = [&](const StateBox& box) {
        return std::abs(room.at.x - box.at.x) < (box.width + room.width) / 2 + 2 &&
               std::abs(room.at.y - box.at.y) < (box.height + room.height) / 2 + 2;
      };
      if (std::any_of(boxes_.begin(), boxes_.end(), is_over)) continue;
      if (std::any_of(taken_.begin(), taken_.end(), is_over)) continue;
      const std::size_t others = passing(room);
      if (others >= best_passing) continue;
      best_passing = others;
      best = room;
    }
    if (best.width == 0) return;
    picture_.text(best.at.x, best.at.y + 3, text, "k", draw::Picture::Align::middle);
    taken_.push_back(std::move(best));
  }

  void add_curve(const Curve& curve, const Transition& step) {
    const double dx = curve.to.x - curve.bend.x, dy = curve.to.y - curve.bend.y,
                 length = std::max(0.1, std::hypot(dx, dy));
    const double ux = dx / length, uy = dy / length;
    const RingPoint base{curve.to.x - 8 * ux, curve.to.y - 8 * uy};
    const auto text = [](double x, double y) { return draw::number(x) + " " + draw::number(y); };
    picture_.element(
        "path",
        fmt::format(R"(class="{}" d="M{}Q{} {}")", class_of(step.verdict), text(curve.from.x, curve.from.y),
                    text(curve.bend.x, curve.bend.y), text(base.x, base.y)),
        fmt::format("{}: {}", step_text(step), name_of(step.verdict)));
    std::string arrow(class_of(step.verdict));
    arrow[0] = 'a';
    picture_.element(
        "path", fmt::format(R"(class="{}" d="M{}L{}L{}Z")", arrow, text(curve.to.x, curve.to.y),
                            text(base.x - 4 * uy, base.y + 4 * ux), text(base.x + 4 * uy, base.y - 4 * ux)));
  }

  // A step that leads nowhere: towards the middle, to a mark.
  void add_endless(const StateBox& from, const Transition& step) {
    const double length = std::max(1.0, std::hypot(from.at.x, from.at.y));
    const double reach = std::hypot(from.width, from.height) / 2 + 26;
    // Steps that start in the same state fan out.
    const double turn = 0.5 * (std::countr_zero(step.inputs ^ space_.stable[step.from].inputs) % 3 - 1);
    const double ux = -from.at.x / length, uy = -from.at.y / length;
    const RingPoint end{from.at.x + reach * (ux * std::cos(turn) - uy * std::sin(turn)),
                        from.at.y + reach * (ux * std::sin(turn) + uy * std::cos(turn))};
    picture_.element(
        "path",
        fmt::format(R"(class="{}" d="M{} {}L{} {}")", class_of(step.verdict), draw::number(from.at.x),
                    draw::number(from.at.y), draw::number(end.x), draw::number(end.y)),
        fmt::format("{}: {}", step_text(step), name_of(step.verdict)));
    add_endless_mark(end, step);
  }

  void add_endless_mark(RingPoint at, const Transition& step) {
    StateBox room;
    room.at = at;
    room.width = room.height = 14;
    taken_.push_back(std::move(room));
    picture_.element(
        "circle", fmt::format(R"(class="s" cx="{}" cy="{}" r="7")", draw::number(at.x), draw::number(at.y)),
        fmt::format("{}: may go on for ever", step_text(step)));
    picture_.text(at.x, at.y + 4, "~", "p", draw::Picture::Align::middle);
  }

  double add_legend(double y) {
    double x = ring_margin;
    const auto entry = [&](std::string_view text) {
      picture_.text(x + 42, y + 4, text, "p");
      x += 42 + draw::text_width(text, 11) + 16;
    };
    for (const Verdict verdict :
         {Verdict::settles, Verdict::delay_dependent, Verdict::indeterminate, Verdict::oscillation}) {
      const bool is_used =
          std::any_of(space_.transitions.begin(), space_.transitions.end(),
                      [&](const Transition& step) { return is_shown(step) && step.verdict == verdict; });
      if (!is_used) continue;
      picture_.element("path", fmt::format(R"(class="{}" d="M{} {}h36")", class_of(verdict), draw::number(x),
                                           draw::number(y)));
      entry(name_of(verdict));
    }
    const bool hangs = std::any_of(space_.transitions.begin(), space_.transitions.end(),
                                   [&](const Transition& step) { return is_shown(step) && step.may_cycle; });
    if (hangs) {
      picture_.element(
          "circle", fmt::format(R"(class="s" cx="{}" cy="{}" r="7")", draw::number(x + 28), draw::number(y)));
      picture_.text(x + 28, y + 4, "~", "p", draw::Picture::Align::middle);
      entry("may go on for ever");
    }
    return x + ring_margin;
  }

  const StateSpace& space_;
  const Circuit& circuit_;
  draw::Picture picture_;
  std::vector<StateBox> boxes_;  // in the order of the ring
  std::vector<std::size_t> box_of_;
  std::vector<StateBox> taken_;  // room of labels and marks
  std::vector<Curve> curves_;    // of all steps
  double left_ = 0, right_ = 0, top_ = 0, bottom_ = 0;
};

}  // namespace

StateGraph draw_state_graph(const StateSpace& space, const Circuit& circuit, std::size_t state_limit) {
  StateGraph result;
  if (space.stable.size() <= state_limit && space.all_listed) {
    result.svg = RingPicture(space, circuit).make();
    return result;
  }
  result.error = space.all_listed
                     ? fmt::format("{} stable states are too many for one picture, up to {} are drawn",
                                   space.stable.size(), state_limit)
                     : "the stable states are too many to be listed, and so to be drawn";
  result.hint = "--set holds inputs at a value; 'settle states' lists states and steps as text";
  return result;
}

}  // namespace settle
