#include "text/utf8.h"

namespace settle {

Utf8Character decode_utf8(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned first = byte(0);
  if (first < 0x80) return {first, 1, true};
  std::size_t length = 0;
  char32_t code = 0;
  char32_t least = 0;
  if (first >= 0xc2 && first < 0xe0) {
    length = 2, code = first & 0x1fu, least = 0x80;
  } else if (first >= 0xe0 && first < 0xf0) {
    length = 3, code = first & 0x0fu, least = 0x800;
  } else if (first >= 0xf0 && first < 0xf5) {
    length = 4, code = first & 0x07u, least = 0x10000;
  } else {
    return {first, 1, false};
  }
  if (text.size() < length) return {first, 1, false};
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xc0u) != 0x80u) return {first, 1, false};
    code = (code << 6) | (byte(i) & 0x3fu);
  }
  const bool is_surrogate = code >= 0xd800 && code < 0xe000;
  if (code < least || is_surrogate || code > 0x10ffff) return {first, 1, false};
  return {code, length, true};
}

}  // namespace settle
