// Text for pages in Markdown.
#pragma once

#include <string>
#include <string_view>

namespace settle::report {

/// Signs with a meaning in Markdown get a backslash.
inline std::string escape_markdown(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("|\\*_`[]^<>").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

}  // namespace settle::report
