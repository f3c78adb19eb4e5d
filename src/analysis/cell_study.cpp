// From a small circuit to its rules.
//
// Where an output is no function of inputs and of what the outputs themselves store, the stored nets
// are looked for inside: of each loop the first net with a rule of its own that is neither equal nor
// opposite to one chosen before; the outputs are then functions of inputs and chosen nets.
#include "analysis/cell_study.h"

#include <algorithm>
#include <bit>

#include <fmt/format.h>

#include "analysis/open_levels.h"

namespace settle {
namespace {

constexpr std::uint64_t share_of_joint_steps = 20;  // they may visit so many times fewer states
constexpr std::uint64_t most_proof_conflicts = 100'000;  // of the SAT solver, for one question about a large cell
constexpr std::uint64_t most_proof_questions = 2'000;

// `nets` decide the value of observed net `o` together with the inputs, in every state.
bool decides(const Behaviour& b, unsigned o, const std::vector<unsigned>& nets, OutputRule& rule) {
  rule = OutputRule{};
  rule.stored = nets;
  rule.level = PartialFunction(b.inputs + static_cast<unsigned>(nets.size()));
  for (const Behaviour::State& state : b.states) {
    std::uint32_t v = state.x;
    for (const unsigned n : nets) v = v << 1 | static_cast<std::uint32_t>(b.observed_at(state.y, n));
    if (!rule.level.add(v, b.observed_at(state.y, o))) return false;
  }
  rule.kind = OutputRule::Kind::combinational;
  return true;
}

bool is_named(const OutputRule& rule) {
  return rule.is_stored() && rule.core != Core::level_logic && rule.core != Core::clocked_logic;
}

bool is_edge_rule(const OutputRule& rule) { return rule.kind == OutputRule::Kind::edge && rule.clocks.size() == 1; }

// Adds one net of each loop that is not yet represented, as long as some have a rule. False: too many nets.
bool choose_nets(const CellStudy& study, bool edges_only, const std::atomic<bool>* stop, std::vector<NetId>& chosen) {
  const Circuit& c = study.circuit;
  for (bool more = true; more;) {   // a net may have a rule once those are known that it reads
    more = false;
    for (std::uint32_t loop = 0; loop < c.loop_count(); ++loop) {
      const auto gates = c.loop(loop);
      const auto is_chosen = [&](GateId gate) {
        return std::find(chosen.begin(), chosen.end(), c.visible_net(gate)) != chosen.end();
      };
      if (std::any_of(gates.begin(), gates.end(), is_chosen)) continue;
      for (const GateId gate : gates) {
        if (is_set(stop)) return false;
        if (study.space.input_bits + chosen.size() + 1 > most_behaviour_variables) return false;
        std::vector<NetId> tried = chosen;
        tried.push_back(c.visible_net(gate));
        const OutputRule rule = find_rule(behaviour_of(c, study.space, tried), static_cast<unsigned>(chosen.size()));
        if (edges_only ? !is_edge_rule(rule) : !is_named(rule)) continue;
        chosen = std::move(tried);
        more = true;
        break;
      }
    }
  }
  return true;
}

// Rules of all observed nets once these inner nets are observed as well; false when some are missing.
bool take_nets(CellStudy& study, std::vector<NetId> chosen) {
  const std::size_t outputs = study.observed.size();
  if (chosen.size() == outputs) return false;
  Behaviour b = behaviour_of(study.circuit, study.space, chosen);
  if (!b.is_usable) return false;
  std::vector<OutputRule> rules;
  std::vector<unsigned> inner;
  for (unsigned o = 0; o < chosen.size(); ++o) {
    rules.push_back(find_rule(b, o));
    if (o >= outputs) inner.push_back(o);
  }
  for (unsigned o = 0; o < outputs; ++o) {
    if (rules[o].kind == OutputRule::Kind::unknown && !decides(b, o, inner, rules[o])) return false;
    // A function of what is stored says more than a rule about several outputs at once.
    OutputRule logic;
    if (!is_named(rules[o]) && decides(b, o, inner, logic)) rules[o] = std::move(logic);
  }
  study.behaviour = std::move(b);
  study.observed = std::move(chosen);
  study.rules = std::move(rules);
  return true;
}

void look_inside(CellStudy& study, const std::atomic<bool>* stop) {
  const auto unknown = [](const OutputRule& rule) { return rule.kind == OutputRule::Kind::unknown; };
  if (std::none_of(study.rules.begin(), study.rules.end(), unknown)) return;
  std::vector<NetId> chosen = study.observed;
  if (choose_nets(study, true, stop, chosen) && take_nets(study, chosen)) return;
  chosen = study.observed;
  if (choose_nets(study, false, stop, chosen)) take_nets(study, chosen);
}

// The net that names the cell: a named rule, then data that is not inverted, then pin order.
unsigned primary_of(const CellStudy& study) {
  unsigned best = 0;
  int best_rank = -1;
  for (unsigned o = 0; o < study.rules.size(); ++o) {
    const OutputRule& rule = study.rules[o];
    int rank = !rule.is_stored() ? 0 : !is_named(rule) ? 1 : 2;
    const bool jk = rule.core == Core::jk || rule.core == Core::gated_jk || rule.core == Core::set_reset || rule.core == Core::gated_set_reset;
    const std::size_t telling = !jk ? rule.roles.size() - 1 : rule.core == Core::jk || rule.core == Core::set_reset ? 0 : 1;
    if (rank == 2 && (rule.roles.empty() || rule.roles[telling].positive)) rank = 3;
    if (rank > best_rank) {
      best = o;
      best_rank = rank;
    }
  }
  return best;
}

// What can be said of a cell with too many inputs or states to visit.
void prove_storage(CellStudy& study, const std::atomic<bool>* stop) {
  ProofOptions options;
  options.conflicts = most_proof_conflicts;
  options.rounds = most_proof_questions;
  options.stop = stop;
  const std::vector<Value> free(study.circuit.input_count(), Value::x);
  study.may_lack_level = OpenLevels(study.circuit, free).possible(stop, options.conflicts);
  study.memory = prove_memory(study.circuit, free, options);
  if (!is_set(stop)) study.unstable = find_unstable_inputs(study.circuit, free, options);
}

}  // namespace

CellStudy study_cell(Circuit circuit, std::uint32_t output_count, const ExplainOptions& options) {
  CellStudy study;
  study.circuit = std::move(circuit);
  study.output_count = output_count;
  study.observed = study.circuit.outputs();
  StateSpaceOptions space_options;
  space_options.any_delay = options.any_delay;
  space_options.stable_limit = options.stable_limit;
  space_options.transition_limit = options.transition_limit;
  space_options.input_limit = options.input_limit;
  space_options.jobs = options.jobs;
  space_options.stop = options.stop;
  // First the steps that recognition stands on; then those of several inputs, with a smaller share, for
  // nothing but cautions hangs on them.
  space_options.single_changes_only = true;
  study.space = explore(study.circuit, space_options);
  study.behaviour = behaviour_of(study.circuit, study.space, study.observed, options.stop);
  if (!study.behaviour.is_usable) prove_storage(study, options.stop);
  if (study.space.complete && study.behaviour.is_usable && study.circuit.input_count() > 1) {
    space_options.single_changes_only = false;
    StateSpaceOptions joint = space_options;
    joint.any_delay.states = std::max<std::uint64_t>(options.any_delay.states / share_of_joint_steps, 1);
    StateSpace all = explore(study.circuit, joint);
    // Where their share does not even do for the steps of one input, all of them are left out.
    const bool taken = behaviour_of(study.circuit, all, study.observed, options.stop).unproved == 0;
    study.joint_unjudged = static_cast<std::uint64_t>(
        std::count_if(all.transitions.begin(), all.transitions.end(), [&](const Transition& step) {
          return taken ? !step.judged : std::popcount(all.stable[step.from].inputs ^ step.inputs) > 1;
        }));
    if (taken) study.space = std::move(all);
  }
  // After a stop nobody looks at the rules.
  for (unsigned o = 0; o < study.observed.size(); ++o)
    study.rules.push_back(is_set(options.stop) ? OutputRule{} : find_rule(study.behaviour, o));
  if (study.behaviour.is_usable && study.behaviour.states_held > 1) look_inside(study, options.stop);
  study.primary = primary_of(study);
  for (unsigned i = 0; i < study.circuit.input_count(); ++i) study.input_names.push_back(study.circuit.net_name(i));
  for (const NetId net : study.observed) study.observed_names.push_back(study.circuit.net_name(net));
  name_cell(study);
  return study;
}

}  // namespace settle
