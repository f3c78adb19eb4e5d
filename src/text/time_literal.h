// Whole numbers and times as written: 20, 20ns, 20 ns.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "settle/time.h"
#include "text/text_error.h"

namespace settle {

/// Reads decimal digits into `count`; what they count is named in messages ("number of edges").
std::optional<TextError> read_count(std::string_view word, std::string_view what, std::uint64_t& count);

/// Reads digits with or without a unit behind them. `next_word` is the word after that, which may
/// be the unit; `took_next` says whether it was.
std::optional<TextError> read_duration(std::string_view word, std::string_view next_word, Duration& duration,
                                       bool& took_next);

/// Says what is wrong with a word that was certainly meant as a unit: NS, µs.
std::optional<TextError> misspelt_unit(std::string_view word);

/// Is `a` longer than `b`? Nothing when only one of them has a unit.
std::optional<bool> is_longer(Duration a, Duration b);

}  // namespace settle
