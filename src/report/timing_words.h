// Times and edges in words, for texts about timing.
#pragma once

#include <cstdint>
#include <string>

#include "settle/timing.h"

namespace settle::report {

/// "3", "13.5 ns", "-2 ns": ticks of a circuit; picoseconds are shown as nanoseconds.
std::string ticks_text(std::int64_t ticks, TimeUnit unit);

/// "c rises", "c falls".
std::string edge_text(const NetEdge& edge);

/// "at 0", "3 before", "2 before to 1 after"; several joined by commas.
std::string offsets_text(const std::vector<OffsetRange>& ranges, TimeUnit unit);

/// "the high pulse of c", "setup of d = 1 before c falls": what a constraint is about.
std::string constraint_text(const TimingConstraint& constraint);

/// "unit delays", "typical delays": as a headline says it.
std::string delays_text(DelayChoice delays);

}  // namespace settle::report
