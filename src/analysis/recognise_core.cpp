// Names the function of a rule: direct controls are taken off one after another, what remains is
// compared with reference functions, their roles given to the inputs in all orders and polarities.
//
// A direct control is an input one level of which decides the output, whatever the inputs do that were
// not taken off before: so their order is their dominance. Reference functions have one to six
// roles; the first in the list that agrees with every known entry wins, with as few complemented
// roles as possible, then with roles in the order of the pins.
#include <algorithm>
#include <array>
#include <bit>
#include <span>

#include "analysis/recognise.h"

namespace settle {
namespace {

// 0, 1, or `free_entry`: no decided step may lead there.
constexpr int free_entry = 2;

struct Reference {
  Core core;
  unsigned roles;  // 0: any number
  bool clocked;
  int (*next)(std::span<const bool> in, bool q);
};

int next_c_element(std::span<const bool> in, bool q) {
  const auto ones = std::count(in.begin(), in.end(), true);
  return ones == 0 ? 0 : ones == static_cast<std::ptrdiff_t>(in.size()) ? 1 : q;
}

// Several gates, all of which must be active; data last.
int next_with_gates(std::span<const bool> in, bool q) {
  const bool open = std::count(in.begin(), in.end() - 1, true) == static_cast<std::ptrdiff_t>(in.size()) - 1;
  return open ? in.back() : q;
}

constexpr Reference references[] = {
    {Core::gated_toggle, 1, false,
     [](std::span<const bool> in, bool q) { return in[0] ? free_entry : int{q}; }},
    {Core::transparent, 2, false, [](std::span<const bool> in, bool q) { return int{in[0] ? in[1] : q}; }},
    {Core::gated_toggle, 2, false,
     [](std::span<const bool> in, bool q) { return in[0] && in[1] ? free_entry : int{q}; }},
    {Core::gated_jk, 3, false,
     [](std::span<const bool> in, bool q) {
       if (!in[0] || (!in[1] && !in[2])) return int{q};
       return in[1] && in[2] ? free_entry : int{in[1]};
     }},
    {Core::gated_set_reset, 3, false,
     [](std::span<const bool> in, bool q) { return int{in[0] ? in[1] || (!in[2] && q) : q}; }},
    {Core::gated_set_reset, 3, false,
     [](std::span<const bool> in, bool q) { return int{in[0] ? !in[2] && (in[1] || q) : q}; }},
    {Core::c_element, 0, false, next_c_element},
    {Core::transparent, 3, false, next_with_gates},
    {Core::transparent, 4, false, next_with_gates},
    {Core::transparent, 5, false, next_with_gates},
    {Core::transparent, 6, false, next_with_gates},
    {Core::toggle, 0, true, [](std::span<const bool> in, bool q) { return in.empty() ? int{!q} : -1; }},
    {Core::d, 1, true, [](std::span<const bool> in, bool) { return int{in[0]}; }},
    {Core::toggle_enable, 1, true, [](std::span<const bool> in, bool q) { return int{in[0] != q}; }},
    {Core::d_enable, 2, true, [](std::span<const bool> in, bool q) { return int{in[0] ? in[1] : q}; }},
    {Core::set_reset, 2, true,
     [](std::span<const bool> in, bool q) {
       return in[0] && in[1] ? free_entry : int{in[0] || (!in[1] && q)};
     }},
    {Core::jk, 2, true, [](std::span<const bool> in, bool q) { return int{q ? !in[1] : in[0]}; }},
    {Core::set_reset, 2, true, [](std::span<const bool> in, bool q) { return int{in[0] || (!in[1] && q)}; }},
    {Core::set_reset, 2, true, [](std::span<const bool> in, bool q) { return int{!in[1] && (in[0] || q)}; }},
    {Core::select, 3, true, [](std::span<const bool> in, bool) { return int{in[0] ? in[1] : in[2]}; }},
};

bool is_conflict(Core core, std::span<const bool> in) {
  return (core == Core::gated_set_reset || core == Core::set_reset) && in[in.size() - 1] && in[in.size() - 2];
}

/// The function of `inputs` and the net's own value, the last variable.
bool agrees(const PartialFunction& f, const PartialFunction& steps, const Reference& reference,
            const std::vector<unsigned>& order, unsigned complemented) {
  const unsigned n = f.variables() - 1;
  std::array<bool, most_behaviour_variables> in{};
  for (std::uint32_t v = 0; v < f.size(); ++v) {
    for (unsigned r = 0; r < n; ++r) in[r] = f.bit_of(v, order[r]) != ((complemented >> r & 1u) != 0);
    const int wanted = reference.next({in.data(), n}, (v & 1u) != 0);
    if (wanted == -1) return false;
    // What no step and no rest shows is no evidence; only where set and reset are both active it need not be
    // seen.
    if (wanted != free_entry && !f.is_known(v) && !is_conflict(reference.core, {in.data(), n})) return false;
    if (wanted == free_entry ? steps.is_known(v) : (wanted == 1 ? f.is_off(v) : f.is_on(v))) return false;
  }
  return true;
}

bool match(const PartialFunction& f, const PartialFunction& steps, const std::vector<unsigned>& inputs,
           bool clocked, OutputRule& rule) {
  const unsigned n = f.variables() - 1;
  if (n > 6) return false;
  std::vector<unsigned> masks(std::size_t{1} << n);
  for (unsigned m = 0; m < masks.size(); ++m) masks[m] = m;
  std::stable_sort(masks.begin(), masks.end(),
                   [](unsigned a, unsigned b) { return std::popcount(a) < std::popcount(b); });
  for (const Reference& reference : references) {
    if (reference.clocked != clocked || (reference.roles != 0 && reference.roles != n)) continue;
    if (reference.roles == 0 && !clocked && n < 2) continue;
    // What was seen from one value only, or never, is no toggling.
    if (reference.core == Core::toggle && !(f.is_on(0) && f.is_off(1)) && n == 0) continue;
    const bool symmetric = reference.roles == 0;
    for (const unsigned mask : masks) {
      std::vector<unsigned> order(n);
      for (unsigned r = 0; r < n; ++r) order[r] = r;
      do {
        if (!agrees(f, steps, reference, order, mask)) continue;
        rule.core = reference.core;
        for (unsigned r = 0; r < n; ++r) rule.roles.push_back({inputs[order[r]], (mask >> r & 1u) == 0});
        if (rule.core == Core::transparent) {
          std::sort(rule.roles.begin(), rule.roles.end() - 1,
                    [](const CoreRole& a, const CoreRole& c) { return a.input < c.input; });
        }
        return true;
      } while (!symmetric && std::next_permutation(order.begin(), order.end()));
    }
  }
  return false;
}

// Drops variables that do not matter; `strictly`: known places count as different from unknown ones.
void drop_variables(PartialFunction& f, PartialFunction& steps, std::vector<unsigned>& inputs,
                    bool strictly) {
  for (unsigned k = 0; k < inputs.size();) {
    bool matters = !f.can_do_without(k);
    if (strictly && !matters) {
      const std::uint32_t bit = f.mask_of(k);
      for (std::uint32_t v = 0; v < f.size() && !matters; ++v) {
        matters = f.is_known(v) != f.is_known(v ^ bit) || steps.is_known(v) != steps.is_known(v ^ bit);
      }
    }
    if (matters) {
      ++k;
      continue;
    }
    std::vector<unsigned> kept;
    for (unsigned i = 0; i < f.variables(); ++i) {
      if (i != k) kept.push_back(i);
    }
    bool conflict = false;
    f = f.restricted(kept, 0, 0, conflict);
    steps = steps.restricted(kept, 0, 0, conflict);
    inputs.erase(inputs.begin() + k);
  }
}

// The value stays when the control lets go, in one case at least in which the other value could be held as
// well.
bool is_seen_to_last(const Behaviour& behaviour, unsigned observed, const DirectControl& control) {
  for (std::uint32_t s = 0; s < behaviour.states.size(); ++s) {
    const Behaviour::State& state = behaviour.states[s];
    if (behaviour.input_at(state.x, control.input) != control.active_high) continue;
    const std::uint32_t after = behaviour.next_of(s, control.input);
    if (after == no_state || behaviour.observed_at(state.y, observed) != control.sets) continue;
    if (behaviour.observed_at(behaviour.states[after].y, observed) != control.sets) continue;
    const bool holds_both =
        std::any_of(behaviour.states.begin(), behaviour.states.end(), [&](const Behaviour::State& other) {
          return other.x == behaviour.states[after].x &&
                 behaviour.observed_at(other.y, observed) != control.sets;
        });
    if (holds_both) return true;
  }
  return false;
}

// Some step from the other value surely ends as the control says, none is undecided, and it can always rest
// then: a level at which only that value is stable may still leave every step to it undecided.
bool is_seen_to_act(const Behaviour& behaviour, const OutputRule& rule, unsigned observed,
                    const DirectControl& control, std::uint32_t fixed_mask, std::uint32_t fixed) {
  const PartialFunction& steps = rule.steps;
  const auto stored = static_cast<unsigned>(rule.stored.size());
  for (const VectorIndex x : behaviour.never_stable) {
    if ((x << stored & fixed_mask) == fixed && behaviour.input_at(x, control.input) == control.active_high)
      return false;
  }
  for (std::uint32_t s = 0; s < behaviour.states.size(); ++s) {
    const VectorIndex x = behaviour.states[s].x;
    if ((x << stored & fixed_mask) != fixed || behaviour.input_at(x, control.input) == control.active_high)
      continue;
    if (behaviour.next_of(s, control.input) == no_state) return false;
  }
  const auto own = static_cast<unsigned>(std::find(rule.stored.begin(), rule.stored.end(), observed) -
                                         rule.stored.begin());
  const unsigned own_variable = steps.variables() - stored + own;
  for (std::uint32_t v = 0; v < steps.size(); ++v) {
    if ((v & fixed_mask) != fixed || !steps.is_known(v)) continue;
    if (steps.bit_of(v, control.input) != control.active_high) continue;
    if (steps.bit_of(v, own_variable) != control.sets && steps.is_on(v) == control.sets)
      return is_seen_to_last(behaviour, observed, control);
  }
  return false;
}

// Of two clocks each does something only while the other is at its active level, as behind a gate.
bool is_gated_clock(const OutputRule& rule, std::uint32_t fixed_mask, std::uint32_t fixed) {
  if (rule.clocks.size() != 2 || rule.clocks[0].input == rule.clocks[1].input) return false;
  const PartialFunction& sync = rule.sync;
  for (std::uint32_t v = 0; v < sync.size(); ++v) {
    if ((v & fixed_mask) != fixed || !sync.is_known(v)) continue;
    const bool both = std::all_of(rule.clocks.begin(), rule.clocks.end(), [&](const ClockEdge& clock) {
      return sync.bit_of(v, clock.input) == clock.rises;
    });
    if (!both && sync.is_on(v) != ((v & 1u) != 0)) return false;
  }
  return true;
}

}  // namespace

PartialFunction without_controls(const OutputRule& rule, bool at_edge) {
  const PartialFunction& all = at_edge ? rule.sync : rule.level;
  PartialFunction inactive(all.variables());
  for (std::uint32_t v = 0; v < all.size(); ++v) {
    const bool active = std::any_of(
        rule.controls.begin(), rule.controls.end(),
        [&](const DirectControl& control) { return all.bit_of(v, control.input) == control.active_high; });
    if (!active && all.is_known(v)) inactive.add(v, all.is_on(v));
  }
  return inactive;
}

void classify(const Behaviour& behaviour, unsigned observed, OutputRule& rule) {
  rule.core = rule.is_clocked() ? Core::clocked_logic : Core::level_logic;
  const PartialFunction& level = rule.level;

  // Direct controls.
  std::uint32_t fixed_mask = 0, fixed = 0;
  std::vector<bool> taken(behaviour.inputs, false);
  for (bool found = true; found;) {
    found = false;
    for (unsigned i = 0; i < behaviour.inputs && !found; ++i) {
      if (taken[i]) continue;
      for (const bool active_high : {true, false}) {
        // What the output becomes with this level, and whether it is ever otherwise without.
        bool zero = false, one = false, zero_without = false, one_without = false;
        for (std::uint32_t v = 0; v < level.size(); ++v) {
          if (!level.is_known(v) || (v & fixed_mask) != fixed) continue;
          const bool active = level.bit_of(v, i) == active_high;
          (active ? (level.is_on(v) ? one : zero) : (level.is_on(v) ? one_without : zero_without)) = true;
        }
        if (zero == one || !(zero_without && one_without)) continue;
        if (!is_seen_to_act(behaviour, rule, observed, {i, active_high, one}, fixed_mask, fixed)) continue;
        rule.controls.push_back({i, active_high, one});
        taken[i] = true;
        fixed_mask |= level.mask_of(i);
        if (!active_high) fixed |= level.mask_of(i);
        found = true;
        break;
      }
    }
  }

  if (rule.stored.size() != 1 || rule.stored[0] != observed) return;
  std::vector<unsigned> inputs, kept;
  for (unsigned i = 0; i < behaviour.inputs; ++i) {
    if (!taken[i]) inputs.push_back(i);
  }
  bool conflict = false;
  if (rule.is_clocked()) {
    // Without direct controls the level function must hold.
    const std::uint32_t own = level.mask_of(behaviour.inputs);
    for (std::uint32_t v = 0; v < level.size(); ++v) {
      if ((v & fixed_mask) == fixed && level.is_known(v) && level.is_on(v) != ((v & own) != 0)) return;
    }
    rule.has_gated_clock = is_gated_clock(rule, fixed_mask, fixed);
    for (const ClockEdge& clock : rule.clocks) {
      if (!rule.has_gated_clock && rule.clocks.size() != 1) break;
      std::erase(inputs, clock.input);
      if (!rule.has_gated_clock) break;
      fixed_mask |= level.mask_of(clock.input);
      if (clock.rises) fixed |= level.mask_of(clock.input);
    }
  }
  kept = inputs;
  kept.push_back(behaviour.inputs);
  PartialFunction f = (rule.is_clocked() ? rule.sync : level).restricted(kept, fixed_mask, fixed, conflict);
  bool ignored = false;  // a step at an edge and one without may lead to different values
  PartialFunction steps = rule.is_clocked() ? f : rule.steps.restricted(kept, fixed_mask, fixed, ignored);
  if (conflict) return;
  drop_variables(f, steps, inputs, true);
  if (match(f, steps, inputs, rule.is_clocked(), rule)) return;
  drop_variables(f, steps, inputs, false);
  if (inputs.empty() && !rule.is_clocked()) {
    rule.core = Core::hold;
    for (std::uint32_t v = 0; v < f.size(); ++v) {
      if (!f.is_known(v) || f.is_on(v) != ((v & 1u) != 0)) rule.core = Core::level_logic;
    }
    return;
  }
  match(f, steps, inputs, rule.is_clocked(), rule);
}

}  // namespace settle
