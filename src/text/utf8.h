// UTF-8 (RFC 3629), one character at a time.
#pragma once

#include <cstddef>
#include <string_view>

namespace settle {

struct Utf8Character {
  char32_t code = 0;
  std::size_t length = 1;  ///< bytes; 1 for a byte that is not valid
  bool is_valid = false;
};

/// The first character of a text that is not empty. Overlong forms, surrogates and codes above
/// U+10FFFF are not valid.
Utf8Character decode_utf8(std::string_view text);

}  // namespace settle
