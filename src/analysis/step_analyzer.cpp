// From a step to its any-delay outcome: ternary simulation finds the gates that can move, these are
// cut down and split, each part is searched once, followers are filled in at the end.
//
// Why the active gates suffice: algorithm A gives the least upper bound of all reachable states (or
// more, since it has a delay in every wire as well), so a gate that it leaves at 0 or 1 never moves
// and can be folded in as a constant. Why a part that algorithm B settles needs no search: B gives
// the least upper bound of all ends in the same sense; all gates of the part end definite, so there
// is one stable state and, some gate having to move on a cycle, no lasting cycle (Brzozowski and
// Seger, IEEE Trans. Computers C-36 (11), 1987; Seger and Brzozowski 1994).
//
// Unknown start values: a gate that is x at the start is kept as a constant x. A search that meets
// no unknown function is then right whatever that gate does.
#include <algorithm>
#include <unordered_map>

#include "analysis/active_graph.h"
#include "analysis/any_delay_search.h"
#include "analysis/followers.h"
#include "analysis/step_split.h"
#include "analysis/subnetwork.h"
#include "analysis/ternary.h"
#include "settle/step_analysis.h"

namespace settle {

struct StepAnalyzer::Work {
  explicit Work(const Circuit& c) : circuit(c), ternary(c), graphs(c), subnetworks(c) {}

  const Circuit& circuit;
  TernarySimulator ternary;
  ActiveGraphBuilder graphs;
  SubnetworkBuilder subnetworks;
  /// Parts searched so far, by Subnetwork::key(); emptied when it has grown large.
  struct Seen {
    SearchResult result;
    AnyDelayLimits limits;  // matter when the result is not complete
  };
  std::unordered_map<std::string, Seen> seen;
  std::size_t seen_bytes = 0;

  SearchResult search(const Subnetwork& network, const AnyDelayLimits& limits, bool reuse);
};

namespace {

constexpr std::size_t most_seen_bytes = std::size_t{64} << 20;

PartNodes nodes_of(const ActiveGraph& graph, const NodeList& part, std::span<const Value> values) {
  PartNodes nodes;
  for (const std::uint32_t node : part) {
    if (node < graph.gates.size()) {
      nodes.gates.push_back(graph.gates[node]);
    } else {
      const NetId input = graph.delayed[node - graph.gates.size()];
      nodes.delayed.push_back(input);
      nodes.delayed_from.push_back(values[input]);
    }
  }
  return nodes;
}

StepPart to_part(const PartNodes& nodes, const SearchResult& result) {
  StepPart part;
  const std::size_t count = nodes.gates.size();
  part.gates = nodes.gates;
  for (const std::vector<bool>& outcome : result.outcomes) {
    std::vector<Value>& values = part.outcomes.emplace_back(count);
    for (std::size_t i = 0; i < count; ++i) values[i] = to_value(outcome[i]);
  }
  std::sort(part.outcomes.begin(), part.outcomes.end());
  part.may_cycle = result.may_cycle;
  for (const std::uint32_t i : result.differing) {
    if (i < count) part.differing.push_back(nodes.gates[i]);
  }
  for (const std::uint32_t i : result.racing) {
    if (i < count) {
      part.racing.push_back(nodes.gates[i]);
    } else {
      part.racing_inputs.push_back(nodes.delayed[i - count]);
    }
  }
  std::sort(part.racing_inputs.begin(), part.racing_inputs.end());
  part.states = result.states;
  return part;
}

}  // namespace

SearchResult StepAnalyzer::Work::search(const Subnetwork& network, const AnyDelayLimits& limits, bool reuse) {
  if (!reuse) return search_any_delay(network, limits);
  std::string key = network.key();
  if (const auto found = seen.find(key); found != seen.end()) {
    const auto& [result, tried] = found->second;
    if (result.complete || (limits.states <= tried.states && limits.memory_bytes <= tried.memory_bytes))
      return result;
  }
  SearchResult result = search_any_delay(network, limits);
  const std::size_t bytes = key.size() + result.outcomes.size() * (32 + network.size() / 8) + 256;
  if (bytes > most_seen_bytes / 8) return result;
  if ((seen_bytes += bytes) > most_seen_bytes) {
    seen.clear();
    seen_bytes = bytes;
  }
  seen.insert_or_assign(std::move(key), Seen{result, limits});
  return result;
}

StepAnalyzer::StepAnalyzer(const Circuit& circuit) : work_(std::make_unique<Work>(circuit)) {}
StepAnalyzer::~StepAnalyzer() = default;
StepAnalyzer::StepAnalyzer(StepAnalyzer&&) noexcept = default;

TernaryResult StepAnalyzer::ternary(const Step& step, bool loops_only) {
  work_->ternary.run(step, loops_only);
  TernaryResult result;
  result.active = work_->ternary.active();
  for (const GateId gate : result.active) {
    if (work_->ternary.gate_output(gate) == Value::x) result.undecided.push_back(gate);
  }
  std::sort(result.undecided.begin(), result.undecided.end());
  return result;
}

std::vector<Value> StepAnalyzer::ternary_values(const Step& step, bool after_a) {
  work_->ternary.run(step, false, after_a);
  std::vector<Value> values(work_->circuit.net_count());
  for (NetId net = 0; net < work_->circuit.net_count(); ++net) values[net] = work_->ternary.value(net);
  return values;
}

StepOutcome StepAnalyzer::any_delay(const Step& step, const AnyDelayLimits& limits, bool skewed,
                                    const Reductions& reductions) {
  StepOutcome outcome;
  work_->ternary.run(step, reductions.cut_followers);
  const auto undecided = [&](GateId gate) { return work_->ternary.gate_output(gate) == Value::x; };
  const auto& active = work_->ternary.active();
  if (reductions.trust_ternary && std::none_of(active.begin(), active.end(), undecided)) return outcome;

  const ActiveGraph graph = work_->graphs.build(step, active, skewed, reductions.active_only);
  const auto start = [&](NetId net) { return work_->graphs.start_value(net); };
  std::vector<PartNodes> kept;  // of outcome.parts
  for (const NodeList& list : split_step(graph, reductions)) {
    PartNodes nodes = nodes_of(graph, list, step.values);
    const bool open = std::any_of(nodes.gates.begin(), nodes.gates.end(), undecided);
    if (!open && reductions.trust_ternary) continue;
    const Subnetwork network =
        work_->subnetworks.build(nodes.gates, nodes.delayed, nodes.delayed_from, start);
    const SearchResult result = work_->search(network, limits, reductions.reuse);
    outcome.complete = outcome.complete && result.complete;
    outcome.known = outcome.known && result.known;
    StepPart part = to_part(nodes, result);
    outcome.differing.insert(outcome.differing.end(), part.differing.begin(), part.differing.end());
    if (open || part.may_cycle || part.outcomes.size() != 1) {
      outcome.parts.push_back(std::move(part));
      kept.push_back(std::move(nodes));
    }
    if (!outcome.known || !outcome.complete) break;  // there is no verdict any more
  }
  if (outcome.complete && outcome.known && !outcome.differing.empty() && reductions.cut_followers) {
    work_->ternary.run(step, false);
    const auto followers = find_differing_followers(work_->circuit, step, work_->ternary, work_->subnetworks,
                                                    outcome.parts, kept);
    outcome.differing.insert(outcome.differing.end(), followers.begin(), followers.end());
  }
  std::sort(outcome.differing.begin(), outcome.differing.end());
  outcome.differing.erase(std::unique(outcome.differing.begin(), outcome.differing.end()),
                          outcome.differing.end());
  return outcome;
}

}  // namespace settle
