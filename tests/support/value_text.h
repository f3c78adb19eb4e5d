// Values from short text: "01xz".
#pragma once

#include <string>
#include <vector>

#include "settle/value.h"

namespace settle::testing {

inline std::vector<Value> bits(const std::string& text) {
  std::vector<Value> result;
  for (const char c : text) result.push_back(*value_from_char(c));
  return result;
}

}  // namespace settle::testing
