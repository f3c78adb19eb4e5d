// What is wrong with a single word: the readers of names, values and times know no file.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace settle {

struct TextError {
  std::size_t at = 0;  ///< byte in the word
  std::string text;    ///< as in Diagnostic
  std::string hint;
};

/// A word of the input for use in a message: long ones are cut, at a character of UTF-8.
inline std::string shortened(std::string_view word) {
  constexpr std::size_t most = 48;
  if (word.size() <= most) return std::string(word);
  std::size_t end = most;
  while (end > 0 && (static_cast<unsigned char>(word[end]) & 0xc0u) == 0x80u) --end;
  return std::string(word.substr(0, end)) + "...";
}

}  // namespace settle
