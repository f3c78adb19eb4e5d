#include "settle/product_text.h"

#include <fmt/format.h>

#include <vector>

namespace settle {
namespace {

struct Like {
  std::uint64_t groups = 0;
  BigCount states;
  bool exact = true;
};

}  // namespace

std::string product_text(const StableProduct& product) {
  const bool pairs = product.free_inputs > 0;
  const auto total = product.total.small();
  if (total == 0u && product.exact) {
    return pairs ? "no stable state, whatever the inputs" : "no stable state";
  }
  std::string text = product.exact ? "" : "at least ";
  text += product.total.text();
  if (pairs) {
    text += total == 1u ? " pair of inputs and stable state" : " pairs of inputs and stable state";
  } else {
    text += total == 1u ? " stable state" : " stable states";
  }
  std::vector<Like> likes;
  std::uint64_t groups = 0;
  for (const StableGroup& group : product.groups) {
    if (group.exact && group.states == BigCount(1)) continue;
    ++groups;
    std::size_t i = 0;
    while (i < likes.size() && !(likes[i].states == group.states && likes[i].exact == group.exact)) ++i;
    if (i == likes.size()) likes.push_back({0, group.states, group.exact});
    ++likes[i].groups;
  }
  // Inputs tie loops together, and some of the groups are inputs: no talk of loops then.
  if (groups < 2 || product.total.is_zero()) return text;
  const std::string noun = pairs ? "independent part" : "independent loop";
  for (std::size_t i = 0; i < likes.size(); ++i) {
    text += fmt::format("{}{}{} of {}{}{}", i == 0 ? " = " : ", ", likes[i].groups,
                        i == 0 ? fmt::format(" {}{}", noun, likes[i].groups > 1 ? "s" : "") : "",
                        likes[i].exact ? "" : "at least ", likes[i].states.text(),
                        likes[i].groups > 1 ? " each" : "");
  }
  return text;
}

}  // namespace settle
