// A row is a product; the rows of one right-hand side are a sum of products for the set of its
// vectors. So each right-hand side is minimised on its own, with the vectors that need no row as
// don't-cares of all. Tables with very many right-hand sides (a sum, a product) leave little to
// merge: there, pairs of rows that differ in one input are joined, input by input.
#include "analysis/merge_rows.h"

#include <algorithm>
#include <bit>

#include "settle/progress.h"

namespace settle {
namespace {

constexpr double work_limit = 1e9;  // words to be touched by the minimiser, about a second

bool needs(const FunctionBits& needed, std::uint32_t vector) {
  return needed.empty() || (needed[vector >> 6] >> (vector & 63) & 1) != 0;
}

/// Words that the minimiser touches for one function, roughly.
double work_of(unsigned variables, const MinimiseOptions& options) {
  const double words = static_cast<double>(function_words(variables));
  return variables <= options.exact_variables ? words * (1u << variables) * variables : words * 4 * variables;
}

std::vector<MergedRow> minimise_each(unsigned variables, std::span<const std::uint32_t> entry_of,
                                     std::uint32_t entry_count, const FunctionBits& needed,
                                     const std::atomic<bool>* stop) {
  MinimiseOptions options;
  options.stop = stop;
  while (options.exact_variables > 8 && entry_count * work_of(variables, options) > work_limit) {
    --options.exact_variables;
  }
  // Vectors by entry, so that each function is made without a look at all vectors.
  std::vector<std::uint32_t> start(entry_count + 1, 0), vectors(entry_of.size());
  for (const std::uint32_t entry : entry_of) {
    if (entry != any_entry) ++start[entry + 1];
  }
  for (std::uint32_t k = 0; k < entry_count; ++k) start[k + 1] += start[k];
  auto next = start;
  FunctionBits free(function_words(variables), 0);
  for (std::uint32_t v = 0; v < entry_of.size(); ++v) {
    if (entry_of[v] == any_entry) {
      free[v >> 6] |= std::uint64_t{1} << (v & 63);
    } else {
      vectors[next[entry_of[v]]++] = v;
    }
  }
  std::vector<MergedRow> rows;
  FunctionBits on;
  for (std::uint32_t k = 0; k < entry_count && !is_set(stop); ++k) {
    on.assign(free.size(), 0);
    FunctionBits dont_care = free;
    bool any = false;
    for (std::uint32_t i = start[k]; i < start[k + 1]; ++i) {
      const bool must = needs(needed, vectors[i]);
      (must ? on : dont_care)[vectors[i] >> 6] |= std::uint64_t{1} << (vectors[i] & 63);
      any |= must;
    }
    if (!any) continue;
    for (const Cube cube : minimise(variables, on, dont_care, options).cubes) rows.push_back({cube, k});
  }
  return rows;
}

/// Each vector is a row; rows that are the same but for one input become one.
std::vector<MergedRow> join_pairs(unsigned variables, std::span<const std::uint32_t> entry_of,
                                  const FunctionBits& needed, const std::atomic<bool>* stop) {
  const std::uint32_t all = (1u << variables) - 1;
  constexpr std::uint32_t gone = 0xffffffffu;
  std::vector<std::uint32_t> care(entry_of.size(), all);
  for (std::uint32_t v = 0; v < entry_of.size(); ++v) {
    if (entry_of[v] == any_entry || !needs(needed, v)) care[v] = gone;
  }
  for (std::uint32_t bit = 1; bit < entry_of.size() && !is_set(stop); bit <<= 1) {
    for (std::uint32_t v = 0; v < entry_of.size(); ++v) {
      if ((v & bit) != 0 || care[v] == gone || care[v] != care[v | bit] || entry_of[v] != entry_of[v | bit])
        continue;
      care[v] &= ~bit;
      care[v | bit] = gone;
    }
  }
  std::vector<MergedRow> rows;
  for (std::uint32_t v = 0; v < entry_of.size(); ++v) {
    if (care[v] != gone) rows.push_back({{care[v], v}, entry_of[v]});
  }
  return rows;
}

/// A sort that can be stopped: pieces first, then pieces twice as long.
void sort_rows(std::vector<MergedRow>& rows, const std::atomic<bool>* stop) {
  constexpr std::size_t piece = std::size_t{1} << 16;
  const auto before = [](const MergedRow& a, const MergedRow& b) { return row_before(a.cube, b.cube); };
  const auto at = [&](std::size_t i) { return rows.begin() + static_cast<std::ptrdiff_t>(std::min(i, rows.size())); };
  for (std::size_t i = 0; i < rows.size() && !is_set(stop); i += piece) std::sort(at(i), at(i + piece), before);
  for (std::size_t size = piece; size < rows.size(); size *= 2) {
    for (std::size_t i = 0; i + size < rows.size() && !is_set(stop); i += 2 * size) {
      std::inplace_merge(at(i), at(i + size), at(i + 2 * size), before);
    }
  }
}

}  // namespace

bool row_before(Cube a, Cube b) {
  const std::uint32_t difference = (a.care ^ b.care) | (a.value ^ b.value);
  if (difference == 0) return false;
  const std::uint32_t bit = std::bit_floor(difference);
  const auto digit = [&](Cube c) { return (c.care & bit) == 0 ? 0 : (c.value & bit) == 0 ? 1 : 2; };
  return digit(a) < digit(b);
}

std::vector<MergedRow> merge_rows(unsigned variables, std::span<const std::uint32_t> entry_of,
                                  std::uint32_t entry_count, const FunctionBits& needed,
                                  const std::atomic<bool>* stop) {
  if (is_set(stop)) return {};  // the entries may not all be numbered
  MinimiseOptions recursive;
  recursive.exact_variables = 8;
  auto rows = entry_count * work_of(variables, recursive) <= work_limit
                  ? minimise_each(variables, entry_of, entry_count, needed, stop)
                  : join_pairs(variables, entry_of, needed, stop);
  sort_rows(rows, stop);
  return rows;
}

}  // namespace settle
