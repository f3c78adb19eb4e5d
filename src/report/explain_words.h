// Words for the explanation of a circuit.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "settle/explain.h"

namespace settle::report {

/// "a", "a and b", "a, b and c".
std::string listed_names(const std::vector<std::string>& names, std::string_view last = " and ");

/// A sum of products as a condition: "enter leave'" -> "enter is 1 and leave is 0", "a + b" -> "a is 1, or b is 1".
std::string condition_words(const std::string& expression);

/// "a transparent latch", "an 8-bit register"; kinds in the plural stay as they are.
std::string with_article(const std::string& kind);

/// "set-reset latch, set-dominant" -> "set-reset latch (set-dominant)".
std::string kind_words(const std::string& kind);

/// "1" -> "one" up to twelve.
std::string number_word(std::uint64_t number);

/// How a cell is used: sentences, without its power-up and cautions. `next_value`: of clocked logic, what its one
/// stored net takes over, as a sum of products of inputs; empty: the equations are pointed to.
std::string usage_words(const ExplainedCell& cell, const std::string& next_value = {});

}  // namespace settle::report
