// Nets that readers of data sheets take for the supply or the ground, though the language has 0 and 1 for
// these.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "text/letter_case.h"

namespace settle {

/// '0' for gnd, vss, ground; '1' for vcc, vdd, supply; letter case ignored. Nothing for other names.
inline std::optional<char> level_of_power_name(std::string_view name) {
  constexpr std::array<std::string_view, 3> grounds = {"gnd", "vss", "ground"},
                                            supplies = {"vcc", "vdd", "supply"};
  const std::string lower = in_lower_case(name);
  if (std::find(grounds.begin(), grounds.end(), lower) != grounds.end()) return '0';
  if (std::find(supplies.begin(), supplies.end(), lower) != supplies.end()) return '1';
  return {};
}

}  // namespace settle
