// Levels that are certain come from ternary simulation from any state. A gate that is left at x by one pin
// alone follows that pin or its opposite, once the others have their levels. Followed backwards this ends in
// a way round with an odd number of inversions, which turns for ever and so does all that follows it, or
// elsewhere, where nothing is claimed.
// Cost: linear.
#include "analysis/restless.h"

#include <algorithm>

#include "analysis/gate_function.h"
#include "analysis/rest_proof.h"

namespace settle {
namespace {

struct Follower {
  GateId source = no_id;  // gate whose output decides this one's, or no_id
  bool inverts = false;
};

Follower follower_of(const Circuit& circuit, GateId gate, const std::vector<Value>& levels) {
  if (!is_push_pull(circuit.kind(gate)) || circuit.shared_wire(gate) != no_id) return {};
  NetId open = no_id;
  for (const NetId net : circuit.fan_in(gate)) {
    if (is_binary(levels[net])) continue;
    if (open != no_id || levels[net] != Value::x || !circuit.is_gate_output(net)) return {};
    open = net;
  }
  if (open == no_id) return {};
  const Value with_zero =
      gate_value(circuit, gate, [&](NetId net) { return net == open ? Value::zero : levels[net]; });
  return {circuit.gate_of(open), with_zero == Value::one};
}

}  // namespace

std::vector<RestlessNet> restless_nets(const Circuit& circuit, RestProof& proof,
                                       std::span<const Value> inputs) {
  const std::vector<Value> levels = proof.certain_levels(inputs);
  std::vector<RestlessNet> result(circuit.net_count(), RestlessNet::varies);
  for (NetId net = 0; net < circuit.net_count(); ++net) {
    if (levels[net] == Value::zero) result[net] = RestlessNet::zero;
    if (levels[net] == Value::one) result[net] = RestlessNet::one;
  }
  std::vector<Follower> followers(circuit.gate_count());
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    if (levels[circuit.output_of(gate)] == Value::x) followers[gate] = follower_of(circuit, gate, levels);
  }
  // Each gate is walked over once; a walk ends at one that an earlier walk has judged.
  constexpr std::uint32_t never = 0;
  std::vector<std::uint32_t> walk_of(circuit.gate_count(), never);
  std::vector<GateId> path;
  std::uint32_t walk = never;
  for (GateId start = 0; start < circuit.gate_count(); ++start) {
    ++walk;
    path.clear();
    GateId gate = start;
    while (gate != no_id && walk_of[gate] == never && followers[gate].source != no_id) {
      walk_of[gate] = walk;
      path.push_back(gate);
      gate = followers[gate].source;
    }
    bool turns = gate != no_id && result[circuit.output_of(gate)] == RestlessNet::oscillates;
    if (gate != no_id && walk_of[gate] == walk) {
      for (auto at = std::find(path.begin(), path.end(), gate); at != path.end(); ++at)
        turns ^= followers[*at].inverts;
    }
    if (!turns) continue;
    for (const GateId member : path) result[circuit.output_of(member)] = RestlessNet::oscillates;
  }
  return result;
}

}  // namespace settle
