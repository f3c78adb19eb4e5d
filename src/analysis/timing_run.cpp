// Simulation with one unknown.
//
// Idea: some input changes come at fixed times, the others at fixed times plus an unknown offset o. A gate
// changes a fixed delay after a change that it answers, so every time in the run is base or base + o. What
// the run does depends on o only through comparisons of such times: which changes are due next, and which
// fall together. So the run is done for one o, and each comparison of a time that moves with one that does
// not narrows the range of offsets for which it would have come out the same. Whatever o in that range: the
// same run, with all moving times shifted. The whole line of offsets falls into finitely many ranges, since
// far out the circuit rests between the changes; a walk from range to range visits them all.
//
// Invariants: pending_ holds one change of a gate at most, never to the value that it has; an outcome of a
// state that comes back is proved for the whole range when the pending changes are the same as terms, else
// the range is narrowed to the one offset at which they are the same numbers.
//
// Cost: each instant looks at all pending changes; meant for single storage cells. Repeated states are found
// by Brent's method (An improved Monte Carlo factorization algorithm, BIT 20, 1980), with one saved state.
#include "analysis/timing_run.h"

#include <algorithm>

#include "settle/progress.h"

namespace settle {
namespace {

constexpr std::size_t most_ties = 8;
constexpr std::int64_t latest_base = std::int64_t{1} << 60;

std::uint64_t ticks_of(const DelayTriple& delay, DelayChoice choice) {
  const std::uint64_t ticks = choice == DelayChoice::min   ? delay.min
                              : choice == DelayChoice::max ? delay.max
                              : choice == DelayChoice::typ ? delay.typ
                                                           : 1;
  return std::clamp<std::uint64_t>(ticks, 1, std::uint64_t{1} << 50);
}

std::vector<OffsetRunner::Ticks> chosen_delays(const Circuit& circuit, DelayChoice choice) {
  std::vector<OffsetRunner::Ticks> delays(circuit.gate_count());
  if (!circuit.has_delays() || choice == DelayChoice::unit) return delays;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    delays[gate] = {ticks_of(circuit.delay(gate).rise, choice), ticks_of(circuit.delay(gate).fall, choice)};
  }
  return delays;
}

}  // namespace

std::uint32_t OffsetOutcome::count(NetId net) const {
  return static_cast<std::uint32_t>(std::count_if(
      changes.begin(), changes.end(), [&](const RunChange& change) { return change.net == net; }));
}

const RunChange* OffsetOutcome::last_change(NetId net) const {
  const auto found = std::find_if(changes.rbegin(), changes.rend(),
                                  [&](const RunChange& change) { return change.net == net; });
  return found == changes.rend() ? nullptr : &*found;
}

OffsetRunner::OffsetRunner(const Circuit& circuit, DelayChoice delays)
    : OffsetRunner(circuit, chosen_delays(circuit, delays)) {}

OffsetRunner::OffsetRunner(const Circuit& circuit, std::vector<Ticks> delays)
    : circuit_(circuit),
      delays_(std::move(delays)),
      queued_(circuit.gate_count(), false),
      wire_causes_(circuit.resolved_count(), no_id) {}

void OffsetRunner::start(std::span<const Value> inputs, std::span<const Value> gates) {
  const Circuit& c = circuit_;
  values_.assign(c.net_count(), Value::z);
  std::copy(inputs.begin(), inputs.end(), values_.begin());
  std::copy(gates.begin(), gates.end(), values_.begin() + c.input_count());
  values_[c.const_zero()] = Value::zero;
  values_[c.const_one()] = Value::one;
  drives_.assign(c.gate_count(), Drive::x);
  for (GateId gate = 0; gate < c.gate_count(); ++gate) drives_[gate] = static_cast<Drive>(gates[gate]);
  cause_.assign(c.net_count(), no_id);  // resolve_wires() below writes to it
  pending_.clear();
  for (NetId wire = c.first_resolved(); wire < c.first_undriven(); ++wire) wires_.push_back(wire);
  out_ = OffsetOutcome{};
  resolve_wires({});
  out_.changes.clear();
  std::fill(cause_.begin(), cause_.end(), no_id);
  for (const GateId gate : queue_) queued_[gate] = false;
  queue_.clear();
}

void OffsetRunner::apply(NetId net, Value value, EventTime when, std::uint32_t cause) {
  if (values_[net] == value) return;
  values_[net] = value;
  cause_[net] = static_cast<std::uint32_t>(out_.changes.size());
  out_.changes.push_back({net, value, when, cause});
  for (const GateId reader : circuit_.fan_out(net)) {
    if (queued_[reader]) continue;
    queued_[reader] = true;
    queue_.push_back(reader);
  }
}

void OffsetRunner::resolve_wires(EventTime when) {
  for (const NetId wire : wires_) {
    strong_.clear();
    pull_.clear();
    for (const NetId driver : circuit_.drivers_of(wire)) {
      const GateId gate = circuit_.gate_of(driver);
      (is_pull(circuit_.kind(gate)) ? pull_ : strong_).push_back(drives_[gate]);
    }
    std::uint32_t& cause = wire_causes_[wire - circuit_.first_resolved()];
    apply(wire, resolve(strong_, pull_), when, cause);
    cause = no_id;
  }
  wires_.clear();
}

void OffsetRunner::evaluate(EventTime now) {
  for (const GateId gate : queue_) {
    queued_[gate] = false;
    pins_.clear();
    std::uint32_t cause = no_id;
    for (const NetId net : circuit_.fan_in(gate)) {
      pins_.push_back(values_[net]);
      if (cause_[net] != no_id && (cause == no_id || cause_[net] > cause)) cause = cause_[net];
    }
    Drive drive = drive_of(circuit_.kind(gate), pins_);
    const bool on_wire = circuit_.shared_wire(gate) != no_id;
    if (!on_wire) drive = static_cast<Drive>(to_value(drive));
    const Drive present = on_wire ? drives_[gate] : static_cast<Drive>(values_[circuit_.output_of(gate)]);
    const auto waiting = std::find_if(pending_.begin(), pending_.end(),
                                      [&](const Pending& pending) { return pending.gate == gate; });
    if (drive == (waiting == pending_.end() ? present : waiting->drive)) continue;
    if (waiting != pending_.end()) pending_.erase(waiting);
    if (drive == present) continue;
    const auto [rise, fall] = delays_[gate];
    const std::uint64_t delay = drive == Drive::one    ? rise
                                : drive == Drive::zero ? fall
                                                       : std::min(rise, fall);
    pending_.push_back({gate, drive, {now.base + static_cast<std::int64_t>(delay), now.moves}, cause});
  }
  queue_.clear();
}

// `soonest` is due at the present instant, `other` is due then or later.
void OffsetRunner::narrow(const RunChange& soonest, const RunChange& other, std::int64_t offset) {
  if (soonest.when.moves == other.when.moves) return;
  const std::int64_t gap = other.when.at(offset) - soonest.when.at(offset);
  const OffsetTie tie{soonest.net, other.net, soonest.value, other.value};
  const auto add = [&](std::vector<OffsetTie>& ties, bool is_closer, bool is_equal) {
    if (is_closer) ties.clear();
    if ((is_closer || is_equal) && ties.size() < most_ties) ties.push_back(tie);
  };
  if (gap == 0) {
    add(out_.first_ties, out_.first < offset, true);
    add(out_.last_ties, out_.last > offset, true);
    out_.first = out_.last = offset;
    return;
  }
  if (other.when.moves) {  // it would come as soon with an offset less by `gap`
    const std::int64_t first = offset - gap + 1;
    add(out_.first_ties, first > out_.first, first == out_.first);
    out_.first = std::max(out_.first, first);
  } else {
    const std::int64_t last = offset + gap - 1;
    add(out_.last_ties, last < out_.last, last == out_.last);
    out_.last = std::min(out_.last, last);
  }
}

bool OffsetRunner::has_come_back(const Snapshot& then, EventTime now, std::int64_t offset) {
  if (then.pending.size() != pending_.size() || then.values != values_ || then.drives != drives_)
    return false;
  bool same_terms = now.moves == then.now.moves;
  for (const Pending& old : then.pending) {
    const auto found = std::find_if(pending_.begin(), pending_.end(),
                                    [&](const Pending& pending) { return pending.gate == old.gate; });
    if (found == pending_.end() || found->drive != old.drive) return false;
    if (found->due.at(offset) - now.at(offset) != old.due.at(offset) - then.now.at(offset)) return false;
    same_terms = same_terms && found->due.moves == old.due.moves;
  }
  if (!same_terms) out_.first = out_.last = offset;
  return true;
}

OffsetOutcome OffsetRunner::run(std::span<const Value> inputs, std::span<const Value> gates,
                                std::span<const TimedChange> changes, std::int64_t offset) {
  ++runs_;
  start(inputs, gates);
  std::vector<TimedChange> waiting(changes.begin(), changes.end());
  Snapshot snapshot;
  std::uint64_t instants = 0, next_snapshot = 1;
  for (;; ++instants) {
    if (pending_.empty() && waiting.empty()) break;
    if (waiting.empty()) {
      if (instants >= next_snapshot) {
        snapshot = {values_, drives_, pending_, out_.end};
        next_snapshot = instants * 2;
      } else if (!snapshot.values.empty() && has_come_back(snapshot, out_.end, offset)) {
        out_.kind = OffsetOutcome::Kind::repeats;
        out_.period = static_cast<Time>(out_.end.at(offset) - snapshot.now.at(offset));
        break;
      }
    }
    if (instants >= limit_ || out_.end.base > latest_base) {
      out_.kind = OffsetOutcome::Kind::unknown;
      break;
    }
    // The changes due next, and whether that could be otherwise.
    RunChange soonest;
    bool found = false;
    const auto consider = [&](NetId net, Value value, EventTime when) {
      if (found && when.at(offset) >= soonest.when.at(offset)) return;
      soonest = {net, value, when, no_id};
      found = true;
    };
    for (const Pending& p : pending_) consider(net_of(p), to_value(p.drive), p.due);
    for (const TimedChange& change : waiting) consider(change.input, change.value, change.when);
    for (const Pending& p : pending_) narrow(soonest, {net_of(p), to_value(p.drive), p.due, no_id}, offset);
    for (const TimedChange& c : waiting) narrow(soonest, {c.input, c.value, c.when, no_id}, offset);

    const EventTime now = soonest.when;
    const std::int64_t t = now.at(offset);
    out_.end = now;
    for (std::size_t i = 0; i < pending_.size();) {
      if (pending_[i].due.at(offset) != t) {
        ++i;
        continue;
      }
      const Pending due = pending_[i];
      pending_.erase(pending_.begin() + static_cast<std::ptrdiff_t>(i));
      const NetId net = circuit_.output_of(due.gate);
      const NetId wire = circuit_.shared_wire(due.gate);
      drives_[due.gate] = due.drive;
      if (wire == no_id) {
        apply(net, to_value(due.drive), now, due.cause);
        continue;
      }
      values_[net] = to_value(due.drive);
      if (std::find(wires_.begin(), wires_.end(), wire) == wires_.end()) wires_.push_back(wire);
      wire_causes_[wire - circuit_.first_resolved()] = due.cause;
    }
    const auto is_due = [&](const TimedChange& change) { return change.when.at(offset) == t; };
    for (auto change = waiting.begin(); change != waiting.end(); ++change) {
      const auto is_later = [&](const TimedChange& other) {
        return is_due(other) && other.input == change->input;
      };
      // Of several changes of one input at once the last one counts.
      if (is_due(*change) && std::none_of(change + 1, waiting.end(), is_later))
        apply(change->input, change->value, now, no_id);
    }
    std::erase_if(waiting, is_due);
    resolve_wires(now);
    evaluate(now);
  }
  out_.values = values_;
  return std::move(out_);
}

OffsetSweep sweep_offsets(OffsetRunner& runner, std::span<const Value> inputs, std::span<const Value> gates,
                          std::span<const TimedChange> changes, std::int64_t from, std::int64_t to,
                          std::size_t limit, const std::atomic<bool>* stop) {
  OffsetSweep sweep;
  const auto run_at = [&](std::int64_t offset) {
    OffsetOutcome outcome = runner.run(inputs, gates, changes, offset);
    outcome.first = std::max(outcome.first, from);
    outcome.last = std::min(outcome.last, to);
    return outcome;
  };
  const auto may_go_on = [&] {
    sweep.complete = sweep.outcomes.size() < limit && !is_set(stop);
    return sweep.complete;
  };
  sweep.outcomes.push_back(run_at(std::clamp<std::int64_t>(0, from, to)));
  while (sweep.outcomes.back().first > from && may_go_on()) {
    sweep.outcomes.push_back(run_at(sweep.outcomes.back().first - 1));
  }
  std::reverse(sweep.outcomes.begin(), sweep.outcomes.end());
  while (sweep.complete && sweep.outcomes.back().last < to && may_go_on()) {
    sweep.outcomes.push_back(run_at(sweep.outcomes.back().last + 1));
  }
  return sweep;
}

}  // namespace settle
