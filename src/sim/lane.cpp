#include "sim/lane.h"

#include <algorithm>
#include <random>
#include <set>

#include <fmt/format.h>

#include "sim/finding_text.h"

namespace settle {
namespace {

using Kind = StimulusStatement::Kind;

// Steps without rest after which a run is looked at for a repeating state, when its input change
// could not be judged. Any loop of gates that does settle does so in fewer in practice.
constexpr Time patience = 4096;

bool advances_time(const BoundStatement& s) {
  switch (s.kind) {
    case Kind::wait: case Kind::at: return s.duration != 0;
    case Kind::settle: case Kind::expect_for: case Kind::pulse: case Kind::bounce: return true;
    default: return false;
  }
}

bool repeats_finding(const Finding& a, const Finding& b) {
  if (a.kind != b.kind || a.gates != b.gates || a.nets != b.nets || a.causes.size() != b.causes.size() ||
      a.outcomes != b.outcomes) {
    return false;
  }
  return std::equal(a.causes.begin(), a.causes.end(), b.causes.begin(), [](const auto& x, const auto& y) {
    return x.net == y.net && x.from == y.from && x.to == y.to;
  });
}

}  // namespace

std::vector<Value> inputs_at_start(const BoundStimulus& stimulus, const Circuit& circuit) {
  std::vector<Value> inputs(circuit.input_count(), Value::x);
  for (const BoundStatement& s : stimulus.statements) {
    switch (s.kind) {
      case Kind::set: case Kind::pulse: case Kind::bounce:
        for (const BoundAssignment& a : s.assignments) {
          for (const BitValue& bit : a.bits) inputs[bit.net] = bit.value;
        }
        break;
      case Kind::clock: inputs[s.net] = Value::zero; break;
      case Kind::repeat:
        if (s.count == 0) return inputs;
        break;
      default: break;
    }
    if (advances_time(s)) break;
  }
  return inputs;
}

Lane::Lane(const Circuit& circuit, const BoundStimulus& stimulus, const RunOptions& options,
           const std::vector<NetId>& watched, RunWork& work)
    : circuit_(circuit),
      stimulus_(stimulus),
      options_(options),
      work_(work),
      kernel_(circuit, options.kernel),
      recorder_(circuit),
      judge_(circuit, options, work.searches()),
      expectations_(circuit, recorder_),
      waiting_at_(circuit.input_count(), no_id) {
  for (const NetId net : watched) recorder_.watch(net);
}

void Lane::run(std::span<const Value> gates, bool known, Meetings* meetings, std::uint32_t number) {
  known_start_ = known;
  const std::vector<Value> unset(circuit_.input_count(), Value::x);
  kernel_.power_up(unset, gates);
  execute_all(meetings, number);
  if (has_met_) return;
  close_instant();
  expectations_.finish(findings_, now_);
}

// Repeat bodies stand in place; a stack of counters takes the place of recursion.
void Lane::execute_all(Meetings* meetings, std::uint32_t number) {
  struct Loop {
    std::size_t first, end;
    std::uint64_t left;
  };
  std::vector<Loop> loops;
  const auto& all = stimulus_.statements;
  std::size_t at = 0;
  while (complete_) {
    while (!loops.empty() && at == loops.back().end) {
      if (--loops.back().left == 0) {
        loops.pop_back();
      } else {
        at = loops.back().first;
        check_work();  // rounds in which no statement is executed count, too
      }
    }
    if (at >= all.size()) break;
    const BoundStatement& s = all[at];
    if (s.kind != Kind::repeat) {
      statement_ = at;
      statement_start_ = now_;
      execute(s);
      check_work();
      work_.statement_done(at);
      ++at;
      if (meetings != nullptr && complete_ && advances_time(s)) {
        std::vector<std::uint64_t> rounds;
        for (const Loop& loop : loops) rounds.push_back(loop.left);
        if (has_met(*meetings, number, rounds)) return;
      }
    } else if (s.count == 0 || s.body_end == at + 1) {
      at = s.body_end;
    } else {
      loops.push_back({at + 1, s.body_end, s.count});
      ++at;
    }
  }
}

// Whatever the rest of the run could still depend on is asked for here: nothing under way, nothing found.
bool Lane::has_met(Meetings& meetings, std::uint32_t number, std::span<const std::uint64_t> rounds) {
  const bool at_rest = !kernel_.next_time() && waiting_.empty() && asked_.empty() && !collapse_;
  if (!at_rest || !findings_.empty() || judge_.has_collapsed() || !expectations_.is_idle()) return false;
  const Whereabouts place{statement_, {rounds.begin(), rounds.end()}, clocks_, now_, kernel_.now() == now_};
  const auto rest = meetings.meet(number, place, kernel_.state_hash(), kernel_.values(), counts());
  if (!rest) return false;
  met_ = *rest;
  has_met_ = true;
  return true;
}

void Lane::execute(const BoundStatement& s) {
  switch (s.kind) {
    case Kind::set: set_all(s); break;
    case Kind::wait: go_on(s.duration); break;
    case Kind::at:
      if (s.duration < now_) {
        stop(fmt::format("'at {}' comes too late: the run is at {} already", s.duration, now_));
      } else {
        go_on(s.duration - now_);
      }
      break;
    case Kind::settle: settle(); break;
    case Kind::expect: case Kind::expect_changes: case Kind::expect_time: asked_.push_back(&s); break;
    case Kind::expect_warning: expectations_.warning(s, findings_); break;
    case Kind::expect_for:
      close_instant();
      expectations_.hold(s, kernel_, later(now_, s.duration));
      go_on(s.duration);
      break;
    case Kind::pulse: pulse(s); break;
    case Kind::bounce: bounce(s); break;
    case Kind::clock:
      set(s.net, Value::zero);
      drive_.add_clock(s, now_);
      clocks_.push_back(now_);
      break;
    case Kind::repeat: case Kind::observe: break;
  }
  // Warnings that were asked for must have come by the end of a statement that advances time.
  if (advances_time(s)) expectations_.claim(findings_, now_);
}

void Lane::set(NetId net, Value value) {
  std::uint32_t& at = waiting_at_[net];
  if (at != no_id) {
    waiting_[at].value = value;
  } else {
    at = static_cast<std::uint32_t>(waiting_.size());
    waiting_.push_back({net, value});
  }
}

void Lane::set_all(const BoundStatement& s) {
  for (const BoundAssignment& a : s.assignments) {
    for (const BitValue& bit : a.bits) set(bit.net, bit.value);
  }
}

// Runs the instant at now_, with the inputs that wait, and judges what was asked of it.
void Lane::close_instant() {
  const bool clock_due = drive_.next_time() == now_;
  if (!started_ || !waiting_.empty() || clock_due || kernel_.now() < now_) run_instant(now_);
  for (const BoundStatement* s : asked_) {
    if (s->kind == Kind::expect) {
      expectations_.now(*s, kernel_);
    } else if (s->kind == Kind::expect_time) {
      expectations_.time_between(*s, kernel_);
    } else {
      expectations_.changes(*s, kernel_);
    }
  }
  asked_.clear();
}

void Lane::run_instant(Time time) {
  drive_.run(time, [&](NetId net, Value value) { set(net, value); });
  for (const InputChange& c : waiting_) waiting_at_[c.net] = no_id;
  std::erase_if(waiting_, [&](const InputChange& c) { return kernel_.value(c.net) == c.value; });
  for (const InputChange& c : waiting_) kernel_.set_input(c.net, c.value);
  kernel_.run_instant(time);
  const std::size_t first_new = findings_.size();
  if (!started_) {
    started_ = true;
    recorder_.start(kernel_.values());
    judge_.start(kernel_.values());
    if (known_start_) collapse_ = judge_.step(kernel_, waiting_, true, findings_);
    last_drive_ = time;
  } else {
    recorder_.record(time, kernel_.changed(), kernel_.values());
    if (waiting_.empty()) {
      judge_.follow(kernel_);
    } else {
      collapse_ = judge_.step(kernel_, waiting_, false, findings_);
      last_drive_ = time;
      looked_ahead_ = false;
    }
  }
  waiting_.clear();
  if (circuit_.resolved_count() != 0) look_for_contention();
  if (!looked_ahead_ && !collapse_ && time - last_drive_ > patience && kernel_.next_time()) {
    looked_ahead_ = true;
    collapse_ = judge_.long_unrest(kernel_, findings_);
  }
  add_findings(first_new);
  if (collapse_ && collapse_->time <= time) {
    kernel_.make_unknown(collapse_->gates);
    recorder_.record(time, kernel_.changed(), kernel_.values());
    judge_.follow(kernel_);
    collapse_.reset();
  }
  expectations_.look(kernel_);
  check_work();
  if (complete_ && recorder_.total() > options_.change_limit) {
    stop(fmt::format("more than {} value changes recorded, at time {}: {}", options_.change_limit, time_text(now_),
                     limit_hint(LimitKind::changes, options_.change_limit)));
  }
}

// Runs every instant before `time`, and stops in front of the one at `time`.
void Lane::go_to(Time time) {
  while (complete_) {
    std::optional<Time> next = kernel_.next_time();
    const std::optional<Time> driven = drive_.next_time();
    if (driven && (!next || *driven < *next)) next = driven;
    if (collapse_ && (!next || collapse_->time < *next)) next = collapse_->time;
    if (!next || *next >= time) break;
    now_ = *next;
    run_instant(now_);
  }
  if (complete_) now_ = time;
}

void Lane::go_on(Time duration) {
  if (duration == 0) return;
  close_instant();
  if (duration >= end_of_time - now_) {
    stop("the run goes beyond the end of time (2^64 ticks)");
    return;
  }
  go_to(now_ + duration);
}

void Lane::settle() {
  close_instant();
  const Time since = now_;
  while (complete_) {
    std::optional<Time> next = kernel_.next_time();
    if (collapse_ && (!next || collapse_->time < *next)) next = collapse_->time;
    if (!next) break;
    const std::optional<Time> driven = drive_.next_time();
    if (driven && *driven < *next) next = driven;
    if (*next - since > options_.time_limit) {
      not_settled(since);
      break;
    }
    go_to(*next);
    if (complete_) run_instant(now_);
  }
  // What follows is a later instant, so that no value that was set goes unseen.
  if (complete_ && now_ == since) go_on(1);
}

void Lane::not_settled(Time since) {
  Finding f;
  f.kind = Finding::Kind::not_settled;
  f.time = since;
  f.period = options_.time_limit;
  for (const GateId gate : kernel_.pending_gates()) {
    f.gates.push_back(circuit_.gate_name(gate));
    f.nets.push_back(circuit_.net_name(circuit_.visible_net(gate)));
  }
  f.message = fmt::format("not settled within {}: {} {} still changing; --limit-time allows more",
                          span_text(options_.time_limit), list_text(f.nets), f.nets.size() == 1 ? "is" : "are");
  findings_.push_back(std::move(f));
  stop(fmt::format("not settled within {} since time {}: {}", span_text(options_.time_limit), time_text(since),
                   limit_hint(LimitKind::time, options_.time_limit)));
}

void Lane::pulse(const BoundStatement& s) {
  std::vector<InputChange> back;
  for (const BoundAssignment& a : s.assignments) {
    for (const BitValue& bit : a.bits) {
      const std::uint32_t at = waiting_at_[bit.net];
      back.push_back({bit.net, at != no_id ? waiting_[at].value : kernel_.value(bit.net)});
    }
  }
  set_all(s);
  go_on(s.duration);
  for (const InputChange& c : back) set(c.net, c.value);
}

// The contact closes at once and springs back and forth: the other edges fall on distinct times
// within the duration, picked by Floyd's sampling (Bentley and Floyd, CACM 30 (9), 1987).
void Lane::bounce(const BoundStatement& s) {
  const BitValue target = s.assignments[0].bits[0];
  std::mt19937_64 random(options_.seed.value_or(s.seed));
  std::set<Time> edges;
  const std::uint64_t others = s.count - 1;  // fit in: checked when the names were looked up
  for (Time top = s.duration - others + 1; edges.size() < others; ++top) {
    const Time pick = 1 + random() % top;
    edges.insert(edges.contains(pick) ? top : pick);
  }
  const Time start = now_;
  Value value = target.value;
  set(target.net, value);
  for (const Time edge : edges) {
    go_on(start + edge - now_);
    if (!complete_) return;
    value = inverted(value);
    set(target.net, value);
  }
  go_on(start + s.duration - now_);
}

void Lane::look_for_contention() {
  for (const NetId net : kernel_.changed()) {
    if (!circuit_.is_resolved(net) || kernel_.value(net) != Value::x) continue;
    Finding f;
    bool low = false, high = false;
    for (const NetId driver : circuit_.drivers_of(net)) {
      const GateId gate = circuit_.gate_of(driver);
      if (is_pull(circuit_.kind(gate)) || !is_binary(kernel_.value(driver))) continue;
      (kernel_.value(driver) == Value::one ? high : low) = true;
      f.gates.push_back(circuit_.gate_name(gate));
    }
    if (!low || !high) continue;
    f.kind = Finding::Kind::contention;
    f.time = kernel_.now();
    f.nets.push_back(circuit_.net_name(net));
    f.message = message_of(f, circuit_.time_unit(), circuit_.has_delays());
    findings_.push_back(std::move(f));
  }
}

// The same finding again is counted, not listed twice. The time of the first one stays.
void Lane::add_findings(std::size_t first_new) {
  std::size_t kept = first_new;
  for (std::size_t i = first_new; i < findings_.size(); ++i) {
    const auto end = findings_.begin() + static_cast<std::ptrdiff_t>(kept);
    // An expected finding was claimed already; one that comes later is a new one.
    const auto same = std::find_if(findings_.begin(), end, [&](const Finding& f) {
      return !f.expected && repeats_finding(f, findings_[i]);
    });
    if (same != end) {
      ++same->repeats;
      continue;
    }
    if (kept != i) findings_[kept] = std::move(findings_[i]);
    ++kept;
  }
  findings_.resize(kept);
}

// After each statement and each instant: cheap, for both may come by the million.
void Lane::check_work() {
  if (!complete_) return;
  if (is_set(options_.stop)) {
    stop(fmt::format("stopped from outside at time {}", time_text(now_)));
  } else if (!work_.count(events())) {
    stop(fmt::format("more than {} events, at time {}: {}", options_.event_limit, time_text(now_),
                     limit_hint(LimitKind::events, options_.event_limit)));
  }
  if ((++steps_ & 63u) == 0) work_.tell(statement_, now_ - statement_start_);
}

std::string Lane::time_text(Time time) const { return to_text(time, circuit_.time_unit()); }

std::string Lane::span_text(Time ticks) const {
  return circuit_.time_unit() == TimeUnit::none ? fmt::format("{} units", ticks) : time_text(ticks);
}

void Lane::stop(std::string reason) {
  complete_ = false;
  reason_ = std::move(reason);
}

}  // namespace settle
