// Letters of ASCII in lower case, whatever the locale.
#pragma once

#include <string>
#include <string_view>

namespace settle {

inline std::string in_lower_case(std::string_view word) {
  std::string lower(word);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return lower;
}

}  // namespace settle
