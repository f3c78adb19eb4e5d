// Words for steps that do not settle.
//
// Changes of the inputs with the same racing gates and the same outcomes are one group; each is covered with
// patterns of its own. What tells the states in trouble from others with the same inputs, one net or a net
// and an input, is said. Cost: a pass over the states of each change, for each observed net and each input.
#include "analysis/step_groups.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace settle {
namespace {

constexpr std::size_t most_slow_gates = 6;       // listed by name
constexpr std::size_t most_covered_groups = 32;  // of the others each counts as one kind of changes

std::string further(std::size_t number) {
  return fmt::format(" (and {}, which 'settle states' lists)", further_kinds(number));
}

// " if q was unlike d", for an input that rests.
std::string if_unlike_input(const CellStudy& study, const StepGroup& group,
                            const std::vector<std::pair<std::uint32_t, bool>>& states) {
  for (unsigned i = 0; i < study.circuit.input_count(); ++i) {
    const VectorIndex bit = study.behaviour.input_bit(i);
    if (std::any_of(group.pairs.begin(), group.pairs.end(),
                    [&](VectorPair pair) { return ((pair.from ^ pair.to) & bit) != 0; })) {
      continue;
    }
    for (const bool unlike : {true, false}) {
      const bool tells = std::all_of(states.begin(), states.end(), [&](const auto& state) {
        const bool one =
            study.space.value(study.circuit, state.first, study.observed[study.primary]) == Value::one;
        const bool input = study.behaviour.input_at(study.space.stable[state.first].inputs, i);
        return ((one != input) == unlike) == state.second;
      });
      if (tells) {
        return fmt::format(" if {} was {} {}", study.observed_name(study.primary),
                           unlike ? "unlike" : "equal to", study.input_name(i));
      }
    }
  }
  return {};
}

// " if q was 0": what tells the states in trouble from the others with the same inputs; empty: all are, or no
// net does.
std::string only_if(const CellStudy& study, const StepGroup& group) {
  std::set<std::pair<std::uint32_t, VectorIndex>> troubled;
  for (const std::uint32_t t : group.steps)
    troubled.emplace(study.space.transitions[t].from, study.space.transitions[t].inputs);
  std::vector<std::pair<std::uint32_t, bool>> states;
  for (const VectorPair pair : group.pairs) {
    const auto [first, last] = study.space.states_with(pair.from);
    for (std::uint32_t s = first; s < last; ++s) states.emplace_back(s, troubled.contains({s, pair.to}));
  }
  if (std::all_of(states.begin(), states.end(), [](const auto& state) { return state.second; })) return {};
  for (unsigned k = 0; k <= study.observed.size(); ++k) {
    const unsigned o = k == 0 ? study.primary : k - 1;
    for (const Value value : {Value::zero, Value::one}) {
      const bool tells = std::all_of(states.begin(), states.end(), [&](const auto& state) {
        return (study.space.value(study.circuit, state.first, study.observed[o]) == value) == state.second;
      });
      if (tells) return fmt::format(" if {} was {}", study.observed_name(o), to_char(value));
    }
  }
  return if_unlike_input(study, group, states);
}

std::string joined(const std::string& gates, const std::string& ends) {
  return gates + (!gates.empty() && !ends.empty() ? ", and " : "") + ends;
}

}  // namespace

std::vector<StepGroup> group_steps(
    const CellStudy& study, const std::vector<std::pair<VectorPair, std::vector<std::uint32_t>>>& wanted,
    const std::vector<VectorPair>& free) {
  std::vector<StepGroup> groups;
  std::map<std::pair<std::set<GateId>, std::string>, std::size_t> known;
  for (const auto& [pair, steps] : wanted) {
    std::set<GateId> racing;
    for (const std::uint32_t t : steps) {
      const std::vector<GateId>& gates = study.space.transitions[t].racing;
      racing.insert(gates.begin(), gates.end());
    }
    const std::string ends = endings_text(study, steps);
    const auto [at, is_new] = known.try_emplace({racing, ends}, groups.size());
    if (is_new) groups.push_back(StepGroup{racing, ends, {}, {}, {}});
    StepGroup& group = groups[at->second];
    group.pairs.push_back(pair);
    group.steps.insert(group.steps.end(), steps.begin(), steps.end());
  }
  for (std::size_t g = 0; g < groups.size(); ++g) {
    std::sort(groups[g].pairs.begin(), groups[g].pairs.end());
    if (g < most_covered_groups) {
      groups[g].patterns = cover_with_patterns(study.circuit.input_count(), groups[g].pairs, free);
    }
  }
  return groups;
}

std::string cases_text(const CellStudy& study, const std::vector<StepPattern>& patterns) {
  std::vector<std::string> texts;
  for (std::size_t p = 0; p < patterns.size() && p < most_step_patterns; ++p)
    texts.push_back(pattern_text(study, patterns[p]));
  std::string text;
  for (std::size_t i = 0; i < texts.size(); ++i) {
    text += (i == 0 ? "when " : i + 1 == texts.size() ? ", or when " : ", when ") + texts[i];
  }
  if (patterns.size() > most_step_patterns) text += further(patterns.size() - most_step_patterns);
  return text;
}

std::string endings_text(const CellStudy& study, const std::vector<std::uint32_t>& steps) {
  std::vector<std::string> open;
  for (unsigned o = 0; o < study.observed.size(); ++o) {
    const bool differs = std::any_of(steps.begin(), steps.end(), [&](std::uint32_t t) {
      bool zero = false, one = false;
      for (const std::uint32_t s : study.space.transitions[t].to) {
        (study.space.value(study.circuit, s, study.observed[o]) == Value::one ? one : zero) = true;
      }
      return zero && one;
    });
    if (differs) open.push_back(study.observed_name(o));
  }
  if (open.empty()) return {};
  return fmt::format("{} may end at 0 or at 1", listed(open));
}

std::string groups_text(const CellStudy& study, const std::vector<StepGroup>& groups, std::string_view what,
                        bool with_ends) {
  std::string text;
  std::size_t told = 0, left = 0;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    const StepGroup& group = groups[g];
    if (g != 0 && told >= most_step_patterns) {
      left += std::max<std::size_t>(group.patterns.size(), 1);
      continue;
    }
    // Several groups share the places in the sentence; a single one has them all.
    std::vector<StepPattern> shown = group.patterns;
    if (groups.size() > 1) {
      const std::size_t places = most_step_patterns - told - (g == 0 ? 1 : 0);
      if (shown.size() > places) {
        left += shown.size() - places;
        shown.resize(places);
      }
      told += shown.size();
    }
    std::vector<std::string> names;
    for (const GateId gate : group.racing) names.push_back(study.circuit.gate_name(gate));
    std::string how = names.empty() || names.size() > 8 ? "" : fmt::format("{} race", listed(names));
    if (with_ends) how = joined(how, group.ends);
    const std::string condition = only_if(study, group);
    const std::string when = cases_text(study, shown);
    if (g == 0 && !what.empty()) {
      text += fmt::format("{}, {}{}{}{}", when, what, condition, how.empty() ? "" : ": ", how);
    } else {
      if (how.empty()) how = what.empty() ? "the result hangs on the gate delays" : "it is so, too";
      text +=
          fmt::format("{}{}{}{}, {}", g == 0 ? "" : "; ", when, condition.empty() ? "" : ",", condition, how);
    }
  }
  if (left != 0) text += further(left);
  return text;
}

std::string margin_text(const CellStudy& study, const Margin& margin, std::vector<std::string>& gates) {
  const auto quoted = [&](const std::vector<GateId>& list) {
    std::vector<std::string> names;
    for (const GateId gate : list) names.push_back(fmt::format("'{}'", study.circuit.gate_name(gate)));
    if (names.size() > most_slow_gates) {
      const std::size_t more = names.size() - most_slow_gates + 1;
      names.resize(most_slow_gates - 1);
      names.push_back(fmt::format("{} other gates", more));
    }
    return listed(names);
  };
  gates.clear();
  for (const GateId gate : margin.gates) gates.push_back(study.circuit.gate_name(gate));
  const bool one = gates.size() == 1;
  std::string hangs;
  if (margin.hanging.size() == gates.size()) {
    hangs = " (the circuit then oscillates)";
  } else if (!margin.hanging.empty()) {
    hangs = fmt::format(" (with {} the circuit then oscillates)", quoted(margin.hanging));
  }
  return fmt::format(
      "Slowing down one gate at a time, {} {} the first to spoil it, once {} takes {} times as long as each "
      "of the others{}.",
      quoted(margin.gates), one ? "is" : "are", one ? "it" : "one of them", margin.delay, hangs);
}

}  // namespace settle
