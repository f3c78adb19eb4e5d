// One field of comma-separated values.
#pragma once

#include <string>
#include <string_view>

namespace settle::report {

/// Appends a field, in quotes where it needs them (RFC 4180, section 2, rules 5 to 7).
inline void append_csv_field(std::string& out, std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
    out += text;
    return;
  }
  out += '"';
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

}  // namespace settle::report
