// Pulse widths, setup and hold, recovery and removal.
//
// One input changes at time 0, another (or the same one, back) at an offset. All offsets are looked at, range
// by range (timing_run.h), from every stable state that has the inputs at their values before. Far out,
// either change comes to a circuit at rest: these two outcomes say what is right. Setup and recovery: from
// the early end on, how far does the outcome stay what it is there. Hold and removal: the same from the late
// end. Pulse: from the long end. The worst of all states counts.
//
// Right is a final state alike to that of the end (the same outputs now and after whatever follows). Clean
// means besides that no output changes more often than there.
#include <algorithm>

#include <fmt/format.h>

#include "analysis/timing_cell.h"

namespace settle {
namespace {

using ConstraintKind = TimingConstraint::Kind;

constexpr std::size_t most_ranges = 20'000;  // of one case

struct InputLevel {
  NetId input = 0;
  bool active = true;
  bool operator==(const InputLevel&) const = default;
};

void add_once(std::vector<InputLevel>& levels, InputLevel level) {
  if (std::find(levels.begin(), levels.end(), level) == levels.end()) levels.push_back(level);
}

// What the rules of all stored nets say about the inputs.
struct CellInputs {
  std::vector<InputLevel> controls;  // direct ones
  std::vector<InputLevel> clocks;    // active: the level after the active edge
  std::vector<InputLevel> gates;
  bool is_pulse_triggered = false;
  std::vector<NetId> data;

  explicit CellInputs(const CellStudy& study) {
    for (const OutputRule& rule : study.rules) {
      if (!rule.is_stored()) continue;
      for (const DirectControl& c : rule.controls) add_once(controls, {c.input, c.active_high});
      for (const ClockEdge& edge : rule.clocks) add_once(clocks, {edge.input, edge.rises});
      is_pulse_triggered = is_pulse_triggered || rule.kind == OutputRule::Kind::pulse;
      std::size_t gate_roles = 0;
      if (rule.core == Core::transparent) gate_roles = rule.roles.size() - 1;
      if (rule.core == Core::gated_set_reset || rule.core == Core::gated_jk) gate_roles = 1;
      if (rule.core == Core::gated_toggle && rule.roles.size() > 1) gate_roles = 1;
      for (std::size_t r = 0; r < gate_roles; ++r)
        add_once(gates, {rule.roles[r].input, rule.roles[r].positive});
    }
    for (NetId input = 0; input < study.circuit.input_count(); ++input) {
      if (!is_among(controls, input) && !is_among(clocks, input) && !is_among(gates, input))
        data.push_back(input);
    }
  }
  static bool is_among(const std::vector<InputLevel>& levels, NetId input) {
    return std::any_of(levels.begin(), levels.end(), [&](const InputLevel& l) { return l.input == input; });
  }
};

void merge_ranges(std::vector<OffsetRange>& ranges) {
  std::sort(ranges.begin(), ranges.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<OffsetRange> merged;
  for (const OffsetRange& range : ranges) {
    if (!merged.empty() && range.first <= merged.back().last + 1) {
      merged.back().last = std::max(merged.back().last, range.last);
    } else {
      merged.push_back(range);
    }
  }
  ranges = std::move(merged);
}

class WindowMeter {
 public:
  WindowMeter(OffsetRunner& runner, const CellStudy& study, const TimingOptions& options,
              std::vector<TimingConstraint>& constraints)
      : runner_(runner),
        c_(study.circuit),
        study_(study),
        options_(options),
        inputs_(study),
        constraints_(constraints),
        first_run_(runner.runs()) {
    for (const auto& delay : runner.delays())
      far_ += static_cast<std::int64_t>(std::max(delay.rise, delay.fall));
    far_ *= 64;
  }

  bool run() {
    for (const InputLevel& clock : inputs_.clocks) {
      pulse(clock);
      if (!has_both_edges(clock.input)) pulse({clock.input, !clock.active});
    }
    for (const InputLevel& gate : inputs_.gates) pulse(gate);
    for (const InputLevel& control : inputs_.controls) pulse(control);
    for (const InputLevel& clock : inputs_.clocks) around(clock);
    for (const InputLevel& gate : inputs_.gates) around({gate.input, !gate.active});
    if (inputs_.clocks.empty() && inputs_.gates.empty()) {
      for (std::size_t i = 0; i < inputs_.controls.size(); ++i) {
        for (std::size_t j = i + 1; j < inputs_.controls.size(); ++j)
          releases(inputs_.controls[i], inputs_.controls[j]);
      }
    }
    std::erase_if(constraints_, [](const TimingConstraint& c) {
      return !c.right && !c.clean && c.undecided.empty() && c.glitches.empty() &&
             (c.cases != 0 || c.restless == 0);
    });
    return complete_;
  }

 private:
  bool has_both_edges(NetId input) const {
    return std::count_if(inputs_.clocks.begin(), inputs_.clocks.end(),
                         [&](const InputLevel& l) { return l.input == input; }) > 1;
  }
  NetEdge edge(NetId input, bool rises) const { return {c_.net_name(input), rises}; }

  // Calls `visit` for each stable state with these inputs, all direct controls but `active` at rest.
  template <class Visit>
  void each_start(std::initializer_list<InputLevel> wanted, std::initializer_list<InputLevel> active,
                  const Visit& visit) {
    for (std::uint32_t s = 0; s < study_.space.stable.size(); ++s) {
      const VectorIndex x = study_.space.stable[s].inputs;
      const auto at = [&](NetId input) { return (x >> (c_.input_count() - 1 - input) & 1u) != 0; };
      bool fits = true;
      for (const InputLevel& level : wanted) fits = fits && at(level.input) == level.active;
      for (const InputLevel& control : inputs_.controls) {
        const bool is_on = at(control.input) == control.active;
        fits = fits && is_on == (std::find(active.begin(), active.end(), control) != active.end());
      }
      if (!fits) continue;
      if (runner_.runs() - first_run_ > options_.run_limit || is_set(options_.stop)) {
        complete_ = false;
        return;
      }
      start_inputs_.resize(c_.input_count());
      for (NetId input = 0; input < c_.input_count(); ++input) start_inputs_[input] = to_value(at(input));
      start_gates_ = study_.space.nodes_of(s);
      visit();
    }
  }

  bool rests(std::initializer_list<TimedChange> changes) {
    const std::vector<TimedChange> fixed(changes);
    return runner_.run(start_inputs_, start_gates_, fixed, 0).kind == OffsetOutcome::Kind::rests;
  }

  // Class of a final state: alike states where all steps are known, else the state itself.
  std::uint32_t class_of(const OffsetOutcome& outcome) const {
    if (outcome.kind != OffsetOutcome::Kind::rests) return no_state;
    VectorIndex x = 0;
    for (NetId i = 0; i < c_.input_count(); ++i) x = x << 1 | (outcome.values[i] == Value::one ? 1u : 0u);
    const auto [first, last] = study_.space.states_with(x);
    for (std::uint32_t s = first; s < last; ++s) {
      const auto nodes = study_.space.nodes_of(s);
      if (!std::equal(nodes.begin(), nodes.end(), outcome.values.begin() + c_.input_count())) continue;
      return study_.space.complete ? study_.space.stable[s].alike : s;
    }
    return no_state;
  }

  std::vector<std::uint32_t> counts_of(const OffsetOutcome& outcome) const {
    std::vector<std::uint32_t> counts;
    for (std::uint32_t o = 0; o < study_.output_count; ++o)
      counts.push_back(outcome.count(study_.observed[o]));
    return counts;
  }
  static bool exceeds(const std::vector<std::uint32_t>& counts, const std::vector<std::uint32_t>& allowed) {
    for (std::size_t i = 0; i < counts.size(); ++i) {
      if (counts[i] > allowed[i]) return true;
    }
    return false;
  }

  // One case looked at, range by range.
  struct Judged {
    OffsetSweep sweep;
    std::vector<std::uint32_t> classes;
    std::vector<std::vector<std::uint32_t>> counts;
  };
  Judged judge(const std::vector<TimedChange>& changes, std::int64_t from, std::int64_t to = highest_offset) {
    Judged judged;
    judged.sweep =
        sweep_offsets(runner_, start_inputs_, start_gates_, changes, from, to, most_ranges, options_.stop);
    complete_ = complete_ && judged.sweep.complete;
    for (const OffsetOutcome& outcome : judged.sweep.outcomes) {
      judged.classes.push_back(class_of(outcome));
      judged.counts.push_back(counts_of(outcome));
    }
    return judged;
  }

  void note_trouble(const Judged& judged, bool has_early, TimingConstraint& constraint) const {
    const std::size_t last = judged.classes.size() - 1;
    // Of a case that never rests in the end, `restless` tells.
    if (judged.classes[last] == no_state || (has_early && judged.classes[0] == no_state)) return;
    for (std::size_t i = 0; i <= last; ++i) {
      const OffsetOutcome& outcome = judged.sweep.outcomes[i];
      const OffsetRange range{outcome.first, outcome.last};
      if (outcome.kind != OffsetOutcome::Kind::rests) {
        constraint.undecided.push_back(range);
        continue;
      }
      const bool like_early = has_early && judged.classes[i] == judged.classes[0];
      const bool like_late = judged.classes[i] == judged.classes[last];
      const bool too_many =
          (!has_early || exceeds(judged.counts[i], judged.counts[0]) || (like_late && !like_early)) &&
          (exceeds(judged.counts[i], judged.counts[last]) || (like_early && !like_late));
      if (too_many) constraint.glitches.push_back(range);
    }
    merge_ranges(constraint.undecided);
    merge_ranges(constraint.glitches);
  }

  // The change that decides: both read by one gate, or one by the gate of the other.
  void name_race(const std::vector<OffsetTie>& ties, TimingConstraint& constraint) const {
    const auto reads = [&](GateId gate, NetId net) {
      const auto pins = c_.fan_in(gate);
      return std::find(pins.begin(), pins.end(), net) != pins.end();
    };
    const OffsetTie* best = nullptr;
    int best_rank = -1;
    GateId best_gate = no_id;
    for (const OffsetTie& tie : ties) {
      GateId gate = no_id;
      int rank = 0;
      for (const GateId reader : c_.fan_out(tie.first_net)) {
        if (!reads(reader, tie.second_net)) continue;
        gate = reader;
        rank = 2;
        break;
      }
      if (rank == 0 && c_.is_gate_output(tie.second_net) &&
          reads(c_.gate_of(tie.second_net), tie.first_net)) {
        gate = c_.gate_of(tie.second_net);
        rank = 1;
      }
      if (rank <= best_rank) continue;
      best = &tie;
      best_rank = rank;
      best_gate = gate;
    }
    constraint.race.clear();
    constraint.race_gate.clear();
    if (best == nullptr) return;
    constraint.race = {edge(best->first_net, best->first_value == Value::one),
                       edge(best->second_net, best->second_value == Value::one)};
    if (best_gate != no_id) constraint.race_gate = c_.gate_name(best_gate);
  }

  // From one end of the line to the first range that differs. `is_early`: from the left.
  void take_limits(const Judged& judged, bool is_early, TimingConstraint& constraint) {
    const auto& outcomes = judged.sweep.outcomes;
    const std::size_t count = outcomes.size();
    ++constraint.cases;
    constraint.ranges += count;
    const auto at = [&](std::size_t step) { return is_early ? step : count - 1 - step; };
    if (judged.classes[at(0)] == no_state) return;  // never rests in the end: told by `restless`
    std::size_t right = 0, clean = count;
    for (; right < count && judged.classes[at(right)] == judged.classes[at(0)]; ++right) {
      if (clean == count && exceeds(judged.counts[at(right)], judged.counts[at(0)])) clean = right;
    }
    clean = std::min(clean, right);
    const auto limit = [&](std::size_t steps) {
      const OffsetOutcome& last_good = outcomes[at(steps - 1)];
      return is_early ? -last_good.last : last_good.first;
    };
    if (clean < count && (!constraint.clean || limit(clean) > *constraint.clean))
      constraint.clean = limit(clean);
    if (right == count || (constraint.right && limit(right) <= *constraint.right)) return;
    constraint.right = limit(right);
    constraint.when = timing_inputs_text(c_, start_inputs_);
    const OffsetOutcome& last_good = outcomes[at(right - 1)];
    name_race(is_early ? last_good.last_ties : last_good.first_ties, constraint);
  }

  void pulse(InputLevel level) {
    TimingConstraint constraint;
    constraint.kind = ConstraintKind::pulse;
    constraint.control = edge(level.input, level.active);
    constraint.data = edge(level.input, !level.active);
    each_start({{level.input, !level.active}}, {}, [&] {
      const TimedChange begin{level.input, to_value(level.active), {0, false}};
      if (!rests({begin})) {
        ++constraint.restless;
        return;
      }
      const Judged judged = judge({begin, {level.input, to_value(!level.active), {0, true}}}, 1);
      take_limits(judged, false, constraint);
      if (judged.classes.back() == no_state) ++constraint.restless;
      note_trouble(judged, false, constraint);
    });
    constraints_.push_back(std::move(constraint));
  }

  // Setup, hold, recovery and removal against an edge; `level` is what the input is after it.
  void around(InputLevel level) {
    const bool is_clock = CellInputs::is_among(inputs_.clocks, level.input);
    for (const NetId data : inputs_.data) {
      for (const bool rises : {true, false}) {
        if (is_clock && inputs_.is_pulse_triggered) {
          window(ConstraintKind::setup, ConstraintKind::hold, {level.input, !level.active}, {data, rises}, {}, true, false);
          window(ConstraintKind::setup, ConstraintKind::hold, level, {data, rises}, {}, false, true);
        } else {
          window(ConstraintKind::setup, ConstraintKind::hold, level, {data, rises}, {}, true, true);
        }
      }
    }
    for (const InputLevel& control : inputs_.controls) {
      window(ConstraintKind::recovery, ConstraintKind::removal, level, {control.input, !control.active}, {control}, true, true);
    }
  }

  void releases(InputLevel a, InputLevel b) {
    window(ConstraintKind::recovery, ConstraintKind::removal, {b.input, !b.active}, {a.input, !a.active}, {a, b}, true, true);
  }

  // `data` becomes active at an offset, the control input its level at 0. A pulse-triggered cell, whose
  // setup is against the leading edge, is seen through the whole pulse.
  void window(ConstraintKind early_kind, ConstraintKind late_kind, InputLevel level, InputLevel data,
              std::initializer_list<InputLevel> active, bool early, bool late) {
    TimingConstraint before, after;
    before.kind = early_kind;
    after.kind = late_kind;
    before.control = after.control = edge(level.input, level.active);
    before.data = after.data = edge(data.input, data.active);
    before.value = data.active;
    after.value = !data.active;
    each_start({{level.input, !level.active}, {data.input, !data.active}}, active, [&] {
      const TimedChange fixed{level.input, to_value(level.active), {0, false}};
      const TimedChange moving{data.input, to_value(data.active), {0, true}};
      const TimedChange trailing{level.input, to_value(!level.active), {far_, false}};
      if (!rests({fixed}) || !rests({moving})) {
        ++before.restless;
        ++after.restless;
        return;
      }
      std::vector<TimedChange> changes = {fixed, moving};
      if (early && !late) changes.push_back(trailing);
      // In the middle of a long pulse is late for its leading edge.
      const Judged judged = judge(changes, lowest_offset, late ? highest_offset : far_ / 2);
      if (!judged.sweep.complete) return;
      if (judged.classes.front() == no_state) ++before.restless;
      if (judged.classes.back() == no_state) ++after.restless;
      take_limits(judged, true, before);
      if (late) take_limits(judged, false, after);
      note_trouble(judged, true, early ? before : after);
    });
    if (early && late) {
      after.undecided = before.undecided;
      after.glitches = before.glitches;
    }
    if (early) constraints_.push_back(std::move(before));
    if (late) constraints_.push_back(std::move(after));
  }

  OffsetRunner& runner_;
  const Circuit& c_;
  const CellStudy& study_;
  const TimingOptions& options_;
  const CellInputs inputs_;
  std::vector<TimingConstraint>& constraints_;
  const std::uint64_t first_run_;
  std::int64_t far_ = 0;
  bool complete_ = true;
  std::vector<Value> start_inputs_;
  std::span<const Value> start_gates_;
};

}  // namespace

std::string_view name_of(TimingConstraint::Kind kind) {
  switch (kind) {
    case ConstraintKind::setup: return "setup";
    case ConstraintKind::hold: return "hold";
    case ConstraintKind::recovery: return "recovery";
    case ConstraintKind::removal: return "removal";
    case ConstraintKind::pulse: return "pulse";
  }
  return "";
}

bool measure_constraints(OffsetRunner& runner, const CellStudy& study, const TimingOptions& options,
                         std::vector<TimingConstraint>& constraints) {
  return WindowMeter(runner, study, options, constraints).run();
}

}  // namespace settle
