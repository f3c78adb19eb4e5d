// Likely misspellings. Optimal string alignment: Levenshtein distance (insert, delete, replace)
// plus swaps of two neighbours, as first described by Damerau (1964) and Levenshtein (1966).
// Three rows of the table are kept; rows that cannot come below the limit end the work early.
#include <algorithm>
#include <array>

#include "settle/diagnostic.h"

namespace settle {
namespace {

constexpr std::size_t longest = 64;  // longer words are not compared
constexpr std::size_t most_steps = 3;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

/// Distance of a and b, or limit + 1 when it is larger than `limit`. Both at most `longest` letters.
std::size_t distance(std::string_view a, std::string_view b, std::size_t limit) {
  std::array<std::array<std::size_t, longest + 1>, 3> rows{};
  for (std::size_t j = 0; j <= b.size(); ++j) rows[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    auto& row = rows[i % 3];
    const auto& above = rows[(i + 2) % 3];
    const auto& above_two = rows[(i + 1) % 3];
    row[0] = i;
    std::size_t best = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replace = lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1;
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, above[j - 1] + replace});
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1])) {
        row[j] = std::min(row[j], above_two[j - 2] + 1);
      }
      best = std::min(best, row[j]);
    }
    // A swap reaches back two rows, but never below the best of the row between less one step.
    if (best > limit + 1) return limit + 1;
  }
  return std::min(rows[a.size() % 3][b.size()], limit + 1);
}

}  // namespace

std::string_view nearest_name(std::string_view name, std::span<const std::string_view> candidates) {
  std::string_view nearest;
  std::size_t nearest_steps = most_steps + 1;
  if (name.empty() || name.size() > longest) return nearest;
  for (const std::string_view candidate : candidates) {
    if (candidate.empty() || candidate.size() > longest) continue;
    const std::size_t allowed =
        std::min({most_steps, std::max(name.size(), candidate.size()) / 3, nearest_steps - 1});
    const std::size_t longer = std::max(name.size(), candidate.size());
    if (longer - std::min(name.size(), candidate.size()) > allowed) continue;
    const std::size_t steps = distance(name, candidate, allowed);
    if (steps > allowed) continue;
    nearest = candidate;
    nearest_steps = steps;
    if (steps == 0) break;
  }
  return nearest;
}

}  // namespace settle
