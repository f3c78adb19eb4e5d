// Which intervals a timing diagram shows the length of.
#pragma once

#include <span>
#include <vector>

#include "settle/time.h"

namespace settle::draw {

struct Interval {
  Time begin = 0, end = 0;
  bool operator==(const Interval&) const = default;
};

/// From each change of one signal to the first change of the other after it, unless the first one changes
/// again before. With the same signal twice: from each change to the next. Both lists ascend. Linear.
std::vector<Interval> measured_intervals(std::span<const Time> from, std::span<const Time> to);

}  // namespace settle::draw
