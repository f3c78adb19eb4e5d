// A relation is the set of the combinations of its variables that its clauses allow, a bit each. Its
// table says for every partial assignment what all allowed combinations have in common, which is no less
// than what unit propagation of the clauses finds. Longer clauses come first, so that those over some of
// their variables find them. Alike relations share a table, whatever the order of their variables.
#include "analysis/relations.h"

#include <algorithm>
#include <bit>
#include <map>
#include <numeric>

namespace settle {
namespace {

using Combinations = std::uint16_t;  // bit c: the pins with a bit in c are 1, the others 0

constexpr std::array<Combinations, Relations::pins> with_pin{0xaaaa, 0xcccc, 0xf0f0, 0xff00};

Combinations without(Combinations of) { return static_cast<Combinations>(~of); }

// Worth of what is left of a relation, by the number of unknown pins and that of combinations shut out.
// Measured on random gates: two unknown pins are worth about five times three.
std::uint32_t worth_of(int unknown, int shut_out) {
  if (unknown == 2) return 5 * static_cast<std::uint32_t>(shut_out);
  if (unknown == 3) return static_cast<std::uint32_t>(shut_out);
  return 0;
}

Relations::Table table_of(Combinations allowed) {
  Relations::Table table{};
  for (std::uint32_t state = 0; state < table.size(); ++state) {
    Combinations agreeing = 0xffff;
    int unknown = 0;
    std::uint32_t rest = state;
    std::array<bool, Relations::pins> is_open{};
    for (std::size_t pin = 0; pin < Relations::pins; ++pin, rest /= 3) {
      is_open[pin] = rest % 3 == 2;
      if (rest % 3 == 0) agreeing &= without(with_pin[pin]);
      if (rest % 3 == 1) agreeing &= with_pin[pin];
      if (is_open[pin]) ++unknown;
    }
    const auto left = static_cast<Combinations>(agreeing & allowed);
    using Entry = Relations::Entry;
    if (left == 0 || left == agreeing) {
      table[state] = Entry(left == 0 ? Entry::impossible : Entry::holds, 0, 0, 0);
      continue;
    }
    std::uint32_t forced = 0, values = 0;
    for (std::size_t pin = 0; pin < Relations::pins; ++pin) {
      if (!is_open[pin]) continue;
      const bool can_be_one = (left & with_pin[pin]) != 0, can_be_zero = (left & without(with_pin[pin])) != 0;
      if (can_be_one && can_be_zero) continue;
      forced |= 1u << pin;
      if (can_be_one) values |= 1u << pin;
    }
    const std::uint32_t worth =
        forced != 0 ? 0 : worth_of(unknown, std::popcount(agreeing) - std::popcount(left));
    table[state] = Entry(Entry::open, forced, values, worth);
  }
  return table;
}

// Pin i of the result is pin order[i] of `of`.
Combinations reordered(Combinations of, const std::array<std::size_t, Relations::pins>& order) {
  Combinations result = 0;
  for (std::uint32_t to = 0; to < 16; ++to) {
    std::uint32_t from = 0;
    for (std::size_t i = 0; i < Relations::pins; ++i) from |= (to >> i & 1u) << order[i];
    if ((of >> from & 1u) != 0) result = static_cast<Combinations>(result | 1u << to);
  }
  return result;
}

}  // namespace

Relations::Relations(const ClauseSet& clauses) {
  std::vector<std::uint32_t> order;
  for (std::uint32_t i = 0; i < clauses.size(); ++i) {
    const auto clause = clauses.clause(i);
    if (clause.size() > pins) {
      wide_literals_.insert(wide_literals_.end(), clause.begin(), clause.end());
      wide_start_.push_back(static_cast<std::uint32_t>(wide_literals_.size()));
    } else if (clause.size() > 1) {
      order.push_back(i);
    }
  }
  std::stable_sort(order.begin(), order.end(), [&clauses](std::uint32_t a, std::uint32_t b) {
    return clauses.clause(a).size() > clauses.clause(b).size();
  });

  std::vector<Combinations> allowed;
  std::vector<std::vector<std::uint32_t>> of(clauses.variable_count());  // relations by variable
  const auto pin_of = [this](std::uint32_t relation, Literal literal) {
    const auto& variables = relations_[relation].variable;
    return static_cast<std::size_t>(std::find(variables.begin(), variables.end(), variable_of(literal)) -
                                    variables.begin());
  };
  for (const std::uint32_t i : order) {
    const auto clause = clauses.clause(i);
    const Literal rarest = *std::min_element(clause.begin(), clause.end(), [&of](Literal a, Literal b) {
      return of[variable_of(a)].size() < of[variable_of(b)].size();
    });
    const auto& candidates = of[variable_of(rarest)];
    const auto at = std::find_if(candidates.begin(), candidates.end(), [&](std::uint32_t relation) {
      return std::all_of(clause.begin(), clause.end(), [&](Literal l) { return pin_of(relation, l) < pins; });
    });
    std::uint32_t relation = at == candidates.end() ? static_cast<std::uint32_t>(relations_.size()) : *at;
    if (relation == relations_.size()) {
      relations_.push_back({});
      allowed.push_back(0xffff);
      for (std::size_t pin = 0; pin < clause.size(); ++pin) {
        relations_.back().variable[pin] = variable_of(clause[pin]);
        of[variable_of(clause[pin])].push_back(relation);
      }
    }
    Combinations satisfied = 0;
    for (const Literal literal : clause) {
      const Combinations positive = with_pin[pin_of(relation, literal)];
      satisfied |= (literal & 1u) == 0 ? positive : without(positive);
    }
    allowed[relation] &= satisfied;
  }

  std::map<Combinations, std::uint32_t> table_of_combinations;
  for (std::uint32_t relation = 0; relation < relations_.size(); ++relation) {
    auto& variables = relations_[relation].variable;
    const auto used = std::find(variables.begin(), variables.end(), 0u) - variables.begin();
    std::array<std::size_t, pins> permutation{}, best{};
    std::iota(permutation.begin(), permutation.end(), std::size_t{0});
    Combinations least = 0xffff;
    do {
      const Combinations combinations = reordered(allowed[relation], permutation);
      if (combinations > least) continue;
      least = combinations;
      best = permutation;
    } while (std::next_permutation(permutation.begin(), permutation.begin() + used));
    const auto from = variables;
    for (std::size_t pin = 0; pin < pins; ++pin) variables[pin] = from[best[pin]];
    const auto [table, is_new] =
        table_of_combinations.emplace(least, static_cast<std::uint32_t>(tables_.size()));
    if (is_new) tables_.push_back(table_of(least));
    relations_[relation].table = table->second;
  }
}

}  // namespace settle
