// Each kind of group is listed as far as the limit goes; where that does not suffice it is counted.
#include "settle/stable_product.h"

#include <algorithm>
#include <optional>

#include "analysis/clause_count.h"
#include "analysis/group_search.h"

namespace settle {
namespace {

struct KindCount {
  BigCount states;
  bool exact = true;
  std::vector<std::vector<bool>> listed;  // by variable
};

KindCount count_kind(const GroupClauses& kind, const StableProductOptions& options) {
  KindCount result;
  const std::uint32_t variables = kind.clauses.variable_count() - 1;
  const bool all = visit_assignments(kind, StableMethod::automatic, options.stop, [&](const auto& values) {
    if (result.listed.size() == options.list_limit) return false;
    auto& state = result.listed.emplace_back(variables);
    for (std::uint32_t v = 0; v < variables; ++v) state[v] = values[literal_of(v + 1)] == 1;
    return true;
  });
  result.states = result.listed.size();
  if (all) {
    std::sort(result.listed.begin(), result.listed.end());
    return result;
  }
  result.listed.clear();
  if (const auto count = count_assignments(kind.clauses, options.work_limit, options.stop)) {
    result.states = *count;
    return result;
  }
  // The last resort counts by listing, in about as much work.
  const std::uint64_t most = options.work_limit / (kind.clauses.variable_count() + 64) + 1;
  std::uint64_t found = 0;
  result.exact = visit_assignments(kind, StableMethod::automatic, options.stop,
                                   [&](const auto&) { return found++ < most; });
  result.states =
      result.exact ? found : std::max(result.states, BigCount(found), [](const auto& a, const auto& b) {
        return a.small().value_or(0) < b.small().value_or(0);
      });
  return result;
}

}  // namespace

StableProduct stable_product(const Circuit& circuit, std::span<const Value> inputs,
                             const StableProductOptions& options) {
  const StableNetwork network = stable_network(circuit, inputs);
  const StableGroups groups = split_into_groups(network);
  StableProduct result;
  result.free_inputs = network.free_inputs;
  if (groups.contradiction) return result;

  std::vector<KindCount> kinds;
  std::vector<std::uint64_t> uses(groups.kinds.size(), 0);
  for (const auto& group : groups.groups) ++uses[group.kind];
  result.total = 1;
  for (std::uint32_t k = 0; k < groups.kinds.size(); ++k) {
    kinds.push_back(count_kind(groups.kinds[k], options));
    result.total *= power(kinds[k].states, uses[k]);
    result.exact = result.exact && kinds[k].exact;
  }
  // One group without any state settles it, whatever was left uncounted.
  for (const KindCount& kind : kinds) result.exact = result.exact || (kind.exact && kind.states.is_zero());

  for (const auto& from : groups.groups) {
    StableGroup& group = result.groups.emplace_back();
    const KindCount& kind = kinds[from.kind];
    group.kind = from.kind;
    group.states = kind.states;
    group.exact = kind.exact;
    group.listed.resize(kind.listed.size());
    for (std::size_t v = 0; v < from.variables.size(); ++v) {
      const NetId net = network.net_of[from.variables[v]];
      if (net == no_id) continue;
      group.nets.push_back(net);
      for (std::size_t i = 0; i < kind.listed.size(); ++i)
        group.listed[i].push_back(to_value(kind.listed[i][v]));
    }
  }
  return result;
}

}  // namespace settle
