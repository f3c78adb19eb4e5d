// Time scales and delays of IEEE Std 1364-2005 (clauses 19.8, 7.14) as delays of our gates.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

#include "formats/ieee1364_tree.h"
#include "settle/time.h"

namespace settle {

/// The unit in which delays count: so many of `unit`.
struct HdlTimeScale {
  TimeUnit unit = TimeUnit::none;
  std::uint64_t count = 1;  ///< 1, 10 or 100
  double steps = 1;         ///< of the precision in a unit: a power of ten
};

/// "1ns / 100ps". Nothing when this is no time scale: the precision must not be coarser than the unit.
std::optional<HdlTimeScale> parse_time_scale(std::string_view text);

/// To 1, to 0: minimum, typical, maximum of each, as written.
using HdlDelays = std::array<std::array<double, 3>, 2>;

/// Rounds the delays to the precision and writes them to the gate, in the coarsest unit in which all come
/// out whole. Returns what is wrong; empty: nothing.
std::string_view set_delays(HdlDelays delays, const HdlTimeScale& scale, std::uint32_t offset, HdlInstance& gate);

}  // namespace settle
