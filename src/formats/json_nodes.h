// A JSON text as a flat array of values that know their places.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"

namespace settle {

struct JsonNode {
  enum class Kind : std::uint8_t { object, array, string, other };
  Kind kind = Kind::other;
  std::uint32_t offset = 0;       ///< of its first character, of a string the quote
  std::uint32_t end = 0;          ///< node number behind its last descendant
  std::uint32_t text_offset = 0;  ///< of what a string holds, in the text read, when it has no escapes
  bool is_plain = false;          ///< a string without escapes
  std::string key;                ///< when it is a member of an object
  std::string text;               ///< of a string; of other values as written
};

/// Nodes in the order of the text, parents first; the first is the whole. Empty after an error, which
/// is reported with its place. Nesting costs memory, no stack.
std::vector<JsonNode> read_json_nodes(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics);

}  // namespace settle
