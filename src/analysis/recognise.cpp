// Finds the rule by which an observed net changes.
//
// Rules are tried from the simplest to the most general, and one is taken only when it agrees with
// every stable state and every decided single-input change:
// 1. a function of the inputs;
// 2. a function of the inputs after the change and of stored values before it (level-sensitive);
// 3. the same, with another function at one edge, or at two edges, of the inputs (edge-triggered);
// 4. the same, when other inputs rest while the clock is at one of its levels (pulse-triggered).
// Stored values are the net's own value if that will do, else those of all observed nets.
// Undecided steps leave the functions free.
// Cost: a pass over the states for each candidate; there are at most a few hundred candidates.
#include "analysis/recognise.h"

#include <algorithm>

namespace settle {
namespace {

class RuleFinder {
 public:
  RuleFinder(const Behaviour& behaviour, unsigned observed) : b_(behaviour), observed_(observed) {}

  OutputRule find() {
    OutputRule rule;
    if (!b_.is_usable || b_.states.empty()) return rule;
    if (combinational(rule)) return rule;
    std::vector<unsigned> all(b_.observed);
    for (unsigned o = 0; o < b_.observed; ++o) all[o] = o;
    for (const std::vector<unsigned>& stored : {std::vector<unsigned>{observed_}, all}) {
      rule.stored = stored;
      if (clocked(rule, {})) {
        rule.kind = OutputRule::Kind::level;
        return rule;
      }
      if (edges(rule)) return rule;
      if (stored.size() == all.size() && b_.observed == 1) break;
    }
    rule.stored = {observed_};
    if (pulse(rule)) return rule;
    return OutputRule{};
  }

 private:
  std::uint32_t vector(VectorIndex x, std::uint32_t y, const OutputRule& rule) const {
    std::uint32_t v = x;
    for (const unsigned o : rule.stored) v = v << 1 | static_cast<std::uint32_t>(b_.observed_at(y, o));
    return v;
  }
  bool value(std::uint32_t state) const { return b_.observed_at(b_.states[state].y, observed_); }

  bool combinational(OutputRule& rule) const {
    rule.level = PartialFunction(b_.inputs);
    for (std::uint32_t s = 0; s < b_.states.size(); ++s) {
      if (!rule.level.add(b_.states[s].x, value(s))) return false;
    }
    rule.kind = OutputRule::Kind::combinational;
    return true;
  }

  // Fills both functions for these edges; without any it is the level-sensitive rule.
  bool clocked(OutputRule& rule, const std::vector<ClockEdge>& clocks) const {
    const unsigned variables = b_.inputs + static_cast<unsigned>(rule.stored.size());
    rule.level = rule.steps = PartialFunction(variables);
    rule.sync = PartialFunction(variables);
    for (std::uint32_t s = 0; s < b_.states.size(); ++s) {
      const auto& from = b_.states[s];
      if (!rule.level.add(vector(from.x, from.y, rule), value(s))) return false;
      for (unsigned i = 0; i < b_.inputs; ++i) {
        const std::uint32_t t = b_.next_of(s, i);
        if (t == no_state) continue;
        const auto& to = b_.states[t];
        const bool is_edge = std::any_of(clocks.begin(), clocks.end(), [&](const ClockEdge& clock) {
          return clock.input == i && clock.rises == b_.input_at(to.x, i);
        });
        if (!(is_edge ? rule.sync : rule.level).add(vector(to.x, from.y, rule), value(t))) return false;
        rule.steps.add(vector(to.x, from.y, rule), value(t));
      }
    }
    // A clock acts by its edge alone, and with both edges of one input by either alike.
    const bool both = clocks.size() == 2 && clocks[0].input == clocks[1].input;
    return std::all_of(clocks.begin(), clocks.end(), [&](const ClockEdge& clock) {
      return rule.level.can_do_without(clock.input) && (!both || rule.sync.can_do_without(clock.input));
    });
  }

  bool edges(OutputRule& rule) const {
    std::vector<ClockEdge> all;
    for (unsigned i = 0; i < b_.inputs; ++i) {
      all.push_back({i, true});
      all.push_back({i, false});
    }
    for (const ClockEdge& clock : all) {
      if (!clocked(rule, {clock})) continue;
      rule.kind = OutputRule::Kind::edge;
      rule.clocks = {clock};
      return true;
    }
    for (std::size_t a = 0; a < all.size(); ++a) {
      for (std::size_t c = a + 1; c < all.size(); ++c) {
        if (!clocked(rule, {all[a], all[c]})) continue;
        rule.kind = OutputRule::Kind::edge;
        rule.clocks = {all[a], all[c]};
        return true;
      }
    }
    return false;
  }

  // `free`: inputs that may change while the clock is active. False when the functions contradict.
  bool pulsed(OutputRule& rule, ClockEdge clock, const std::vector<bool>& free) const {
    const unsigned variables = b_.inputs + static_cast<unsigned>(rule.stored.size());
    rule.level = rule.steps = PartialFunction(variables);
    rule.sync = PartialFunction(variables);
    std::vector<bool> allowed(b_.states.size(), false);
    std::vector<std::uint32_t> work;
    const auto is_active = [&](std::uint32_t s) { return b_.input_at(b_.states[s].x, clock.input) != clock.rises; };
    for (std::uint32_t s = 0; s < b_.states.size(); ++s) {
      if (is_active(s)) continue;
      allowed[s] = true;
      work.push_back(s);
    }
    while (!work.empty()) {
      const std::uint32_t s = work.back();
      work.pop_back();
      const auto& from = b_.states[s];
      if (!rule.level.add(vector(from.x, from.y, rule), value(s))) return false;
      for (unsigned i = 0; i < b_.inputs; ++i) {
        const std::uint32_t t = b_.next_of(s, i);
        if (t == no_state || (is_active(s) && i != clock.input && !free[i])) continue;
        const bool is_edge = i == clock.input && is_active(s);
        const auto& to = b_.states[t];
        if (!(is_edge ? rule.sync : rule.level).add(vector(to.x, from.y, rule), value(t))) return false;
        if (allowed[t]) continue;
        allowed[t] = true;
        work.push_back(t);
      }
    }
    return rule.level.can_do_without(clock.input);
  }

  // While the clock is active, each change of a resting input can be taken back, and the clock's other edge gives
  // the same with it and without.
  bool is_locked_out(const OutputRule& rule) const {
    const ClockEdge& clock = rule.clocks[0];
    for (std::uint32_t s = 0; s < b_.states.size(); ++s) {
      if (b_.input_at(b_.states[s].x, clock.input) == clock.rises) continue;
      for (const unsigned i : rule.resting) {
        const std::uint32_t t = b_.next_of(s, i);
        if (t == no_state || b_.next_of(t, i) != s) return false;
        const std::uint32_t ends = b_.next_of(s, clock.input), moved = b_.next_of(t, clock.input);
        if (ends == no_state || moved == no_state || value(ends) != value(moved)) return false;
      }
    }
    return !rule.resting.empty();
  }

  bool pulse(OutputRule& rule) const {
    for (unsigned c = 0; c < b_.inputs; ++c) {
      for (const bool rises : {true, false}) {
        std::vector<bool> free(b_.inputs, false);
        if (!pulsed(rule, {c, rises}, free)) continue;
        for (unsigned i = 0; i < b_.inputs; ++i) {
          if (i == c) continue;
          free[i] = true;
          OutputRule more = rule;
          free[i] = pulsed(more, {c, rises}, free);
        }
        pulsed(rule, {c, rises}, free);
        rule.kind = OutputRule::Kind::pulse;
        rule.clocks = {{c, rises}};
        for (unsigned i = 0; i < b_.inputs; ++i) {
          if (i != c && !free[i]) rule.resting.push_back(i);
        }
        rule.has_data_lockout = is_locked_out(rule);
        return true;
      }
    }
    return false;
  }

  const Behaviour& b_;
  unsigned observed_;
};

}  // namespace

bool depends_on(const OutputRule& rule, unsigned input) {
  if (rule.kind == OutputRule::Kind::unknown) return false;
  if (!rule.level.can_do_without(input)) return true;
  return rule.is_clocked() && !rule.sync.can_do_without(input);
}

bool level_holds(const OutputRule& rule, unsigned observed) {
  const auto at = static_cast<unsigned>(std::find(rule.stored.begin(), rule.stored.end(), observed) - rule.stored.begin());
  if (at == rule.stored.size()) return false;
  const PartialFunction& level = rule.level;
  // A mask: g++ 12 miscompiles the comparison of two bits that are shifted out.
  const std::uint32_t own = level.mask_of(level.variables() - static_cast<unsigned>(rule.stored.size()) + at);
  for (std::uint32_t v = 0; v < level.size(); ++v) {
    if (level.is_known(v) && level.is_on(v) != ((v & own) != 0)) return false;
  }
  return true;
}

OutputRule find_rule(const Behaviour& behaviour, unsigned observed) {
  OutputRule rule = RuleFinder(behaviour, observed).find();
  if (rule.is_stored()) classify(behaviour, observed, rule);
  // Resting inputs leave so much free that only a known function is convincing.
  if (rule.kind == OutputRule::Kind::pulse && rule.core == Core::clocked_logic) return OutputRule{};
  // It holds whenever the outcome is sure: an input that leaves it undecided may still change it.
  if (rule.core == Core::hold && rule.controls.empty() &&
      std::find(behaviour.next.begin(), behaviour.next.end(), no_state) != behaviour.next.end()) {
    return OutputRule{};
  }
  return rule;
}

}  // namespace settle
