// Trade names: from core, roles and polarities to "rising-edge D flip-flop, asynchronous reset active low".
#include <algorithm>
#include <array>
#include <bit>

#include <fmt/format.h>

#include "analysis/cell_study.h"

namespace settle {
namespace {

struct Named {
  std::string_view name;
  std::vector<std::string_view> roles;
};

Named named(Core core) {
  switch (core) {
    case Core::hold: return {"set-reset latch", {}};
    case Core::transparent: return {"transparent latch", {"gate", "data"}};
    case Core::gated_set_reset: return {"gated set-reset latch", {"gate", "set", "reset"}};
    case Core::gated_jk: return {"level-triggered JK latch", {"gate", "J", "K"}};
    case Core::gated_toggle: return {"level-triggered toggle", {"gate", "toggle"}};
    case Core::c_element: return {"C-element", {}};
    case Core::d: return {"D flip-flop", {"data"}};
    case Core::d_enable: return {"D flip-flop with enable", {"enable", "data"}};
    case Core::toggle: return {"T flip-flop", {}};
    case Core::toggle_enable: return {"T flip-flop with enable", {"enable"}};
    case Core::set_reset: return {"set-reset flip-flop", {"set", "reset"}};
    case Core::jk: return {"JK flip-flop", {"J", "K"}};
    case Core::select: return {"D flip-flop with selected data", {"select", "data", "data"}};
    case Core::clocked_logic: return {"flip-flop with next-state logic", {}};
    default: return {"storage cell", {}};
  }
}

// "set and reset active low", "set active high, reset active low".
std::string polarities(const std::vector<std::pair<std::string, bool>>& roles) {
  std::string text;
  for (const bool high : {true, false}) {
    std::vector<std::string> names;
    for (const auto& [name, active_high] : roles) {
      if (active_high == high && std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
    if (names.empty()) continue;
    if (!text.empty()) text += ", ";
    text += listed(names) + (high ? " active high" : " active low");
  }
  return text;
}

// Two stored outputs, never both at the level that means a grant, and both without it when nobody asks.
bool is_arbiter(CellStudy& study) {
  const Behaviour& b = study.behaviour;
  if (b.inputs != 2 || study.rules.size() < 2 || b.states_held != 2) return false;
  // A request or its end that leaves it undecided is no service.
  if (std::find(b.next.begin(), b.next.end(), no_state) != b.next.end()) return false;
  for (unsigned p = 0; p < study.rules.size(); ++p) {
    for (unsigned q = p + 1; q < study.rules.size(); ++q) {
      for (const bool high : {true, false}) {
        const VectorIndex idle = high ? 0 : 3, both = 3 - idle;
        bool fits = true;
        std::vector<std::uint32_t> held;
        for (const Behaviour::State& state : b.states) {
          const bool grant_p = b.observed_at(state.y, p) == high, grant_q = b.observed_at(state.y, q) == high;
          if (state.x == both) {
            fits = fits && grant_p != grant_q;
            held.push_back(state.y);
          } else if (state.x == idle) {
            fits = fits && !grant_p && !grant_q;
          } else {
            fits = fits && grant_p != grant_q;
          }
        }
        if (!fits || held.size() != 2) continue;
        ExplainedCell& facts = study.facts;
        facts.core = Core::arbiter;
        facts.kind = std::string("arbiter for two requests") + (high ? "" : ", active low");
        facts.output = study.observed_name(p);
        facts.complement = study.observed_name(q);
        // The request that alone gives p.
        for (const Behaviour::State& state : b.states) {
          if (state.x == idle || state.x == both) continue;
          const bool first_asks = b.input_at(state.x, 0) == high;
          if (first_asks != (b.observed_at(state.y, p) == high)) continue;
          facts.inputs = {{study.input_name(0), "request", high}, {study.input_name(1), "request", high}};
          study.primary = p;
          return true;
        }
        facts.inputs = {{study.input_name(1), "request", high}, {study.input_name(0), "request", high}};
        study.primary = p;
        return true;
      }
    }
  }
  return false;
}

// Three or more stable states for some inputs, told apart by which one output differs from the others.
bool is_multistable(CellStudy& study) {
  const Behaviour& b = study.behaviour;
  if (b.states_held < 3 || b.observed < 3 || b.observed != b.states_held) return false;
  if (std::any_of(study.rules.begin(), study.rules.end(), [](const OutputRule& rule) { return rule.is_clocked(); })) return false;
  for (const bool high : {true, false}) {
    std::size_t run = 0;
    bool found = false;
    VectorIndex rest = 0;
    for (std::size_t i = 0; i < b.states.size(); ++i) {
      run = i != 0 && b.states[i].x == b.states[i - 1].x ? run + 1 : 1;
      const auto ones = static_cast<unsigned>(std::popcount(b.states[i].y));
      if (ones != (high ? 1 : b.observed - 1)) run = 0;
      if (!found && run == b.states_held) {
        found = true;
        rest = b.states[i].x;
      }
    }
    if (!found) continue;
    study.facts.core = Core::multistable;
    study.facts.kind = fmt::format("latch with {} stable states, one of {} outputs at {}", b.states_held, b.observed,
                                   high ? 1 : 0);
    study.facts.output = study.observed_name(0);
    for (unsigned i = 0; i < b.inputs; ++i) {
      study.facts.inputs.push_back({study.input_name(i), "control", !b.input_at(rest, i)});
    }
    return true;
  }
  return false;
}

void add_roles(CellStudy& study, const OutputRule& rule) {
  ExplainedCell& facts = study.facts;
  for (const DirectControl& control : rule.controls) {
    facts.inputs.push_back({study.input_name(control.input), control.sets ? "set" : "reset", control.active_high});
  }
  facts.direct_controls = static_cast<std::uint32_t>(rule.controls.size());
  if (rule.is_clocked()) {
    facts.both_edges = rule.clocks.size() == 2 && rule.clocks[0].input == rule.clocks[1].input;
    for (const ClockEdge& clock : rule.clocks) {
      if (facts.both_edges && &clock != &rule.clocks[0]) continue;
      facts.inputs.push_back({study.input_name(clock.input), "clock", clock.rises});
    }
  }
  const std::vector<std::string_view> names = named(rule.core).roles;
  const std::size_t gates = rule.core == Core::transparent ? rule.roles.size() - 1 : 0;
  for (std::size_t r = 0; r < rule.roles.size(); ++r) {
    std::string role = "input";
    if (rule.core == Core::transparent) {
      role = r < gates ? "gate" : "data";
    } else if (rule.core == Core::gated_toggle && rule.roles.size() == 1) {
      role = "toggle";
    } else if (r < names.size()) {
      role = names[r];
    }
    facts.inputs.push_back({study.input_name(rule.roles[r].input), role, rule.roles[r].positive});
  }
  if (!rule.roles.empty()) return;
  std::vector<bool> named_input(study.circuit.input_count(), false);
  for (const DirectControl& control : rule.controls) named_input[control.input] = true;
  for (const ClockEdge& clock : rule.clocks) named_input[clock.input] = true;
  for (unsigned i = 0; i < study.circuit.input_count(); ++i) {
    if (!named_input[i] && depends_on(rule, i)) facts.inputs.push_back({study.input_name(i), "data", true});
  }
}

// Does set win where set and reset are roles of the core and both are active? Nothing: not decided there.
std::optional<bool> set_dominates(const OutputRule& rule) {
  const bool gated = rule.core == Core::gated_set_reset;
  if ((!gated && rule.core != Core::set_reset) || rule.stored.size() != 1) return std::nullopt;
  const PartialFunction f = without_controls(rule, rule.is_clocked());
  bool zero = false, one = false, open = false;
  for (std::uint32_t v = 0; v < f.size(); ++v) {
    const bool both = std::all_of(rule.roles.begin(), rule.roles.end(), [&](const CoreRole& role) {
      return f.bit_of(v, role.input) == role.positive;
    });
    const bool inactive = std::all_of(rule.controls.begin(), rule.controls.end(), [&](const DirectControl& control) {
      return f.bit_of(v, control.input) != control.active_high;
    });
    const bool at_clock = std::all_of(rule.clocks.begin(), rule.clocks.end(), [&](const ClockEdge& clock) {
      return f.bit_of(v, clock.input) == clock.rises;
    });
    if (!both || !inactive || !at_clock) continue;
    open = open || !f.is_known(v);
    (f.is_on(v) ? one : zero) = true;
  }
  if (open || one == zero) return std::nullopt;
  return one;
}

// Apart from the edge an input level can put data in.
bool has_asynchronous_load(const OutputRule& rule, unsigned observed) {
  if (rule.core != Core::clocked_logic || rule.kind != OutputRule::Kind::edge) return false;
  OutputRule free = rule;
  free.level = without_controls(rule, false);
  return !level_holds(free, observed);
}

// ", synchronous reset active high": of what is taken over, the data as they are and one other input, complemented.
std::string synchronous_control(const OutputRule& rule) {
  if (rule.core != Core::clocked_logic || rule.kind != OutputRule::Kind::edge) return {};
  const PartialFunction f = without_controls(rule, true);
  const unsigned inputs = f.variables() - static_cast<unsigned>(rule.stored.size());
  for (const bool sets : {false, true}) {
    const std::vector<Cube> sum = sets ? f.minimal_of_complement() : f.minimal();
    if (sum.size() != 1 || std::popcount(sum[0].care) != 2) continue;
    unsigned plain = 0, complemented = 0;
    for (unsigned i = 0; i < inputs; ++i) {
      if ((sum[0].care & f.mask_of(i)) != 0) ++((sum[0].value & f.mask_of(i)) != 0 ? plain : complemented);
    }
    if (plain == 1 && complemented == 1) return sets ? ", synchronous set active low" : ", synchronous reset active high";
  }
  return {};
}

std::string kind_of(const OutputRule& rule, bool has_exception, const std::vector<std::string>& input_names, bool starts_all) {
  std::vector<std::pair<std::string, bool>> controls, roles;
  unsigned sets = 0, resets = 0;
  for (const DirectControl& control : rule.controls) {
    ++(control.sets ? sets : resets);
    controls.emplace_back(control.sets && !starts_all ? "set" : "reset", control.active_high);
  }
  std::stable_sort(controls.begin(), controls.end(),
                   [](const auto& a, const auto& b) { return a.first == "set" && b.first != "set"; });
  std::string dominance;
  if (sets != 0 && resets != 0 && !has_exception) dominance = rule.controls[0].sets ? ", set-dominant" : ", reset-dominant";

  std::string kind(named(rule.core).name);
  const std::string synchronous = synchronous_control(rule);
  if (!synchronous.empty()) kind = named(Core::d).name;
  if (rule.core == Core::hold) {
    if (controls.empty()) return "storage loop that no input can change";
    if (sets == 0 || resets == 0) kind = sets != 0 ? "set-only latch" : "reset-only latch";
    return kind + ", " + polarities(controls) + dominance;
  }
  if (rule.is_clocked()) {
    std::string edge;
    if (rule.clocks.size() == 1) {
      edge = rule.clocks[0].rises ? "rising-edge " : "falling-edge ";
    } else if (rule.has_gated_clock && rule.clocks[0].rises == rule.clocks[1].rises) {
      edge = rule.clocks[0].rises ? "rising-edge " : "falling-edge ";
    } else {
      edge = rule.clocks[0].input == rule.clocks[1].input ? "both-edge " : "two-clock ";
    }
    kind = (rule.kind == OutputRule::Kind::pulse ? "pulse-triggered " : edge) + kind;
    if (rule.kind == OutputRule::Kind::pulse) {
      kind += rule.clocks[0].rises ? ", output at the rising edge" : ", output at the falling edge";
    }
  }
  if (rule.core == Core::c_element && rule.roles.size() > 2) kind += fmt::format(" with {} inputs", rule.roles.size());
  if (rule.has_gated_clock) kind += ", gated clock";
  if (rule.has_data_lockout) kind += ", data lockout";
  const std::vector<std::string_view> names = named(rule.core).roles;
  bool inverted = false, one_inverted = false;
  for (std::size_t r = 0; r < rule.roles.size(); ++r) {
    const CoreRole& role = rule.roles[r];
    if (role.positive) continue;
    const bool is_data = rule.core == Core::c_element || rule.core == Core::d ||
                         (rule.core == Core::transparent && r + 1 == rule.roles.size()) ||
                         (rule.core == Core::d_enable && r == 1) || (rule.core == Core::select && r != 0);
    if (is_data) {
      (rule.core == Core::c_element ? one_inverted : inverted) = true;
    } else {
      const bool is_gate = rule.core == Core::transparent && r + 1 != rule.roles.size();
      const bool one_of_gates = is_gate && rule.roles.size() > 2;
      roles.emplace_back(one_of_gates ? "gate " + input_names[role.input] : is_gate ? "gate" : r < names.size() ? std::string(names[r]) : "input", false);
    }
  }
  if (one_inverted) {
    const auto negative = std::count_if(rule.roles.begin(), rule.roles.end(), [](const CoreRole& r) { return !r.positive; });
    if (negative == static_cast<std::ptrdiff_t>(rule.roles.size())) {
      inverted = true;
    } else {
      kind += negative == 1 ? ", one input inverted" : fmt::format(", {} inputs inverted", negative);
    }
  }
  if (!roles.empty()) kind += ", " + polarities(roles);
  if (const auto wins = set_dominates(rule); wins && !has_exception) kind += *wins ? ", set-dominant" : ", reset-dominant";
  if (inverted) kind += rule.core == Core::select ? ", data inverted" : ", inverted output";
  kind += synchronous;
  if (!controls.empty()) {
    kind += (rule.is_clocked() ? ", asynchronous " : ", direct ") + polarities(controls) + dominance;
  }
  return kind;
}

// In the names of the study, what the SAT solver said.
void add_proof(CellStudy& study) {
  ExplainedCell& facts = study.facts;
  const auto text_of = [&study](const std::vector<Value>& inputs) {
    std::string text;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
      text += fmt::format("{}{}={}", i == 0 ? "" : " ", study.input_names[i], to_char(inputs[i]));
    }
    return text;
  };
  facts.may_lack_level = study.may_lack_level;
  if (study.unstable.answer == UnstableInputs::Answer::found) facts.never_stable_example = text_of(study.unstable.inputs);
  if (study.is_proved_free()) {
    facts.proof = ExplainedCell::Proof::one_state;
  } else if (study.memory.is_free() && !study.may_lack_level) {
    facts.proof = ExplainedCell::Proof::at_most_one;
  } else if (study.memory.answer == MemoryProof::Answer::two_states) {
    facts.proof = ExplainedCell::Proof::stores;
    facts.two_states_when = text_of(study.memory.inputs);
    for (const std::uint32_t bit : study.memory.outputs) {
      if (bit < study.output_count) facts.differing.push_back(study.observed_names[bit]);
    }
  }
}

}  // namespace

namespace {

// Fills `forced_too`. True when a single direct control gives the bits of the cell different values: it then brings
// the cell to its start, which the trade calls a reset.
bool add_forced(CellStudy& study, const OutputRule& rule, unsigned opposite) {
  bool mixed = false;
  for (const DirectControl& control : rule.controls) {
    std::string text;
    for (unsigned o = 0; o < study.output_count && o < study.rules.size(); ++o) {
      if (o == study.primary || o == opposite) continue;
      const auto& others = study.rules[o].controls;
      const auto same = std::find_if(others.begin(), others.end(), [&](const DirectControl& other) {
        return other.input == control.input && other.active_high == control.active_high;
      });
      if (same == others.end()) continue;
      text += fmt::format("{}{}={}", text.empty() ? "" : " ", study.observed_name(o), same->sets ? 1 : 0);
      mixed = mixed || same->sets != control.sets;
    }
    study.facts.forced_too.push_back(std::move(text));
  }
  return mixed && rule.controls.size() == 1;
}

}  // namespace

std::string plural_of(const std::string& kind) {
  const std::size_t end = std::min({kind.find(','), kind.find(" with "), kind.find(" without ")});
  std::string head = kind.substr(0, end);
  head += head.ends_with("ch") ? "es" : head.ends_with("s") ? "" : "s";
  return end == std::string::npos ? head : head + kind.substr(end);
}

unsigned opposite_of(const CellStudy& study, unsigned net, std::vector<VectorIndex>& equal_at) {
  const Behaviour& b = study.behaviour;
  for (const bool exceptions : {false, true}) {
    for (unsigned o = 0; o < b.observed; ++o) {
      if (o == net) continue;
      equal_at.clear();
      std::vector<VectorIndex> opposite_at;
      for (const Behaviour::State& state : b.states) {
        const bool equal = b.observed_at(state.y, o) == b.observed_at(state.y, net);
        (equal ? equal_at : opposite_at).push_back(state.x);
      }
      // "Both are 1 then" needs one value for all exceptions.
      bool at_one = false, at_zero = false;
      for (const Behaviour::State& state : b.states) {
        if (b.observed_at(state.y, o) == b.observed_at(state.y, net)) (b.observed_at(state.y, net) ? at_one : at_zero) = true;
      }
      const bool mixed = (at_one && at_zero) || std::any_of(equal_at.begin(), equal_at.end(), [&](VectorIndex x) {
        return std::find(opposite_at.begin(), opposite_at.end(), x) != opposite_at.end();
      });
      if (!mixed && opposite_at.size() > equal_at.size() && (exceptions || equal_at.empty())) return o;
    }
  }
  return no_id;
}

void name_cell(CellStudy& study) {
  study.facts = ExplainedCell{};
  ExplainedCell& facts = study.facts;
  facts.states_held = study.behaviour.states_held;
  facts.unproved_steps = study.behaviour.is_usable ? study.behaviour.unproved : 0;
  facts.stable_states = study.space.stable.size();
  for (const Transition& step : study.space.transitions) {
    if (!step.judged) continue;
    const bool single = std::popcount(study.space.stable[step.from].inputs ^ step.inputs) == 1;
    ++(single ? facts.single_steps : facts.joint_steps);
  }
  const std::uint64_t all = facts.stable_states * (std::max<std::size_t>(study.space.vectors.size(), 1) - 1);
  facts.all_steps = facts.single_steps + facts.joint_steps == all;
  add_power_up(study);
  const StateSpace& space = study.space;
  const std::uint32_t held = study.behaviour.states_held;
  if (!study.behaviour.is_usable) {
    add_proof(study);
    using Proof = ExplainedCell::Proof;
    const bool rests = facts.proof == Proof::one_state;
    const bool swings = facts.proof == Proof::at_most_one && study.unstable.answer == UnstableInputs::Answer::found;
    const bool always = study.never_rests();
    facts.kind = rests ? "no storage" : always ? "oscillator" : swings ? "gated oscillator" : "unrecognised";
    facts.core = rests ? Core::none : swings ? Core::oscillator : Core::unknown;
    if (rests || (swings && !always)) facts.states_held = 1;
    if (always) facts.never_stable_when = "1";
    return;
  }
  facts.may_lack_level = !space.unknown_level.empty();
  if (held <= 1 && facts.may_lack_level) {
    facts.kind = "unrecognised";
    facts.core = Core::unknown;
    return;
  }
  if (held == 0 && !space.never_stable.empty()) {
    facts.kind = "oscillator";
    facts.core = Core::oscillator;
    return;
  }
  if (held <= 1) {
    facts.kind = space.never_stable.empty() ? "no storage" : "gated oscillator";
    facts.hides_states = space.stable.size() + space.never_stable.size() > space.vectors.size();
    facts.core = space.never_stable.empty() ? Core::none : Core::oscillator;
    return;
  }
  if (is_arbiter(study)) {
    if (space.never_stable.empty()) return;
    // It swings without a request, which no arbiter does: a JK pair without a gate, for one.
    facts.kind = "unrecognised";
    facts.core = Core::unknown;
    facts.inputs.clear();
    return;
  }
  if (is_multistable(study)) return;
  const OutputRule& rule = study.rules[study.primary];
  if (!rule.is_stored()) {
    facts.kind = "unrecognised";
    facts.core = Core::unknown;
    return;
  }
  std::vector<VectorIndex> equal_at;
  const unsigned opposite = opposite_of(study, study.primary, equal_at);
  if (opposite == no_id) equal_at.clear();
  facts.output = study.observed_name(study.primary);
  if (opposite != no_id) facts.complement = study.observed_name(opposite);
  facts.core = rule.core;
  facts.is_pulse_triggered = rule.kind == OutputRule::Kind::pulse;
  facts.has_gated_clock = rule.has_gated_clock;
  facts.has_data_lockout = rule.has_data_lockout;
  if (opposite == no_id || equal_at.empty()) facts.set_dominates = set_dominates(rule);
  add_roles(study, rule);
  facts.has_asynchronous_load = has_asynchronous_load(rule, study.primary);
  facts.kind = rule.core == Core::level_logic ? "level-sensitive storage cell"
                                              : kind_of(rule, opposite != no_id && !equal_at.empty(), study.input_names,
                                                        add_forced(study, rule, opposite));
  if (facts.has_asynchronous_load) facts.kind += ", asynchronous load";
  add_counts(study);
  // Several stored nets behind the outputs.
  std::size_t inner = 0, others = 0;
  for (std::size_t o = study.output_count; o < study.rules.size(); ++o) {
    if (!study.rules[o].is_stored()) continue;
    const auto& clocks = study.rules[o].clocks;
    const bool together = std::equal(clocks.begin(), clocks.end(), rule.clocks.begin(), rule.clocks.end(), [](const ClockEdge& a, const ClockEdge& b) {
      return a.input == b.input && a.rises == b.rises;
    });
    inner += study.rules[o].core == rule.core ? 1 : 0;
    others += together || study.rules[o].core == rule.core ? 0 : 1;
  }
  if (others != 0 && study.primary >= study.output_count) {   // several, of which none speaks for all
    facts.kind = "unrecognised";
    facts.core = Core::unknown;
    facts.output.clear();
    facts.complement.clear();
    facts.inputs.clear();
    facts.direct_controls = 0;
    facts.forced_too.clear();
    facts.is_pulse_triggered = facts.has_gated_clock = facts.both_edges = false;
    return;
  }
  if (study.primary >= study.output_count) add_followers(study);
  if (!facts.followers.empty() && rule.core == Core::transparent && inner == 1) {
    facts.kind = fmt::format("{} {} in a row", facts.followers.size() + 1, plural_of(std::string(named(rule.core).name)));
  } else if (inner > 1 && study.primary >= study.output_count) {
    facts.kind = fmt::format("{}-bit memory of {}", inner, plural_of(std::string(named(rule.core).name)));
    facts.stored_bits_alike = static_cast<std::uint32_t>(inner);
  }
}

}  // namespace settle
