// Loops that have nothing to do with one another are judged one by one: a group of clauses without any
// satisfying assignment is a part that never rests, whatever the others do. Levels that are certain come
// from ternary simulation from any state.
#include "analysis/restless.h"

#include <algorithm>

#include "analysis/group_search.h"
#include "analysis/rest_proof.h"
#include "analysis/stable_groups.h"
#include "analysis/stable_network.h"

namespace settle {
namespace {

bool has_assignment(const GroupClauses& group) {
  bool found = false;
  visit_assignments(group, StableMethod::automatic, nullptr, [&found](const auto&) {
    found = true;
    return false;
  });
  return found;
}

}  // namespace

std::vector<RestlessNet> restless_nets(const Circuit& circuit, RestProof& proof,
                                       std::span<const Value> inputs) {
  const std::vector<Value> certain = proof.certain_levels(inputs);
  std::vector<RestlessNet> result(circuit.net_count(), RestlessNet::varies);
  for (NetId net = 0; net < circuit.net_count(); ++net) {
    if (certain[net] == Value::zero) result[net] = RestlessNet::zero;
    if (certain[net] == Value::one) result[net] = RestlessNet::one;
  }
  const StableNetwork network = stable_network(circuit, inputs);
  const StableGroups groups = split_into_groups(network);
  if (groups.contradiction) {
    // The loops that contradict themselves were not told apart from others.
    if (circuit.loop_count() != 1) return result;
    for (RestlessNet& net : result) {
      if (net == RestlessNet::varies) net = RestlessNet::oscillates;
    }
    return result;
  }
  std::vector<bool> rests(groups.kinds.size());
  for (std::size_t kind = 0; kind < rests.size(); ++kind) rests[kind] = has_assignment(groups.kinds[kind]);
  const auto note = [&](NetId net, RestlessNet what) {
    if (result[net] == RestlessNet::varies) result[net] = what;
  };
  for (const auto& group : groups.groups) {
    for (const std::uint32_t v : group.variables) {
      const NetId net = network.net_of[v];
      if (net != no_id && !rests[group.kind]) note(net, RestlessNet::oscillates);
    }
  }
  for (const GateId gate : network.followers) {
    if (!is_push_pull(circuit.kind(gate))) continue;
    const auto inputs_of = circuit.fan_in(gate);
    const bool varies = std::any_of(inputs_of.begin(), inputs_of.end(),
                                    [&](NetId net) { return result[net] == RestlessNet::varies; });
    if (!varies) note(circuit.output_of(gate), RestlessNet::oscillates);
  }
  return result;
}

}  // namespace settle
