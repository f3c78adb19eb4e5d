#include "text/time_literal.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <string>

#include "text/characters.h"
#include "text/letter_case.h"

namespace settle {
namespace {

constexpr std::string_view units = "units are fs, ps, ns, us, ms and s";

std::string_view leading_digits(std::string_view word) {
  std::size_t n = 0;
  while (n < word.size() && is_digit(word[n])) ++n;
  return word.substr(0, n);
}

std::optional<std::uint64_t> number_from(std::string_view digits) {
  std::uint64_t number = 0;
  for (const char c : digits) {
    const auto digit = static_cast<std::uint64_t>(c - '0');
    if (number > (std::numeric_limits<std::uint64_t>::max() - digit) / 10) return std::nullopt;
    number = number * 10 + digit;
  }
  return number;
}

TextError too_large(std::string_view word) {
  return {0,
          fmt::format("'{}' is too large: {} is the most", shortened(word),
                      std::numeric_limits<std::uint64_t>::max()),
          {}};
}

/// For `2.5 ns`: "write 2500 ps". Only when that comes out whole in the next finer unit.
std::string finer_hint(std::string_view whole, std::string_view fraction, std::string_view unit_word) {
  const auto unit = time_unit_from(unit_word);
  if (!unit || *unit == TimeUnit::none || *unit == TimeUnit::fs || fraction.size() > 3 || whole.size() > 16) {
    return "times are whole numbers; use a finer unit";
  }
  std::string digits = fmt::format("{}{:0<3}", whole, fraction);
  digits.erase(0, std::min(digits.find_first_not_of('0'), digits.size() - 1));
  return fmt::format("use a finer unit: {} {}", digits,
                     name_of(static_cast<TimeUnit>(static_cast<int>(*unit) - 1)));
}

/// U+00B5 or U+03BC, and s.
bool is_micro(std::string_view unit) { return unit == "\xc2\xb5s" || unit == "\xce\xbcs"; }

TextError bad_unit(std::size_t at, std::string_view unit) {
  std::string hint(units);
  if (is_micro(unit)) {
    hint = "write 'us' for microseconds";
  } else if (const std::string lower = in_lower_case(unit); time_unit_from(lower)) {
    hint = fmt::format("did you mean '{}'?", lower);
  }
  return {at, fmt::format("'{}' is not a unit of time", shortened(unit)), hint};
}

}  // namespace

std::optional<TextError> read_count(std::string_view word, std::string_view what, std::uint64_t& count) {
  if (leading_digits(word).size() != word.size()) {
    return TextError{0, fmt::format("the {} must be written in digits, not '{}'", what, shortened(word)), {}};
  }
  const auto number = number_from(word);
  if (!number) return too_large(word);
  count = *number;
  return std::nullopt;
}

std::optional<TextError> read_duration(std::string_view word, std::string_view next_word, Duration& duration,
                                       bool& took_next) {
  took_next = false;
  const std::string_view digits = leading_digits(word);
  const std::string_view rest = word.substr(digits.size());
  if (digits.empty()) {
    if (word.size() > 1 && word[0] == '-' && is_digit(word[1])) {
      return TextError{0, fmt::format("'{}' is negative", shortened(word)),
                       "time goes forward only: write 0 or more"};
    }
    return TextError{0, fmt::format("'{}' is not a time", shortened(word)),
                     "a time is a whole number, with or without a unit: 20 or 20 ns"};
  }
  if (!rest.empty() && rest[0] == '.') {
    const std::string_view fraction = leading_digits(rest.substr(1));
    const std::string_view unit = rest.substr(1 + fraction.size());
    return TextError{0, fmt::format("'{}' is not a whole number", shortened(word)),
                     finer_hint(digits, fraction, unit.empty() ? next_word : unit)};
  }
  const auto number = number_from(digits);
  if (!number) return too_large(digits);
  duration = {*number, TimeUnit::none};
  if (!rest.empty()) {
    const auto unit = time_unit_from(rest);
    if (!unit) return bad_unit(digits.size(), rest);
    duration.unit = *unit;
  } else if (const auto unit = time_unit_from(next_word); !next_word.empty() && unit) {
    duration.unit = *unit;
    took_next = true;
  }
  return std::nullopt;
}

std::optional<TextError> misspelt_unit(std::string_view word) {
  if (time_unit_from(word)) return std::nullopt;
  if (is_micro(word) || time_unit_from(in_lower_case(word))) return bad_unit(0, word);
  return std::nullopt;
}

// Neighbouring units differ by a factor of 1000. Dividing the count in the finer unit, never
// multiplying the other one, keeps it within 64 bits.
std::optional<bool> is_longer(Duration a, Duration b) {
  if ((a.unit == TimeUnit::none) != (b.unit == TimeUnit::none)) return std::nullopt;
  while (a.unit < b.unit) {  // a in whole units of b, rounded up: a > n if and only if that is > n
    a.count = a.count / 1000 + (a.count % 1000 != 0 ? 1 : 0);
    a.unit = static_cast<TimeUnit>(static_cast<int>(a.unit) + 1);
  }
  while (b.unit < a.unit) {  // b rounded down: n > b if and only if n > that
    b.count /= 1000;
    b.unit = static_cast<TimeUnit>(static_cast<int>(b.unit) + 1);
  }
  return a.count > b.count;
}

}  // namespace settle
