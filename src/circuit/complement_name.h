// Names of which one marks the inverse of the other: read_n, n_read, nread, read_b and read_bar of read.
#pragma once

#include <string_view>

namespace settle {

/// Is `name` the word `base` with a mark of the inverse before or behind it?
/// Letter case counts in the word, not in the mark.
bool marks_inverse_of(std::string_view name, std::string_view base);

/// Is one of them the other one with such a mark? Then they are two nets, and no misspelling of one.
inline bool are_complements(std::string_view a, std::string_view b) {
  return marks_inverse_of(a, b) || marks_inverse_of(b, a);
}

}  // namespace settle
