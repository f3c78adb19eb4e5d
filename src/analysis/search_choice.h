// The choices of a depth-first search through assignments.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "analysis/clauses.h"

namespace settle {

struct SearchChoice {
  std::uint32_t trail;     ///< literals assigned before it
  std::uint32_t position;  ///< where the search looks for the next choice
  Literal literal;
  bool second;  ///< the other value was tried before
};

/// Clauses that shut out exactly what was searched before these choices.
std::vector<std::vector<Literal>> searched_clauses(std::span<const SearchChoice> choices);

}  // namespace settle
