// Clauses of gates: G. S. Tseitin, "On the complexity of derivation in propositional calculus", 1968.
#include "analysis/clauses.h"

#include <algorithm>
#include <bit>

namespace settle {

void ClauseSet::add(std::span<const Literal> literals) {
  const std::size_t first = start_.back();
  for (const Literal literal : literals) {
    if (literal == literal_true) {
      literals_.resize(first);
      return;
    }
    if (literal != literal_false) literals_.push_back(literal);
  }
  const auto begin = literals_.begin() + static_cast<std::ptrdiff_t>(first);
  std::sort(begin, literals_.end());
  literals_.erase(std::unique(begin, literals_.end()), literals_.end());
  // Sorted: the two literals of one variable are neighbours.
  for (std::size_t i = first + 1; i < literals_.size(); ++i) {
    if (literals_[i] == opposite(literals_[i - 1])) {
      literals_.resize(first);
      return;
    }
  }
  contradicts_ |= literals_.size() == first;
  start_.push_back(static_cast<std::uint32_t>(literals_.size()));
}

void ClauseSet::add_all(Literal out, std::span<const Literal> inputs) {
  std::vector<Literal> all{out};
  for (const Literal input : inputs) {
    add({opposite(out), input});
    all.push_back(opposite(input));
  }
  add(all);
}

void ClauseSet::add_parity(Literal out, std::span<const Literal> inputs) {
  std::vector<Literal> terms{out};  // their sum is to be even, or odd
  bool odd = false;
  for (const Literal input : inputs) {
    if (variable_of(input) == 0) {
      odd ^= input == literal_true;
    } else {
      terms.push_back(input);
    }
  }
  while (terms.size() > 4) {
    const Literal sum = literal_of(add_variable());
    const std::size_t left = terms.size() - 3;
    const Literal part[] = {sum, terms[left], terms[left + 1], terms[left + 2]};
    add_sum(part, false);
    terms.resize(left);
    terms.push_back(sum);
  }
  add_sum(terms, odd);
}

// Shuts out every assignment with the other parity.
void ClauseSet::add_sum(std::span<const Literal> terms, bool odd) {
  std::vector<Literal> clause;
  for (std::uint32_t ones = 0; ones < (1u << terms.size()); ++ones) {
    if (((std::popcount(ones) & 1) != 0) == odd) continue;
    clause.clear();
    for (std::size_t i = 0; i < terms.size(); ++i) clause.push_back(terms[i] ^ ((ones >> i) & 1u));
    add(clause);
  }
}

}  // namespace settle
