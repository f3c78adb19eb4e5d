#include "text/visible_text.h"

#include <fmt/format.h>

namespace settle {

std::size_t append_visible(std::string& out, const Utf8Character& character, std::string_view bytes) {
  if (!character.is_valid) {
    out += fmt::format("\\x{:02x}", static_cast<unsigned char>(bytes[0]));
    return 4;
  }
  const char32_t code = character.code;
  if (code == '\t') {
    out += ' ';
    return 1;
  }
  if (code < 0x20 || code == 0x7f) {
    out += fmt::format("\\x{:02x}", static_cast<unsigned>(code));
    return 4;
  }
  // C1 controls, line separators and the marks that turn the writing direction.
  const bool is_hidden = (code >= 0x80 && code < 0xa0) || (code >= 0x200b && code <= 0x200f) ||
                         (code >= 0x2028 && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069) ||
                         code == 0xfeff;
  if (is_hidden) {
    out += fmt::format("\\u{:04x}", static_cast<unsigned>(code));
    return 6;
  }
  out += bytes;
  return 1;
}

std::string visible_text(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  while (!text.empty()) {
    const Utf8Character character = decode_utf8(text);
    append_visible(out, character, text.substr(0, character.length));
    text.remove_prefix(character.length);
  }
  return out;
}

}  // namespace settle
