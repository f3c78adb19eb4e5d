// After unit propagation, clauses without a common open variable have nothing to say about one
// another: the satisfying assignments are exactly all combinations of those of the connected parts.
// A part with an open variable and no clause left is free: two values. Parts whose clauses are equal,
// number for number, are of one kind and searched once.
// Cost: near-linear (disjoint sets), plus hashing of the clause texts.
#include "analysis/stable_groups.h"

#include <numeric>
#include <string>
#include <unordered_map>

#include "analysis/clause_search.h"

namespace settle {
namespace {

constexpr std::uint8_t not_known = 2;

class DisjointSets {
 public:
  explicit DisjointSets(std::uint32_t size) : parent_(size) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::uint32_t find(std::uint32_t item) {
    while (parent_[item] != item) item = parent_[item] = parent_[parent_[item]];
    return item;
  }
  // The lower number is the root.
  void join(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (a < b) {
      parent_[b] = a;
    } else {
      parent_[a] = b;
    }
  }

 private:
  std::vector<std::uint32_t> parent_;
};

void append(std::string& key, std::span<const std::uint32_t> numbers) {
  const std::uint32_t size = static_cast<std::uint32_t>(numbers.size());
  key.append(reinterpret_cast<const char*>(&size), sizeof size);
  key.append(reinterpret_cast<const char*>(numbers.data()), numbers.size_bytes());
}

}  // namespace

StableGroups split_into_groups(const StableNetwork& network) {
  StableGroups result;
  const ClauseSet& clauses = network.clauses;
  const std::uint32_t variables = clauses.variable_count();
  ClauseSearch search(clauses, {});
  result.contradiction = !search.propagate_all();
  result.decided.resize(variables);
  for (std::uint32_t v = 0; v < variables; ++v) result.decided[v] = search.value(literal_of(v));
  if (result.contradiction) return result;

  DisjointSets sets(variables);
  std::vector<std::uint32_t> left;  // clauses not yet satisfied
  for (std::uint32_t i = 0; i < clauses.size(); ++i) {
    std::uint32_t first = 0;
    bool satisfied = false;
    for (const Literal literal : clauses.clause(i)) satisfied |= search.value(literal) == 1;
    if (satisfied) continue;
    left.push_back(i);
    for (const Literal literal : clauses.clause(i)) {
      if (search.value(literal) != not_known) continue;
      if (first != 0) sets.join(first, variable_of(literal));
      first = variable_of(literal);
    }
  }

  std::vector<std::uint32_t> group_of(variables, no_id), local(variables, 0);
  for (std::uint32_t v = 1; v < variables; ++v) {
    if (result.decided[v] != not_known) continue;
    const std::uint32_t root = sets.find(v);
    if (group_of[root] == no_id) {
      group_of[root] = static_cast<std::uint32_t>(result.groups.size());
      result.groups.emplace_back();
    }
    group_of[v] = group_of[root];
    auto& members = result.groups[group_of[v]].variables;
    members.push_back(v);
    local[v] = static_cast<std::uint32_t>(members.size());
  }

  // Clauses and deciding variables, sorted by group.
  std::vector<std::vector<std::uint32_t>> clauses_of(result.groups.size()), deciding_of(result.groups.size());
  for (const std::uint32_t i : left) {
    for (const Literal literal : clauses.clause(i)) {
      if (search.value(literal) != not_known) continue;
      clauses_of[group_of[variable_of(literal)]].push_back(i);
      break;
    }
  }
  for (const std::uint32_t v : network.deciding) {
    if (result.decided[v] == not_known) deciding_of[group_of[v]].push_back(local[v]);
  }

  std::unordered_map<std::string, std::uint32_t> kind_of;
  std::vector<Literal> literals;
  std::string key;
  for (std::size_t g = 0; g < result.groups.size(); ++g) {
    GroupClauses kind;
    while (kind.clauses.variable_count() <= result.groups[g].variables.size()) kind.clauses.add_variable();
    for (const std::uint32_t i : clauses_of[g]) {
      literals.clear();
      for (const Literal literal : clauses.clause(i)) {
        if (search.value(literal) == not_known)
          literals.push_back(2 * local[variable_of(literal)] + (literal & 1u));
      }
      kind.clauses.add(literals);
    }
    kind.deciding = std::move(deciding_of[g]);
    key.clear();
    const std::uint32_t size = kind.clauses.variable_count();
    append(key, std::span<const std::uint32_t>(&size, 1));
    append(key, kind.deciding);
    append(key, kind.clauses.starts());
    append(key, kind.clauses.literals());
    const auto [at, is_new] = kind_of.emplace(key, static_cast<std::uint32_t>(result.kinds.size()));
    result.groups[g].kind = at->second;
    if (is_new) result.kinds.push_back(std::move(kind));
  }
  return result;
}

}  // namespace settle
