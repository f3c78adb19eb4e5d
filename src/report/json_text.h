// JSON values as text, the same way in every document.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

namespace settle::report {

using Json = nlohmann::ordered_json;

/// `indent` -1: one line. What is not UTF-8 is replaced, never thrown at.
inline std::string dump(const Json& value, int indent = -1) {
  return value.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace settle::report
