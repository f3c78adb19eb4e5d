// Where curves of a ring start and end: each takes the side of its box that faces its bend, and those at one
// side get equal shares of it in the order in which they come, so that no two ends meet. Cost: n log n for n
// steps.
#include "draw/ring_curves.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace settle::draw {
namespace {

constexpr double inward_pull = 0.72;  // of the bend towards the middle
constexpr double most_apart = 26.0;   // of curves back and forth, at their bends
constexpr double gap = 3.0;           // between a box and an end

struct CurveEnd {
  std::size_t curve = 0;
  bool is_start = false;
  double key = 0;  // along the side
};

struct Side {
  bool is_level = false;  // top or bottom
  double sign = 0;        // of the way outwards
};

Side side_of(const RingBox& box, RingPoint towards) {
  const double dx = towards.x - box.at.x, dy = towards.y - box.at.y;
  if (std::abs(dy) * box.width >= std::abs(dx) * box.height) return {true, dy < 0 ? -1.0 : 1.0};
  return {false, dx < 0 ? -1.0 : 1.0};
}

std::size_t number_of(const Side& side) { return (side.is_level ? 0u : 2u) + (side.sign < 0 ? 0u : 1u); }

// Where a ray from the middle towards the bend leaves: slanted rays come further out along the side.
double key_of(const RingBox& box, const Side& side, RingPoint bend) {
  const double dx = bend.x - box.at.x, dy = bend.y - box.at.y;
  const double along = side.is_level ? dx : dy, across = std::abs(side.is_level ? dy : dx);
  return along / std::max(across, 1.0);
}

RingPoint place(const RingBox& box, const Side& side, double share) {
  const double length = side.is_level ? box.width : box.height;
  // Rounded corners stay free, and few ends keep together in the middle.
  const double along = std::clamp((share - 0.5) * (length - 12), -length / 2 + 6, length / 2 - 6);
  const double out = side.sign * ((side.is_level ? box.height : box.width) / 2 + gap);
  return side.is_level ? RingPoint{box.at.x + along, box.at.y + out}
                       : RingPoint{box.at.x + out, box.at.y + along};
}

// Boxes stand around, so further in there is room.
void avoid_others(Curve& curve, const RingStep& step, const std::vector<RingBox>& boxes) {
  for (int tries = 0; tries < 8; ++tries) {
    bool is_free = true;
    for (std::size_t k = 0; k < boxes.size() && is_free; ++k)
      is_free = k == step.from || k == step.to || !curve.passes(boxes[k]);
    if (is_free) return;
    curve.bend = {curve.bend.x * 0.85, curve.bend.y * 0.85};
  }
}

}  // namespace

bool RingBox::holds(RingPoint spot, double margin) const {
  return std::abs(spot.x - at.x) < width / 2 + margin && std::abs(spot.y - at.y) < height / 2 + margin;
}

RingPoint Curve::point(double t) const {
  const double a = (1 - t) * (1 - t), b = 2 * t * (1 - t), c = t * t;
  return {a * from.x + b * bend.x + c * to.x, a * from.y + b * bend.y + c * to.y};
}

bool Curve::passes(const RingBox& box) const {
  constexpr int samples = 48;
  for (int i = 0; i <= samples; ++i) {
    if (box.holds(point(static_cast<double>(i) / samples), 1)) return true;
  }
  return false;
}

std::vector<Curve> ring_curves(const std::vector<RingBox>& boxes, const std::vector<RingStep>& steps) {
  std::vector<Curve> curves;
  std::vector<std::array<std::vector<CurveEnd>, 4>> sides(boxes.size());
  for (const RingStep& step : steps) {
    const RingBox &from = boxes[step.from], &to = boxes[step.to];
    const double dx = to.at.x - from.at.x, dy = to.at.y - from.at.y,
                 length = std::max(1.0, std::hypot(dx, dy));
    const double apart = std::min(most_apart, length * 0.16);
    const RingPoint bend{(from.at.x + to.at.x) / 2 * inward_pull - dy / length * apart,
                         (from.at.y + to.at.y) / 2 * inward_pull + dx / length * apart};
    for (const bool is_start : {true, false}) {
      const std::size_t index = is_start ? step.from : step.to;
      const Side side = side_of(boxes[index], bend);
      sides[index][number_of(side)].push_back({curves.size(), is_start, key_of(boxes[index], side, bend)});
    }
    curves.push_back({from.at, bend, to.at});
  }
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t number = 0; number < 4; ++number) {
      auto& ends = sides[i][number];
      std::stable_sort(ends.begin(), ends.end(),
                       [](const CurveEnd& a, const CurveEnd& b) { return a.key < b.key; });
      const Side side{number < 2, number % 2 == 0 ? -1.0 : 1.0};
      for (std::size_t k = 0; k < ends.size(); ++k) {
        const double share = (static_cast<double>(k) + 1) / (static_cast<double>(ends.size()) + 1);
        (ends[k].is_start ? curves[ends[k].curve].from : curves[ends[k].curve].to) =
            place(boxes[i], side, share);
      }
    }
  }
  for (std::size_t i = 0; i < curves.size(); ++i) avoid_others(curves[i], steps[i], boxes);
  return curves;
}

}  // namespace settle::draw
