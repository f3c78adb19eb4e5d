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
  unsigned roles;       // 0: any number
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
    {Core::gated_toggle, 1, false, [](std::span<const bool> in, bool q) { return in[0] ? free_entry : int{q}; }},
    {Core::transparent, 2, false, [](std::span<const bool> in, bool q) { return int{in[0] ? in[1] : q}; }},
    {Core::gated_toggle, 2, false, [](std::span<const bool> in, bool q) { return in[0] && in[1] ? free_entry : int{q}; }},
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
     [](std::span<const bool> in, bool q) { return in[0] && in[1] ? free_entry : int{in[0] || (!in[1] && q)}; }},
    {Core::jk, 2, true, [](std::span<const bool> in, bool q) { return int{q ? !in[1] : in[0]}; }},
    {Core::set_reset, 2, true, [](std::span<const bool> in, bool q) { return int{in[0] || (!in[1] && q)}; }},
    {Core::set_reset, 2, true, [](std::span<const bool> in, bool q) { return int{!in[1] && (in[0] || q)}; }},
    {Core::select, 3, true, [](std::span<const bool> in, bool) { return int{in[0] ? in[1] : in[2]}; }},
};

/// The function of `inputs` and the net's own value, the last variable.
bool agrees(const PartialFunction& f, const PartialFunction& steps, const Reference& reference, const std::vector<unsigned>& order,
            unsigned complemented) {
  const unsigned n = f.variables() - 1;
  std::array<bool, most_behaviour_variables> in{};
  for (std::uint32_t v = 0; v < f.size(); ++v) {
    for (unsigned r = 0; r < n; ++r) in[r] = f.bit_of(v, order[r]) != ((complemented >> r & 1u) != 0);
    const int wanted = reference.next({in.data(), n}, (v & 1u) != 0);
    if (wanted == -1) return false;
    if (wanted == free_entry ? steps.is_known(v) : (wanted == 1 ? f.is_off(v) : f.is_on(v))) return false;
  }
  return true;
}

bool match(const PartialFunction& f, const PartialFunction& steps, const std::vector<unsigned>& inputs, bool clocked, OutputRule& rule) {
  const unsigned n = f.variables() - 1;
  if (n > 6) return false;
  std::vector<unsigned> masks(std::size_t{1} << n);
  for (unsigned m = 0; m < masks.size(); ++m) masks[m] = m;
  std::stable_sort(masks.begin(), masks.end(), [](unsigned a, unsigned b) { return std::popcount(a) < std::popcount(b); });
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
void drop_variables(PartialFunction& f, PartialFunction& steps, std::vector<unsigned>& inputs, bool strictly) {
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

}  // namespace

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
    if (rule.clocks.size() == 1) std::erase(inputs, rule.clocks[0].input);
  }
  kept = inputs;
  kept.push_back(behaviour.inputs);
  PartialFunction f = (rule.is_clocked() ? rule.sync : level).restricted(kept, fixed_mask, fixed, conflict);
  bool ignored = false;   // a step at an edge and one without may lead to different values
  PartialFunction steps = rule.is_clocked() ? f : rule.steps.restricted(kept, fixed_mask, fixed, ignored);
  if (conflict) return;
  drop_variables(f, steps, inputs, true);
  if (match(f, steps, inputs, rule.is_clocked(), rule)) return;
  drop_variables(f, steps, inputs, false);
  if (inputs.empty() && !rule.is_clocked()) {
    rule.core = Core::hold;
    for (std::uint32_t v = 0; v < f.size(); ++v) {
      if (f.is_known(v) && f.is_on(v) != ((v & 1u) != 0)) rule.core = Core::level_logic;
    }
    return;
  }
  match(f, steps, inputs, rule.is_clocked(), rule);
}

}  // namespace settle
