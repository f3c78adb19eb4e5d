// Times and their units.
#include "settle/time.h"

#include <fmt/format.h>

#include <array>
#include <cstddef>

namespace settle {
namespace {

constexpr std::array<std::string_view, 7> unit_names = {"", "fs", "ps", "ns", "us", "ms", "s"};

}  // namespace

std::string_view name_of(TimeUnit unit) { return unit_names[static_cast<std::size_t>(unit)]; }

std::optional<TimeUnit> time_unit_from(std::string_view name) {
  for (std::size_t i = 1; i < unit_names.size(); ++i) {
    if (unit_names[i] == name) return static_cast<TimeUnit>(i);
  }
  return {};
}

std::optional<Time> to_ticks(Duration duration, TimeUnit tick) {
  if (duration.unit == TimeUnit::none || duration.unit == tick) return duration.count;
  if (tick == TimeUnit::none) return {};
  // Neighbouring units differ by a factor of a thousand.
  Time count = duration.count;
  int steps = static_cast<int>(duration.unit) - static_cast<int>(tick);
  for (; steps > 0; --steps) {
    if (count > end_of_time / 1000) return {};
    count *= 1000;
  }
  for (; steps < 0; ++steps) {
    if (count % 1000 != 0) return {};
    count /= 1000;
  }
  return count;
}

std::string to_text(Time time, TimeUnit tick) {
  // Gates are some nanoseconds slow: 12.5 ns reads better than 12500 ps.
  if (tick == TimeUnit::fs && time % 1000 == 0) return to_text(time / 1000, TimeUnit::ps);
  if (tick == TimeUnit::ps && (time >= 1000 || time == 0)) {
    std::string decimals = fmt::format(".{:03}", time % 1000);
    decimals.erase(decimals.find_last_not_of('0') + 1);
    return fmt::format("{}{} ns", time / 1000, decimals == "." ? "" : decimals);
  }
  return tick == TimeUnit::none ? fmt::format("{}", time) : fmt::format("{} {}", time, name_of(tick));
}

}  // namespace settle
