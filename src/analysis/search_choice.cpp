#include "analysis/search_choice.h"

#include <utility>

namespace settle {

std::vector<std::vector<Literal>> searched_clauses(std::span<const SearchChoice> choices) {
  std::vector<std::vector<Literal>> result;
  for (std::size_t i = 0; i < choices.size(); ++i) {
    if (!choices[i].second) continue;
    std::vector<Literal> clause{choices[i].literal};
    for (std::size_t k = 0; k < i; ++k) clause.push_back(opposite(choices[k].literal));
    result.push_back(std::move(clause));
  }
  return result;
}

}  // namespace settle
