// Names of nets as written in stimuli: enter, route[7:4], bit[3].keep.occupied.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "settle/stimulus.h"
#include "text/text_error.h"

namespace settle {

/// Says what is wrong with a net name, if anything.
std::optional<TextError> check_net_name(std::string_view name);

/// A good name without its last select, and the bits that this selects (all: the whole net).
struct NetBits {
  std::string_view base;
  std::uint32_t low = 0;
  std::uint32_t high = 0xffffffffu;
};
NetBits split_select(std::string_view name);

/// Two assignments that share a bit, the later one as early as possible.
struct Overlap {
  std::size_t earlier = 0, later = 0;
};
std::optional<Overlap> first_overlap(std::span<const Assignment> assignments);

}  // namespace settle
