// The words that the value of an option may be, as the parser of options knows them.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace settle::cli {

/// "TEXT:{json,text}" -> json, text.
inline std::vector<std::string> choices_of(const CLI::Option& option) {
  const std::string type = option.get_type_name();
  const std::size_t open = type.find('{');
  const std::size_t close = type.find('}', open);
  if (open == std::string::npos || close == std::string::npos) return {};
  return CLI::detail::split(type.substr(open + 1, close - open - 1), ',');
}

inline std::string joined_choices(const std::vector<std::string>& choices) {
  return fmt::format("{}", fmt::join(choices, "|"));
}

}  // namespace settle::cli
