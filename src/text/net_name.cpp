#include "text/net_name.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>
#include <vector>

#include "text/characters.h"

namespace settle {
namespace {

/// Reads digits from `at` on, up to 2^32 - 1.
std::optional<TextError> check_index(std::string_view name, std::size_t& at) {
  const std::size_t first = at;
  std::uint64_t number = 0;
  for (; at < name.size() && is_digit(name[at]); ++at) {
    number = number * 10 + static_cast<unsigned>(name[at] - '0');
    if (number > 0xffffffffu) return TextError{first, "this bit number is too large", {}};
  }
  if (at == first) {
    return TextError{first, fmt::format("a bit number is missing in '{}'", shortened(name)),
                     "bits are written [3] or [7:4]"};
  }
  return std::nullopt;
}

/// Checks a select whose '[' is at `at`; `at` is then behind the ']'.
std::optional<TextError> check_select(std::string_view name, std::size_t& at) {
  const std::size_t open = at++;
  bool is_range = false;
  if (auto error = check_index(name, at)) return error;
  if (at < name.size() && name[at] == ':') {
    is_range = true;
    if (auto error = check_index(name, ++at)) return error;
  }
  if (at == name.size())
    return TextError{open, fmt::format("'[' is not closed in '{}'", shortened(name)), {}};
  if (name[at] != ']') {
    return TextError{at, fmt::format("'{}' is not possible in a bit number", character_at(name, at)),
                     "bits are written [3] or [7:4]"};
  }
  ++at;
  if (is_range && at != name.size()) {
    return TextError{
        open,
        fmt::format("a range of bits is possible at the end of a name only, not in '{}'", shortened(name)),
        {}};
  }
  return std::nullopt;
}

}  // namespace

std::optional<TextError> check_net_name(std::string_view name) {
  for (std::size_t at = 0;;) {
    if (at == name.size() || name[at] == '.') {
      return TextError{std::min(at, name.size() - 1),
                       fmt::format("a part of the name '{}' is empty", shortened(name)),
                       "the parts are separated by single dots"};
    }
    if (!starts_name(name[at])) {
      return TextError{at,
                       fmt::format("'{}' is not a name: it has '{}' where a letter should be",
                                   shortened(name), character_at(name, at)),
                       {}};
    }
    while (at < name.size() && continues_name(name[at])) ++at;
    if (at < name.size() && name[at] == '[') {
      if (auto error = check_select(name, at)) return error;
    }
    if (at == name.size()) return std::nullopt;
    if (name[at] != '.') {
      return TextError{
          at,
          fmt::format("'{}' is not possible in the name '{}'", character_at(name, at), shortened(name)),
          {}};
    }
    ++at;
  }
}

NetBits split_select(std::string_view name) {
  NetBits bits{name};
  const std::size_t open = name.ends_with(']') ? name.rfind('[') : std::string_view::npos;
  if (open == std::string_view::npos) return bits;
  bits.base = name.substr(0, open);
  std::uint32_t number[2] = {0, 0};
  int which = 0;
  for (const char c : name.substr(open + 1, name.size() - open - 2)) {
    if (c == ':') {
      which = 1;
    } else {
      number[which] = number[which] * 10 + static_cast<std::uint32_t>(c - '0');
    }
  }
  if (which == 0) number[1] = number[0];
  bits.low = std::min(number[0], number[1]);
  bits.high = std::max(number[0], number[1]);
  return bits;
}

// Sorted by net and lowest bit, each stretch of bits is compared with the one before it that reaches
// highest: any stretch that overlaps an earlier one is seen, in n log n.
std::optional<Overlap> first_overlap(std::span<const Assignment> assignments) {
  if (assignments.size() < 2) return std::nullopt;
  struct Entry {
    NetBits bits;
    std::size_t index;
  };
  std::vector<Entry> entries;
  entries.reserve(assignments.size());
  for (std::size_t i = 0; i < assignments.size(); ++i)
    entries.push_back({split_select(assignments[i].net), i});
  std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
    return std::tie(a.bits.base, a.bits.low, a.index) < std::tie(b.bits.base, b.bits.low, b.index);
  });
  std::optional<Overlap> found;
  for (std::size_t i = 1, reach = 0; i < entries.size(); ++i) {
    const Entry& before = entries[reach];
    const Entry& entry = entries[i];
    if (before.bits.base == entry.bits.base && entry.bits.low <= before.bits.high) {
      const auto [earlier, later] = std::minmax(before.index, entry.index);
      if (!found || later < found->later) found = Overlap{earlier, later};
      if (entry.bits.high > before.bits.high) reach = i;
    } else {
      reach = i;
    }
  }
  return found;
}

}  // namespace settle
