// Walks over the values of a JSON text and says what does not belong there.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "formats/json_nodes.h"

namespace settle {

/// For readers of one kind of document to derive from. Unknown members are errors, so that a misspelt one
/// is not lost.
class JsonWalk {
 protected:
  JsonWalk(std::uint32_t file, std::vector<JsonNode> nodes, Diagnostics& diagnostics)
      : file_(file), nodes_(std::move(nodes)), diagnostics_(diagnostics) {}

  std::uint32_t index_of(const JsonNode& node) const { return static_cast<std::uint32_t>(&node - nodes_.data()); }

  /// Reports an error at a node and gives false.
  bool fail(const JsonNode& node, std::string text, std::string hint = {}) {
    diagnostics_.error({file_, node.offset}, std::move(text), std::move(hint));
    return false;
  }

  /// Visits the items of a value, each by its node number.
  template <typename Visit>
  void for_items(std::uint32_t parent, const Visit& visit) {
    for (std::uint32_t i = parent + 1; i < nodes_[parent].end && !diagnostics_.is_full(); i = nodes_[i].end) visit(i);
  }

  /// Visits the members of an object that are called so; others and repeated ones are errors.
  template <std::size_t N, typename Visit>
  void for_members(std::uint32_t parent, const char* const (&names)[N], const Visit& visit) {
    std::array<bool, N> seen{};
    for_items(parent, [&](std::uint32_t i) {
      for (std::size_t n = 0; n < N; ++n) {
        if (nodes_[i].key != names[n]) continue;
        if (seen[n]) fail(nodes_[i], fmt::format("\"{}\" again", names[n]));
        seen[n] = true;
        return visit(i);
      }
      std::array<std::string_view, N> known;
      for (std::size_t n = 0; n < N; ++n) known[n] = names[n];
      const auto nearest = nearest_name(nodes_[i].key, known);
      fail(nodes_[i], fmt::format("\"{}\" is no member that belongs here", nodes_[i].key),
           nearest.empty() ? "" : fmt::format("did you mean \"{}\"?", nearest));
    });
  }

  bool expect(const JsonNode& node, JsonNode::Kind kind, std::string_view what) {
    if (node.kind == kind) return true;
    return fail(node, fmt::format("\"{}\" must be {}", node.key, what));
  }

  std::uint32_t file_;
  std::vector<JsonNode> nodes_;
  Diagnostics& diagnostics_;
};

}  // namespace settle
