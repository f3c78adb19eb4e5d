// Clauses of gates: G. S. Tseitin, "On the complexity of derivation in propositional calculus", 1968.
#include "analysis/clauses.h"

#include <algorithm>

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
  Literal sum = literal_false;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const Literal a = sum, b = inputs[i];
    if (variable_of(a) == 0) {
      sum = a == literal_false ? b : opposite(b);
      continue;
    }
    if (variable_of(b) == 0) {
      sum = b == literal_false ? a : opposite(a);
      continue;
    }
    sum = i + 1 == inputs.size() ? out : literal_of(add_variable());
    add({opposite(sum), a, b});
    add({opposite(sum), opposite(a), opposite(b)});
    add({sum, a, opposite(b)});
    add({sum, opposite(a), b});
    if (sum == out) return;
  }
  add({opposite(out), sum});
  add({out, opposite(sum)});
}

}  // namespace settle
