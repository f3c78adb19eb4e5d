#include "text/value_literal.h"

#include <fmt/format.h>

#include <algorithm>

#include "text/characters.h"

namespace settle {
namespace {

constexpr std::string_view forms = "values are 0, 1, x, z, binary 0b1x0z, hexadecimal 0xB1 or decimal 177";

TextError too_long(std::size_t bits) {
  return {0, fmt::format("this value has {} bits, and {} is the limit", bits, value_bit_limit), {}};
}

void strip_leading_zeros(std::string& bits) {
  bits.erase(0, std::min(bits.find_first_not_of('0'), bits.size() - 1));
}

/// `word` is 0b and digits.
std::optional<TextError> read_binary(std::string_view word, ValueLiteral& value) {
  for (std::size_t i = 2; i < word.size(); ++i) {
    if (word[i] == '_') continue;
    const auto bit = value_from_char(word[i]);
    if (!bit) {
      return TextError{i, fmt::format("'{}' is not a binary digit", character_at(word, i)),
                       "the digits after 0b are 0, 1, x and z"};
    }
    value.bits.push_back(to_char(*bit));
  }
  return std::nullopt;
}

/// `word` is 0x and digits.
std::optional<TextError> read_hexadecimal(std::string_view word, ValueLiteral& value) {
  for (std::size_t i = 2; i < word.size(); ++i) {
    const char c = word[i];
    unsigned digit = 0;
    if (c == '_') continue;
    if (is_digit(c)) {
      digit = static_cast<unsigned>(c - '0');
    } else if (c >= 'a' && c <= 'f') {
      digit = static_cast<unsigned>(c - 'a') + 10;
    } else if (c >= 'A' && c <= 'F') {
      digit = static_cast<unsigned>(c - 'A') + 10;
    } else {
      return TextError{i, fmt::format("'{}' is not a hexadecimal digit", character_at(word, i)),
                       value_from_char(c) ? "write x and z digits in binary, after 0b" : std::string()};
    }
    for (int bit = 3; bit >= 0; --bit) value.bits.push_back((digit >> bit & 1u) != 0 ? '1' : '0');
  }
  strip_leading_zeros(value.bits);
  value.is_number = true;
  return std::nullopt;
}

/// Schoolbook conversion to base 2^32, nine digits at a time: quadratic, but the length is bounded.
std::optional<TextError> read_decimal(std::string_view word, ValueLiteral& value) {
  const std::string_view digits = word.substr(std::min(word.find_first_not_of('0'), word.size() - 1));
  constexpr std::size_t digit_limit = 1234;  // 2^4096 has 1234 digits
  if (digits.size() > digit_limit) {
    return TextError{0,
                     fmt::format("this value has {} digits: more than {} bits, which is the limit",
                                 digits.size(), value_bit_limit),
                     {}};
  }
  std::vector<std::uint32_t> words;  // least significant first
  for (std::size_t i = 0; i < digits.size();) {
    std::uint64_t carry = 0, scale = 1;
    for (int n = 0; n < 9 && i < digits.size(); ++n, ++i) {
      carry = carry * 10 + static_cast<unsigned>(digits[i] - '0');
      scale *= 10;
    }
    for (std::uint32_t& w : words) {
      carry += w * scale;
      w = static_cast<std::uint32_t>(carry);
      carry >>= 32;
    }
    if (carry != 0) words.push_back(static_cast<std::uint32_t>(carry));
  }
  for (std::size_t i = words.size(); i-- > 0;) {
    for (int bit = 31; bit >= 0; --bit) value.bits.push_back((words[i] >> bit & 1u) != 0 ? '1' : '0');
  }
  if (words.empty()) value.bits.push_back('0');
  strip_leading_zeros(value.bits);
  value.is_number = true;
  return std::nullopt;
}

TextError not_a_value(std::string_view word) {
  const auto is_logic = [](char c) { return value_from_char(c).has_value(); };
  if (word[0] == '-' || word[0] == '+') {
    return {
        0, fmt::format("'{}' is not a value: values have no sign", shortened(word)),
        word[0] == '-' ? "for a two's complement number on a bus write its bits, after 0b" : std::string()};
  }
  if (std::all_of(word.begin(), word.end(), is_logic)) {
    return {0, fmt::format("'{}' is not a value", shortened(word)),
            fmt::format("write binary digits as 0b{}", shortened(word))};
  }
  if (is_digit(word[0]) && word.find('_') != std::string_view::npos) {
    return {0, fmt::format("'{}' is not a value", shortened(word)),
            "'_' can separate digits after 0b and 0x only"};
  }
  if (is_digit(word[0]) && word.find('.') != std::string_view::npos) {
    return {0, fmt::format("'{}' is not a value: nets have no fractions", shortened(word)),
            std::string(forms)};
  }
  return {0, fmt::format("'{}' is not a value", shortened(word)), std::string(forms)};
}

}  // namespace

std::optional<TextError> read_value(std::string_view word, ValueLiteral& value) {
  value.bits.clear();
  value.is_number = value.fills = false;
  if (word.size() == 1 && value_from_char(word[0])) {
    value.bits.push_back(to_char(*value_from_char(word[0])));
    value.fills = value.bits[0] == 'x' || value.bits[0] == 'z';
    return std::nullopt;
  }
  const bool binary = word.starts_with("0b") || word.starts_with("0B");
  const bool hexadecimal = word.starts_with("0x") || word.starts_with("0X");
  std::optional<TextError> error;
  if (binary || hexadecimal) {
    if (word.size() == 2) {
      return TextError{0, fmt::format("'{}' has no digits", shortened(word)),
                       hexadecimal ? "for bits 0 and x write 0b0x" : std::string()};
    }
    if (word[2] == '_' || word.back() == '_') {
      return TextError{word[2] == '_' ? 2 : word.size() - 1, "'_' stands between two digits only", {}};
    }
    error = binary ? read_binary(word, value) : read_hexadecimal(word, value);
  } else if (std::all_of(word.begin(), word.end(), is_digit)) {
    error = read_decimal(word, value);
  } else {
    error = not_a_value(word);
  }
  if (!error && significant_bits(value) > value_bit_limit) error = too_long(significant_bits(value));
  if (error) value.bits.clear();
  return error;
}

std::uint32_t significant_bits(const ValueLiteral& value) {
  const std::size_t first = std::min(value.bits.find_first_not_of('0'), value.bits.size());
  return std::max(static_cast<std::uint32_t>(value.bits.size() - first), 1u);
}

std::optional<std::string> fitted(const ValueLiteral& value, std::uint32_t width) {
  if (value.fills) return std::string(width, value.bits[0]);
  const std::string& bits = value.bits;
  if (bits.size() <= width) return std::string(width - bits.size(), '0') + bits;
  const std::size_t extra = bits.size() - width;
  if (std::any_of(bits.begin(), bits.begin() + static_cast<std::ptrdiff_t>(extra),
                  [](char c) { return c != '0'; })) {
    return std::nullopt;
  }
  return bits.substr(extra);
}

}  // namespace settle
