// Values as written in stimuli: 0 1 x z, 0b10x1, 0xB1, 177.
#pragma once

#include <optional>
#include <string_view>

#include "settle/stimulus.h"
#include "text/text_error.h"

namespace settle {

/// Most significant bits of a value.
inline constexpr std::uint32_t value_bit_limit = 4096;

/// Reads `word` into `value` (bits, is_number, fills). Says what is wrong, if anything.
std::optional<TextError> read_value(std::string_view word, ValueLiteral& value);

}  // namespace settle
