// The whole circuit: storage cells studied one by one, equal ones once, then put together.
//
// What is proved of a cell for all changes of its inputs holds for it within the circuit. States
// multiply: the states of the circuit for given inputs are combinations of the cells' states; the
// largest number is found by trying the values of those inputs that several cells have in common and
// on which a cell's number of states depends.
#include "settle/explain.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <unordered_map>

#include <fmt/format.h>

#include "analysis/cell_groups.h"
#include "analysis/cell_study.h"
#include "analysis/findings.h"
#include "analysis/opposite_inputs.h"
#include "analysis/row_findings.h"
#include "analysis/static_hazards.h"
#include "settle/table.h"

namespace settle {
namespace {

constexpr unsigned most_logic_inputs = 14;    // of an equation of outputs without storage
constexpr std::size_t most_common_inputs = 12;
constexpr std::uint64_t most_level_conflicts = 100'000;  // of the SAT solver

class Explainer {
 public:
  Explainer(const Circuit& circuit, const ExplainOptions& options) : circuit_(circuit), options_(options) {
    if (options_.any_delay.stop == nullptr) options_.any_delay.stop = options_.stop;
  }

  Explanation run() {
    result_.circuit = circuit_.cell_name();
    result_.has_loops = circuit_.loop_count() != 0;
    if (!split_into_parts(circuit_, options_.gate_limit, parts_)) {
      result_.complete = false;
      result_.incomplete_reason = fmt::format("the cells have more than {} gates together", options_.gate_limit);
      result_.kind = "unrecognised";
      return std::move(result_);
    }
    study_parts();
    if (is_set(options_.stop)) return stopped();
    describe_outputs();
    if (is_set(options_.stop)) return stopped();
    pair_logic_outputs();
    group_cells(instances_, result_);
    add_findings();
    for (ExplainFinding& finding : static_hazards(circuit_, options_)) result_.findings.push_back(std::move(finding));
    if (is_set(options_.stop)) return stopped();
    count_states();
    result_.kind = kind_of_all(result_, instances_);
    look_for_levels();
    return std::move(result_);
  }

 private:
  void look_for_levels() {
    ProofOptions proof;
    proof.conflicts = most_level_conflicts;
    proof.stop = options_.stop;
    const std::vector<Value> free(circuit_.input_count(), Value::x);
    if (!may_lack_level(circuit_, free, proof)) return;
    result_.may_lack_level = true;
    // Cells that read no such wire store what they store.
    const bool apart = std::any_of(result_.cells.begin(), result_.cells.end(), [](const ExplainedCell& cell) {
      return cell.core != CellCore::none && cell.core != CellCore::oscillator;
    }) && std::none_of(result_.cells.begin(), result_.cells.end(), [](const ExplainedCell& cell) { return cell.may_lack_level; });
    if (!apart) result_.bits_exact = false;
    leave("with some inputs a gate may read a wire that floats or is fought over, which is neither 0 nor 1");
  }

  // What is known of some cells would look like the whole: nothing is said then.
  Explanation stopped() const {
    Explanation result;
    result.circuit = circuit_.cell_name();
    result.has_loops = circuit_.loop_count() != 0;
    result.kind = "unrecognised";
    result.bits_known = result.bits_exact = false;
    result.complete = false;
    result.incomplete_reason = "stopped before all cells were studied";
    return result;
  }

  void leave(const std::string& reason) {
    result_.complete = false;
    if (result_.incomplete_reason.empty()) result_.incomplete_reason = reason;
  }

  void study_parts() {
    std::unordered_map<std::string, std::uint32_t> known;
    study_of_.assign(parts_.size(), no_id);
    start_progress(options_.progress, "studying cells", "cells", parts_.size());
    for (std::uint32_t p = 0; p < parts_.size(); ++p) {
      if (is_set(options_.stop)) return;
      advance_progress(options_.progress);
      const CircuitPart& part = parts_[p];
      if (!part.has_loop) continue;
      const auto [at, is_new] = known.emplace(part.key, static_cast<std::uint32_t>(studies_.size()));
      study_of_[p] = at->second;
      if (!is_new) continue;
      studies_.push_back(study_cell(extract_part(circuit_, part), part.output_count, options_));
      first_part_.push_back(p);
      CellStudy& study = studies_.back();
      const StateSpace& space = study.space;
      if (!study.behaviour.is_usable) {
        if (study.is_proved_free() || study.never_rests()) continue;
        leave(space.complete ? "a cell with loops has too many inputs and outputs, or outputs that are neither 0 nor 1"
                             : space.incomplete_reason);
      } else if (study.joint_unjudged != 0) {
        leave(fmt::format("of the steps in which several inputs change {} met a limit (--limit-states allows more)",
                          study.joint_unjudged));
      } else if (study.behaviour.unproved != 0) {
        leave(space.incomplete_reason.empty() ? "some steps were not judged" : space.incomplete_reason);
      }
    }
    find_opposite_inputs(parts_, study_of_, studies_);
    for (CellStudy& study : studies_) {
      if (is_set(options_.stop)) return;
      find_findings(study, options_);
    }
  }

  // Puts the names of the part into its study.
  CellStudy& named_study(std::uint32_t p) {
    CellStudy& study = studies_[study_of_[p]];
    const CircuitPart& part = parts_[p];
    for (std::size_t i = 0; i < part.inputs.size(); ++i) study.input_names[i] = circuit_.net_name(part.inputs[i]);
    for (std::size_t o = 0; o < study.observed.size(); ++o) {
      // Inner nets that the outputs need are gate outputs.
      const NetId net = o < part.observed.size() ? part.observed[o]
                        : study.circuit.is_gate_output(study.observed[o])
                            ? circuit_.visible_net(part.gates[study.circuit.gate_of(study.observed[o])])
                            : study.observed[o];
      study.observed_names[o] = circuit_.net_name(net);
    }
    name_cell(study);
    return study;
  }

  void describe_outputs() {
    std::unordered_map<NetId, ExplainedOutput> by_net;
    for (std::uint32_t p = 0; p < parts_.size() && !is_set(options_.stop); ++p) {
      if (study_of_[p] == no_id) {
        describe_logic(parts_[p], by_net);
        continue;
      }
      CellStudy& study = named_study(p);
      CellInstance instance;
      instance.facts = study.facts;
      take_as_data(study, instance.facts);
      for (const NetId net : parts_[p].inputs) {
        if (circuit_.is_gate_output(net) || circuit_.is_resolved(net)) instance.facts.fed_by.push_back(circuit_.net_name(net));
      }
      instance.study = study_of_[p];
      for (std::uint32_t o = 0; o < study.output_count; ++o) {
        instance.outputs.push_back(study.observed_name(o));
        ExplainedOutput output = describe(study, o);
        output.cell = static_cast<std::uint32_t>(instances_.size());
        by_net.emplace(parts_[p].observed[o], std::move(output));
        add_pairs(study, o, parts_[p].observed.size());
      }
      for (std::size_t o = std::max<std::size_t>(study.output_count, parts_[p].observed.size()); o < study.rules.size(); ++o) {
        ExplainedOutput inner = describe(study, static_cast<unsigned>(o));
        inner.name = study.observed_name(static_cast<unsigned>(o));
        inner.cell = static_cast<std::uint32_t>(instances_.size());
        result_.inner.push_back(std::move(inner));
      }
      for (const OutputRule& rule : study.rules) instance.rules.push_back(&rule);
      find_alike(study.behaviour, instance);
      instance.observed = study.observed_names;
      instance.inputs = study.input_names;
      instances_.push_back(std::move(instance));
      instance_part_.push_back(p);
    }
    know_by_resting_rings();
    for (std::uint32_t bit = 0; bit < circuit_.outputs().size(); ++bit) {
      const NetId net = circuit_.outputs()[bit];
      ExplainedOutput output;
      if (const auto found = by_net.find(net); found != by_net.end()) {
        output = found->second;
      } else {
        output.cell = no_id;
        output.equation = fmt::format("{} = {}", circuit_.output_bit_name(bit),
                                      circuit_.is_undriven(net) ? "z" : circuit_.net_name(net));
        if (circuit_.is_input(net)) output.changes_on.push_back({circuit_.net_name(net), OutputTrigger::Edge::level});
      }
      output.name = circuit_.output_bit_name(bit);
      result_.outputs.push_back(std::move(output));
    }
  }

  // A cell that is known while a net of an oscillator has one level is known while the oscillator is made to rest so.
  void know_by_resting_rings() {
    for (CellInstance& instance : instances_) {
      std::string& known = instance.facts.known_when;
      for (std::uint32_t i = 0; i < instances_.size(); ++i) {
        const std::uint32_t p = instance_part_[i];
        if (instances_[i].facts.core != CellCore::oscillator || !studies_[study_of_[p]].behaviour.is_usable) continue;
        for (unsigned o = 0; o < parts_[p].observed.size(); ++o) {
          const std::string& net = instances_[i].observed[o];
          if (known != net && known != net + "'") continue;
          const CellStudy& study = named_study(p);
          std::vector<VectorIndex> rests;
          for (const Behaviour::State& state : study.behaviour.states) {
            if (study.behaviour.observed_at(state.y, o) == (known == net)) rests.push_back(state.x);
          }
          const bool from_inputs = std::all_of(parts_[p].inputs.begin(), parts_[p].inputs.end(),
                                               [&](NetId input) { return circuit_.is_input(input); });
          if (rests.empty() || !from_inputs) continue;
          std::sort(rests.begin(), rests.end());
          instance.facts.known_behind = net;
          known = inputs_text(study, rests);
          break;
        }
        if (!instance.facts.known_behind.empty()) break;
      }
    }
  }

  static void find_alike(const Behaviour& b, CellInstance& instance) {
    for (unsigned o = 0; o < b.observed; ++o) {
      instance.first_alike.push_back(o);
      instance.is_opposite.push_back(false);
      for (unsigned e = 0; e < o; ++e) {
        std::size_t equal = 0;
        for (const Behaviour::State& state : b.states) equal += b.observed_at(state.y, e) == b.observed_at(state.y, o) ? 1 : 0;
        if (equal != 0 && equal != b.states.size()) continue;
        instance.first_alike[o] = e;
        instance.is_opposite[o] = equal == 0;
        break;
      }
    }
  }

  static ExplainedOutput describe(const CellStudy& study, unsigned o) {
    const OutputRule& rule = study.rules[o];
    ExplainedOutput output;
    const std::string& name = study.observed_name(o);
    output.is_stored = study.behaviour.states_held > 1;
    const bool covers_rest = study.space.unknown_level.empty() || study.behaviour.states_held > 1;
    if (rule.kind == OutputRule::Kind::unknown || !covers_rest) return output;
    const bool logic = rule.kind == OutputRule::Kind::combinational;
    if (logic && rule.stored.empty()) output.is_stored = false;
    const std::string side = equation_side(study, rule, rule.is_clocked());
    const bool says_nothing = rule.is_stored() && rule.core == Core::gated_toggle;   // it holds when it rests
    if (!side.empty() && !says_nothing) output.equation = fmt::format("{}{} = {}", name, logic ? "" : "+", side);
    if (rule.is_clocked() && !level_holds(rule, o)) {
      output.level_equation = fmt::format("{}+ = {}", name, equation_side(study, rule, false));
    }
    for (std::uint32_t s = 0; s < study.space.transitions.size() && !logic; ++s) {
      const Transition& step = study.space.transitions[s];
      output.has_free_entries = output.has_free_entries || (step.judged && step.equal_delay == no_state);
    }
    const LevelRegions regions = level_regions(study, rule, o);
    output.holds_when = regions.holds;
    output.set_when = regions.sets;
    output.reset_when = regions.resets;
    for (const ClockEdge& clock : rule.clocks) {
      output.changes_on.push_back({study.input_name(clock.input),
                                   clock.rises ? OutputTrigger::Edge::rise : OutputTrigger::Edge::fall});
    }
    for (unsigned i = 0; i < study.circuit.input_count(); ++i) {
      if (!rule.level.can_do_without(i)) output.changes_on.push_back({study.input_name(i), OutputTrigger::Edge::level});
    }
    return output;
  }

  // `cut_nets`: of the observed nets, those before it are outputs or read by other cells.
  void add_pairs(const CellStudy& study, unsigned o, std::size_t cut_nets) {
    if (study.behaviour.states_held < 2) return;
    std::vector<VectorIndex> equal_at;
    const unsigned other = opposite_of(study, o, equal_at);
    if (other == no_id || other < o) return;
    if (other >= study.output_count) {
      const bool is_read = other < cut_nets && equal_at.empty();
      if (is_read) result_.inner_complementary.push_back({study.observed_name(o), study.observed_name(other), {}, false, false});
      return;
    }
    ComplementaryPair pair{study.observed_name(o), study.observed_name(other), {}, false, false};
    std::sort(equal_at.begin(), equal_at.end());
    pair.except = inputs_text(study, equal_at);
    for (const Behaviour::State& state : study.behaviour.states) {
      if (!equal_at.empty() && state.x == equal_at[0]) pair.both_at_one = study.behaviour.observed_at(state.y, o);
    }
    for (const Transition& step : study.space.transitions) {
      const bool there = std::binary_search(equal_at.begin(), equal_at.end(), step.inputs);
      pair.may_swing = pair.may_swing || (there && step.judged && step.equal_delay == no_state);
    }
    result_.complementary.push_back(std::move(pair));
  }

  // Outputs without a loop of their own: a function of inputs and of what cells store.
  void describe_logic(const CircuitPart& part, std::unordered_map<NetId, ExplainedOutput>& by_net) {
    const auto n = static_cast<unsigned>(part.inputs.size());
    std::vector<std::string> names;
    for (const NetId net : part.inputs) names.push_back(circuit_.net_name(net));
    std::optional<TruthTable> table;
    if (n <= most_logic_inputs) table = truth_table(extract_part(circuit_, part), {}, options_.stop);
    for (std::size_t o = 0; o < part.output_count; ++o) {
      ExplainedOutput output;
      output.cell = no_id;
      for (const NetId net : part.inputs) {
        output.changes_on.push_back({circuit_.net_name(net), OutputTrigger::Edge::level});
        output.is_stored = output.is_stored || !circuit_.is_input(net);
      }
      const std::string name = circuit_.net_name(part.observed[o]);
      if (table && table->other[o].empty()) {
        MinimiseOptions minimising;
        minimising.stop = options_.stop;
        const Minimised sum = minimise(n, table->ones[o], {}, minimising);
        output.equation = fmt::format("{} = {}", name, equation_text(sum.cubes, names));
        if (sum.cubes.size() == 1 && n == 1 && sum.cubes[0].care == 1 && sum.cubes[0].value == 0) {
          opposite_.emplace_back(part.inputs[0], part.observed[o]);
        }
      }
      by_net.emplace(part.observed[o], std::move(output));
    }
  }

  void pair_logic_outputs() {
    for (const auto& [a, b] : opposite_) {
      const auto& outputs = circuit_.outputs();
      if (std::find(outputs.begin(), outputs.end(), a) == outputs.end() || circuit_.is_input(a)) continue;
      result_.complementary.push_back({circuit_.net_name(a), circuit_.net_name(b), {}, false, false});
    }
  }

  void add_findings() {
    std::map<std::pair<std::uint32_t, ExplainFinding::Kind>, std::uint32_t> told_by;   // cells that differ only at their ends
    for (std::uint32_t s = 0; s < studies_.size(); ++s) {
      const auto instance = std::find_if(instances_.begin(), instances_.end(),
                                         [&](const CellInstance& candidate) { return candidate.study == s; });
      for (ExplainFinding finding : studies_[s].findings) {
        finding.cell = instance->cell;
        if (told_by.emplace(std::pair(finding.cell, finding.kind), s).first->second != s) continue;
        if (leave_out_own_clock(finding, *instance, instances_)) continue;
        result_.findings.push_back(std::move(finding));
      }
    }
    add_row_findings({circuit_, options_, parts_, study_of_, studies_, instances_, instance_part_}, result_);
    std::stable_sort(result_.findings.begin(), result_.findings.end(),
                     [](const ExplainFinding& a, const ExplainFinding& b) { return a.is_warning > b.is_warning; });
  }

  // States of a cell by its inputs, and on which inputs their number depends.
  struct Count {
    std::vector<std::uint32_t> by_vector;
    std::vector<bool> depends;
  };

  void count_states() {
    std::vector<Count> counts;
    for (const CellStudy& study : studies_) {
      Count count;
      const unsigned n = study.circuit.input_count();
      if (study.is_proved_free()) count.depends.assign(n, false);
      if (study.behaviour.is_usable) {
        count.by_vector.assign(std::size_t{1} << n, 0);
        // Alike states with different inner nets are one.
        std::map<std::pair<VectorIndex, std::uint32_t>, bool> seen;
        for (const StableState& state : study.space.stable) {
          if (study.behaviour.unproved != 0) break;
          if (seen.emplace(std::pair(state.inputs, state.alike), true).second) ++count.by_vector[state.inputs];
        }
        for (const Behaviour::State& state : study.behaviour.states) {
          if (study.behaviour.unproved != 0) ++count.by_vector[state.x];
        }
        for (unsigned i = 0; i < n; ++i) {
          bool depends = false;
          const VectorIndex bit = VectorIndex{1} << (n - 1 - i);
          for (VectorIndex x = 0; x < count.by_vector.size(); ++x) depends |= count.by_vector[x] != count.by_vector[x ^ bit];
          count.depends.push_back(depends);
        }
      }
      counts.push_back(std::move(count));
    }
    std::map<NetId, std::uint32_t> users;   // cells whose number of states depends on the net
    for (const std::uint32_t p : instance_part_) {
      const Count& count = counts[study_of_[p]];
      if (studies_[study_of_[p]].is_proved_free() || studies_[study_of_[p]].facts.core == Core::oscillator) continue;
      if (count.by_vector.empty()) {
        result_.bits_known = result_.bits_exact = false;
        return;
      }
      for (std::size_t i = 0; i < parts_[p].inputs.size(); ++i) {
        if (count.depends[i]) ++users[parts_[p].inputs[i]];
      }
    }
    std::vector<NetId> common;
    for (const auto& [net, number] : users) {
      if (!circuit_.is_input(net)) {
        if (instance_part_.size() > 1) result_.bits_exact = false;
      } else if (number > 1) {
        common.push_back(net);
      }
    }
    if (common.size() > most_common_inputs) {
      common.resize(most_common_inputs);
      result_.bits_exact = false;
    }
    double most_bits = 0;
    std::uint64_t most_states = 0;
    bool fits = true;
    const bool has_storage = std::any_of(instance_part_.begin(), instance_part_.end(), [&](std::uint32_t p) {
      const Core core = studies_[study_of_[p]].facts.core;
      return core != Core::oscillator && core != Core::none;
    });
    for (std::uint32_t values = 0; values < (1u << common.size()); ++values) {
      double bits = 0;
      std::uint64_t states = instance_part_.empty() ? 1 : 1;
      bool none = false, exact = true;
      for (const std::uint32_t p : instance_part_) {
        // What oscillates stores nothing, and does not keep others from storing.
        const bool swings = studies_[study_of_[p]].facts.core == Core::oscillator;
        if (studies_[study_of_[p]].is_proved_free() || (swings && has_storage)) continue;
        const CircuitPart& part = parts_[p];
        VectorIndex mask = 0, fixed = 0;
        for (std::size_t i = 0; i < part.inputs.size(); ++i) {
          const auto at = std::lower_bound(common.begin(), common.end(), part.inputs[i]);
          if (at == common.end() || *at != part.inputs[i]) continue;
          const VectorIndex bit = VectorIndex{1} << (part.inputs.size() - 1 - i);
          mask |= bit;
          if ((values >> (at - common.begin()) & 1u) != 0) fixed |= bit;
        }
        std::uint32_t most = 0;
        const auto& by_vector = counts[study_of_[p]].by_vector;
        for (VectorIndex x = 0; x < by_vector.size(); ++x) {
          if ((x & mask) == fixed) most = std::max(most, by_vector[x]);
        }
        none = none || most == 0;
        if (most > 1) bits += std::log2(static_cast<double>(most));
        exact = exact && (most == 0 || states <= ~std::uint64_t{0} / most);
        states = exact ? states * most : 0;
      }
      if (none || bits < most_bits || (bits == most_bits && states <= most_states && most_states != 0)) continue;
      most_bits = bits;
      most_states = states;
      fits = exact;
    }
    result_.bits_stored = static_cast<std::uint64_t>(std::ceil(most_bits - 1e-9));
    if (fits) result_.states_held = most_states;
  }

  const Circuit& circuit_;
  ExplainOptions options_;
  Explanation result_;
  std::vector<CircuitPart> parts_;
  std::vector<std::uint32_t> study_of_;     // by part, or no_id
  std::vector<CellStudy> studies_;
  std::vector<std::uint32_t> first_part_;   // by study
  std::vector<CellInstance> instances_;     // parts with loops
  std::vector<std::uint32_t> instance_part_;
  std::vector<std::pair<NetId, NetId>> opposite_;  // net and an output that is its complement
};

// Outputs behind a three-state gate that nothing in the circuit reads, gate by gate.
std::vector<ThreeStateOutput> three_state_outputs(const Circuit& circuit, std::vector<GateId>& gates) {
  std::vector<ThreeStateOutput> result;
  for (std::uint32_t bit = 0; bit < circuit.outputs().size(); ++bit) {
    const NetId net = circuit.outputs()[bit];
    if (!circuit.is_gate_output(net) || !circuit.fan_out(net).empty()) continue;
    const GateId gate = circuit.gate_of(net);
    if (!is_three_state(circuit.kind(gate)) || circuit.shared_wire(gate) != no_id) continue;
    const NetId control = circuit.fan_in(gate)[1];
    if (circuit.is_constant(control) || circuit.is_undriven(control)) continue;
    const GateKind kind = circuit.kind(gate);
    result.push_back({circuit.output_bit_name(bit), circuit.net_name(control),
                      kind == GateKind::bufif1 || kind == GateKind::notif1});
    gates.push_back(gate);
  }
  return result;
}

}  // namespace

std::string_view name_of(ExplainFinding::Kind kind) {
  constexpr std::string_view names[] = {"forbidden-change", "undecided-change", "delay-dependent", "hazard",
                                        "race-around",      "order-of-inputs",  "pulse-triggered", "neighbours",
                                        "unknown-level",    "wire-delay",       "short-pulse"};
  return names[static_cast<std::size_t>(kind)];
}

Explanation explain(const Circuit& circuit, const ExplainOptions& options) {
  CircuitChange change;
  std::vector<ThreeStateOutput> three_state = three_state_outputs(circuit, change.always_on);
  if (three_state.empty()) return Explainer(circuit, options).run();
  const Circuit driven = changed_copy(circuit, change);
  Explanation result = Explainer(driven, options).run();
  result.three_state = std::move(three_state);
  return result;
}

}  // namespace settle
