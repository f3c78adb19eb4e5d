// Simulation time: 64-bit ticks, never floating point.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "settle/netlist.h"

namespace settle {

using Time = std::uint64_t;
inline constexpr Time end_of_time = std::numeric_limits<Time>::max();

/// `by` after `now`, at most the end of time.
constexpr Time later(Time now, Time by) { return by > end_of_time - now ? end_of_time : now + by; }

/// A duration as written: a number and its unit (none: ticks).
struct Duration {
  std::uint64_t count = 0;
  TimeUnit unit = TimeUnit::none;
};

/// "", "fs", "ps", "ns", "us", "ms", "s".
std::string_view name_of(TimeUnit unit);
std::optional<TimeUnit> time_unit_from(std::string_view name);

/// `duration` in ticks of `tick`; a bare number is ticks. Nothing when it does not come out whole,
/// does not fit, or has a unit where ticks have none.
std::optional<Time> to_ticks(Duration duration, TimeUnit tick);

/// "17" or "17 ns"; ticks of 1 ps and less in nanoseconds where that reads better: "12.5 ns".
std::string to_text(Time time, TimeUnit tick);

}  // namespace settle
