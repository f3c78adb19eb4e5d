#include "draw/measured_intervals.h"

#include <algorithm>

namespace settle::draw {

std::vector<Interval> measured_intervals(std::span<const Time> from, std::span<const Time> to) {
  std::vector<Interval> found;
  for (std::size_t i = 0; i < from.size(); ++i) {
    const auto end = std::upper_bound(to.begin(), to.end(), from[i]);
    if (end == to.end()) break;
    if (i + 1 < from.size() && from[i + 1] < *end) continue;
    found.push_back({from[i], *end});
  }
  return found;
}

}  // namespace settle::draw
