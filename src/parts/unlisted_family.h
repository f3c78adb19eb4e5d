// A part in a family that the catalogue does not list for it: said once, in the same words everywhere.
#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "settle/catalogue.h"

namespace settle {

/// True when `family` is written, and is none of those that the catalogue knows the part in.
inline bool is_unlisted(const Part& part, std::string_view family) { return !family.empty() && !part.is_made_in(family); }

/// "'74AHC02': a 7402 is listed in the families LS, HC, HCT and AC, not in 'AHC'"
inline std::string unlisted_text(const Part& part, std::string_view written, std::string_view family) {
  std::string list;
  for (std::size_t i = 0; i < part.families.size(); ++i)
    list += (i == 0 ? "" : i + 1 == part.families.size() ? " and " : ", ") + part.families[i];
  return fmt::format("'{}': a {} is listed in {} {}, not in '{}'", written, part.number,
                     part.families.size() == 1 ? "family" : "the families", list, family);
}

inline constexpr std::string_view unlisted_hint =
    "its pins are taken for the same, its currents and delays are not known; look at its data sheet, or list it with --parts FILE";

}  // namespace settle
