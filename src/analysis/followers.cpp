// Followers are active gates with no path into a loop of active gates. Among themselves they are
// free of loops, so in a stable state each has the value that evaluation gives.
//
// Followers and the parts that they read, directly or over others, form groups. In a group whose
// parts have no lasting cycle all combinations of outcomes are gone through. With a lasting cycle a
// follower may lag behind by any time, so it is searched together with its parts if they are few
// gates, with gates that settle elsewhere at their final values (on a lasting cycle and after it
// they have long arrived). Otherwise whatever ternary evaluation leaves unknown counts as differing.
#include "analysis/followers.h"

#include <algorithm>
#include <numeric>
#include <unordered_map>

#include "analysis/any_delay_search.h"
#include "analysis/gate_function.h"

namespace settle {
namespace {

constexpr std::uint64_t most_evaluations = 2'000'000;
constexpr std::size_t most_searched_gates = 18;

struct Group {
  std::vector<std::uint32_t> followers;  // in evaluation order
  std::vector<std::uint32_t> parts;
};

class FollowerFinder {
 public:
  FollowerFinder(const Circuit& circuit, const Step& step, const TernarySimulator& ternary,
                 SubnetworkBuilder& subnetworks, const std::vector<StepPart>& parts,
                 const std::vector<PartNodes>& nodes)
      : circuit_(circuit),
        step_(step),
        ternary_(ternary),
        subnetworks_(subnetworks),
        parts_(parts),
        nodes_(nodes) {}

  std::vector<GateId> run() {
    find_followers();
    if (followers_.empty()) return {};
    values_.assign(followers_.size(), Value::x);
    for (const Group& group : make_groups()) judge(group);
    std::sort(differing_.begin(), differing_.end());
    return std::move(differing_);
  }

 private:
  struct InPart {
    std::uint32_t part, place;
  };

  void find_followers() {
    for (std::uint32_t p = 0; p < parts_.size(); ++p) {
      for (std::uint32_t i = 0; i < parts_[p].gates.size(); ++i)
        in_part_.try_emplace(parts_[p].gates[i], InPart{p, i});
    }
    for (const GateId gate : ternary_.active()) {
      if (ternary_.gate_output(gate) != Value::x || in_part_.contains(gate)) continue;
      follower_of_.emplace(gate, static_cast<std::uint32_t>(followers_.size()));
      followers_.push_back(gate);
    }
  }

  // Calls visit(net) for each gate output that the gate reads, over shared wires too.
  template <class Visit>
  void for_each_source(GateId gate, const Visit& visit) const {
    for (const NetId pin : circuit_.fan_in(gate)) {
      if (circuit_.is_gate_output(pin)) visit(pin);
      if (!circuit_.is_resolved(pin)) continue;
      for (const NetId driver : circuit_.drivers_of(pin)) visit(driver);
    }
  }

  std::vector<Group> make_groups() const {
    const auto count = static_cast<std::uint32_t>(followers_.size());
    std::vector<std::uint32_t> parent(count + parts_.size());
    std::iota(parent.begin(), parent.end(), 0u);
    const auto root = [&parent](std::uint32_t a) {
      while (parent[a] != a) a = parent[a] = parent[parent[a]];
      return a;
    };
    // Evaluation order: a follower once all followers that it reads are placed.
    std::vector<std::uint32_t> waits(count, 0), order;
    std::vector<std::vector<std::uint32_t>> readers(count);
    for (std::uint32_t f = 0; f < count; ++f) {
      for_each_source(followers_[f], [&](NetId net) {
        const GateId gate = circuit_.gate_of(net);
        if (const auto other = follower_of_.find(gate); other != follower_of_.end()) {
          ++waits[f];
          readers[other->second].push_back(f);
          parent[root(f)] = root(other->second);
        } else if (const auto place = in_part_.find(gate);
                   place != in_part_.end() && diverges(place->second.part)) {
          parent[root(f)] = root(count + place->second.part);
        }
      });
      if (waits[f] == 0) order.push_back(f);
    }
    for (std::size_t next = 0; next < order.size(); ++next) {
      for (const std::uint32_t reader : readers[order[next]]) {
        if (--waits[reader] == 0) order.push_back(reader);
      }
    }
    std::vector<Group> groups;
    std::vector<std::uint32_t> group_of(parent.size(), no_id);
    const auto group = [&](std::uint32_t node) -> Group& {
      std::uint32_t& index = group_of[root(node)];
      if (index == no_id) {
        index = static_cast<std::uint32_t>(groups.size());
        groups.emplace_back();
      }
      return groups[index];
    };
    for (const std::uint32_t f : order) group(f).followers.push_back(f);
    for (std::uint32_t p = 0; p < parts_.size(); ++p) {
      if (diverges(p)) group(count + p).parts.push_back(p);
    }
    return groups;
  }

  bool diverges(std::uint32_t part) const {
    return parts_[part].may_cycle || parts_[part].outcomes.size() != 1;
  }

  Value gate_now(NetId net) const {
    const GateId gate = circuit_.gate_of(net);
    if (const auto f = follower_of_.find(gate); f != follower_of_.end()) return values_[f->second];
    if (const auto place = in_part_.find(gate); place != in_part_.end()) {
      const auto [part, at] = place->second;
      return part_value(part, at);
    }
    return ternary_.value(net);
  }
  Value part_value(std::uint32_t part, std::uint32_t at) const {
    const StepPart& p = parts_[part];
    if (!as_unknown_ && !p.outcomes.empty()) return p.outcomes[choice_.empty() ? 0 : choice_[part]][at];
    const bool differs = std::binary_search(p.differing.begin(), p.differing.end(), p.gates[at]);
    if (differs) return Value::x;
    if (!p.outcomes.empty()) return p.outcomes[0][at];
    return ternary_.gate_output(p.gates[at]);  // x where B left a gate that rests on every cycle
  }
  Value net_now(NetId net) const {
    if (circuit_.is_gate_output(net)) return gate_now(net);
    if (circuit_.is_resolved(net)) return wire_value(circuit_, net, [this](NetId n) { return gate_now(n); });
    return ternary_.value(net);
  }
  void evaluate_all(const Group& group) {
    for (const std::uint32_t f : group.followers) {
      values_[f] = gate_value(circuit_, followers_[f], [this](NetId net) { return net_now(net); });
    }
  }

  void judge(const Group& group) {
    if (group.followers.empty() || group.parts.empty()) return;
    std::uint64_t combinations = 1;
    bool cycles = false;
    for (const std::uint32_t p : group.parts) {
      cycles = cycles || parts_[p].may_cycle || parts_[p].outcomes.empty();
      if (combinations <= most_evaluations)
        combinations *= std::max<std::size_t>(parts_[p].outcomes.size(), 1);
    }
    if (cycles) {
      if (!search_group(group)) evaluate_unknown(group);
    } else if (combinations > most_evaluations / group.followers.size()) {
      evaluate_unknown(group);
    } else {
      go_through(group);
    }
  }

  void evaluate_unknown(const Group& group) {
    as_unknown_ = true;
    evaluate_all(group);
    as_unknown_ = false;
    for (const std::uint32_t f : group.followers) {
      if (values_[f] == Value::x) differing_.push_back(followers_[f]);
    }
  }

  void go_through(const Group& group) {
    choice_.assign(parts_.size(), 0);
    evaluate_all(group);
    std::vector<Value> lub;
    for (const std::uint32_t f : group.followers) lub.push_back(values_[f]);
    for (;;) {
      std::size_t digit = 0;
      while (digit < group.parts.size()) {
        const std::uint32_t p = group.parts[digit];
        if (++choice_[p] < parts_[p].outcomes.size()) break;
        choice_[p] = 0;
        ++digit;
      }
      if (digit == group.parts.size()) break;
      evaluate_all(group);
      for (std::size_t i = 0; i < lub.size(); ++i) {
        lub[i] = least_upper_bound(lub[i], values_[group.followers[i]]);
      }
    }
    choice_.clear();
    for (std::size_t i = 0; i < lub.size(); ++i) {
      if (lub[i] == Value::x) differing_.push_back(followers_[group.followers[i]]);
    }
  }

  bool search_group(const Group& group) {
    std::vector<GateId> gates;
    std::vector<std::pair<NetId, Value>> inputs;
    for (const std::uint32_t f : group.followers) gates.push_back(followers_[f]);
    for (const std::uint32_t p : group.parts) {
      gates.insert(gates.end(), nodes_[p].gates.begin(), nodes_[p].gates.end());
      for (std::size_t i = 0; i < nodes_[p].delayed.size(); ++i) {
        inputs.emplace_back(nodes_[p].delayed[i], nodes_[p].delayed_from[i]);
      }
    }
    std::sort(gates.begin(), gates.end());
    gates.erase(std::unique(gates.begin(), gates.end()), gates.end());
    std::sort(inputs.begin(), inputs.end());
    inputs.erase(std::unique(inputs.begin(), inputs.end()), inputs.end());
    if (gates.size() + inputs.size() > most_searched_gates) return false;
    std::vector<NetId> delayed;
    std::vector<Value> from;
    for (const auto& [net, value] : inputs) {
      delayed.push_back(net);
      from.push_back(value);
    }
    const auto values = [&](NetId net) {
      const bool member = circuit_.is_gate_output(net) &&
                          std::binary_search(gates.begin(), gates.end(), circuit_.gate_of(net));
      // Not what ternary analysis says of a gate that settles elsewhere: that may be x.
      return member ? step_.values[net] : net_now(net);
    };
    const Subnetwork network = subnetworks_.build(gates, delayed, from, values);
    const SearchResult result = search_any_delay(network, AnyDelayLimits{});
    if (!result.complete || !result.known) return false;
    for (const std::uint32_t i : result.differing) {
      if (i < gates.size() && follower_of_.contains(gates[i])) differing_.push_back(gates[i]);
    }
    return true;
  }

  const Circuit& circuit_;
  const Step& step_;
  const TernarySimulator& ternary_;
  SubnetworkBuilder& subnetworks_;
  const std::vector<StepPart>& parts_;
  const std::vector<PartNodes>& nodes_;
  std::unordered_map<GateId, InPart> in_part_;
  std::unordered_map<GateId, std::uint32_t> follower_of_;
  std::vector<GateId> followers_, differing_;
  std::vector<Value> values_;          // by follower, of the combination in hand
  std::vector<std::uint32_t> choice_;  // by part: outcome chosen; empty: the first
  bool as_unknown_ = false;            // gates that differ read as x
};

}  // namespace

std::vector<GateId> find_differing_followers(const Circuit& circuit, const Step& step,
                                             const TernarySimulator& ternary, SubnetworkBuilder& subnetworks,
                                             const std::vector<StepPart>& parts,
                                             const std::vector<PartNodes>& nodes) {
  return FollowerFinder(circuit, step, ternary, subnetworks, parts, nodes).run();
}

}  // namespace settle
