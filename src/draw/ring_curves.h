// Curves between boxes that stand in a ring around the origin.
#pragma once

#include <cstddef>
#include <vector>

namespace settle::draw {

struct RingPoint {
  double x = 0, y = 0;
};

struct RingBox {
  double width = 0, height = 0;
  RingPoint at;  ///< middle

  bool holds(RingPoint spot, double margin) const;
};

struct Curve {  ///< quadratic
  RingPoint from, bend, to;
  RingPoint point(double t) const;
  /// Whether it runs through the box.
  bool passes(const RingBox& box) const;
};

/// From box to box, by index.
struct RingStep {
  std::size_t from = 0, to = 0;
};

/// A curve for each step, bent towards the middle of the ring; of two that lead back and forth each keeps to
/// its own side. Those that meet a box at the same side share its length.
std::vector<Curve> ring_curves(const std::vector<RingBox>& boxes, const std::vector<RingStep>& steps);

}  // namespace settle::draw
