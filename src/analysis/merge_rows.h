// Rows of a table with equal right-hand sides made few.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <vector>

#include "settle/minimise.h"

namespace settle {

inline constexpr std::uint32_t any_entry = 0xffffffffu;  ///< a vector for which any row will do

struct MergedRow {
  Cube cube;
  std::uint32_t entry = 0;
};

/// Rows that give each vector its entry: no vector is covered by rows of two entries. Entries are
/// numbered below `entry_count`. `needed` (empty: all) has a bit for each vector that must be
/// covered; the others may be. Few rows, fewest as a rule up to a dozen variables. Sorted. Once `stop` is
/// set the rows are worth nothing.
std::vector<MergedRow> merge_rows(unsigned variables, std::span<const std::uint32_t> entry_of,
                                  std::uint32_t entry_count, const FunctionBits& needed = {},
                                  const std::atomic<bool>* stop = nullptr);

/// Order of rows: column by column, - before 0 before 1.
bool row_before(Cube a, Cube b);

}  // namespace settle
