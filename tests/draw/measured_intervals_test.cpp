#include "draw/measured_intervals.h"

#include "support/catch.h"

using namespace settle;

namespace {

using Intervals = std::vector<draw::Interval>;

Intervals measured(const std::vector<Time>& from, const std::vector<Time>& to) {
  return draw::measured_intervals(from, to);
}

}  // namespace

TEST_CASE("From each change to the next one of the other signal") {
  CHECK(measured({1, 10}, {3, 4, 13}) == Intervals{{1, 3}, {10, 13}});
  CHECK(measured({}, {3}) == Intervals{});
  CHECK(measured({5}, {5}) == Intervals{});  // at the same time is not after
}

TEST_CASE("A change that another one of the same signal follows before is no begin") {
  CHECK(measured({1, 2, 10}, {4, 5}) == Intervals{{2, 4}});
  CHECK(measured({1, 3}, {3, 7}) == Intervals{{1, 3}, {3, 7}});
}

TEST_CASE("A signal measured against itself shows how long it keeps its values") {
  CHECK(measured({2, 5, 9}, {2, 5, 9}) == Intervals{{2, 5}, {5, 9}});
}
