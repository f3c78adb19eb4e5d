// Classes of characters in ASCII, whatever the locale.
#pragma once

#include <cstddef>
#include <string_view>

namespace settle {

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }
constexpr bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
constexpr bool starts_name(char c) { return is_letter(c) || c == '_'; }
constexpr bool continues_name(char c) { return starts_name(c) || is_digit(c); }
constexpr bool is_control(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; }

/// The whole UTF-8 character that starts at `at`, for messages.
constexpr std::string_view character_at(std::string_view text, std::size_t at) {
  std::size_t end = at + 1;
  while (end < text.size() && (static_cast<unsigned char>(text[end]) & 0xc0u) == 0x80u) ++end;
  return text.substr(at, end - at);
}

}  // namespace settle
