#include "sim/expectations.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle {
namespace {

// Calls `visit` for what decides a net: the fan-in of its gate, or the gates on its wire.
template <typename Visit>
void visit_sources(const Circuit& circuit, NetId net, Visit visit) {
  if (circuit.is_gate_output(net)) {
    for (const NetId source : circuit.fan_in(circuit.gate_of(net))) visit(source);
  } else if (circuit.is_resolved(net)) {
    for (const NetId driver : circuit.drivers_of(net)) {
      for (const NetId source : circuit.fan_in(circuit.gate_of(driver))) visit(source);
    }
  }
}

// Marks all findings of a kind that no expectation has claimed yet; false when there is none.
bool claim_kind(Finding::Kind kind, std::vector<Finding>& findings) {
  bool found = false;
  for (Finding& f : findings) {
    if (f.kind != kind || f.expected) continue;
    f.expected = true;
    found = true;
  }
  return found;
}

}  // namespace

std::vector<NetId> nets_to_watch(const BoundStimulus& stimulus, const Circuit& circuit) {
  std::vector<NetId> nets;
  const auto add = [&](NetId net) {
    nets.push_back(net);
    visit_sources(circuit, net, [&](NetId source) { nets.push_back(source); });
  };
  for (const BoundStatement& s : stimulus.statements) {
    using Kind = StimulusStatement::Kind;
    if (s.kind == Kind::expect_changes || s.kind == Kind::expect_time) add(s.net);
    if (s.kind == Kind::expect_time) add(s.other_net);
    if (s.kind != Kind::expect && s.kind != Kind::expect_for) continue;
    for (const BoundAssignment& a : s.assignments) {
      for (const BitValue& bit : a.bits) add(bit.net);
    }
  }
  std::sort(nets.begin(), nets.end());
  nets.erase(std::unique(nets.begin(), nets.end()), nets.end());
  std::erase_if(nets, [&](NetId net) { return circuit.is_constant(net); });
  return nets;
}

std::size_t Expectations::open(Place place) {
  judged_.emplace_back();
  judged_.back().failure.place = place;
  return judged_.size() - 1;
}

void Expectations::check(const BoundAssignment& a, const Kernel& kernel, std::size_t index, bool gates_only) {
  if (!judged_[index].passed) return;
  const bool holds = std::all_of(a.bits.begin(), a.bits.end(), [&](const BitValue& bit) {
    return (gates_only && circuit_.is_input(bit.net)) || kernel.value(bit.net) == bit.value;
  });
  if (holds) return;
  Judged& judged = judged_[index];
  judged.passed = false;
  ExpectationFailure& f = judged.failure;
  f.time = kernel.now();
  f.net = a.name;
  for (const BitValue& bit : a.bits) {
    f.want += to_char(bit.value);
    f.got += to_char(kernel.value(bit.net));
  }
  f.history = history(a, kernel.now());
}

void Expectations::now(const BoundStatement& statement, const Kernel& kernel) {
  for (const BoundAssignment& a : statement.assignments) check(a, kernel, open(a.place), false);
}

void Expectations::hold(const BoundStatement& statement, const Kernel& kernel, Time end) {
  for (const BoundAssignment& a : statement.assignments) {
    const std::size_t index = open(a.place);
    check(a, kernel, index, false);
    holds_.push_back({&a, end, index});
  }
}

void Expectations::changes(const BoundStatement& statement, const Kernel& kernel) {
  const std::size_t index = open(statement.place);
  const std::vector<Change>& all = recorder_.changes(statement.net);
  // The first entry is the value at the start, no change.
  const auto first = std::lower_bound(all.begin() + 1, all.end(), statement.since,
                                      [](const Change& c, Time time) { return c.time < time; });
  const auto count = static_cast<std::uint64_t>(all.end() - first);
  if (count == statement.count) return;
  Judged& judged = judged_[index];
  judged.passed = false;
  judged.failure.time = kernel.now();
  judged.failure.net = statement.name;
  const auto text = [&](std::uint64_t n) {
    return fmt::format("{} change{} since {}", n, n == 1 ? "" : "s", statement.since);
  };
  judged.failure.want = text(statement.count);
  judged.failure.got = text(count);
  add_history(statement.net, kernel.now(), judged.failure.history);
}

void Expectations::time_between(const BoundStatement& statement, const Kernel& kernel) {
  const std::size_t index = open(statement.place);
  const TimeUnit unit = circuit_.time_unit();
  const auto fail = [&](std::string got, NetId net) {
    Judged& judged = judged_[index];
    judged.passed = false;
    judged.failure.time = kernel.now();
    judged.failure.net = net == statement.net ? statement.name : statement.other_name;
    const bool is_delay = statement.word == "delay";
    judged.failure.want = fmt::format("{} of {} {}", statement.word, is_delay ? "at most" : "at least",
                                      to_text(statement.duration, unit));
    judged.failure.got = std::move(got);
    add_history(statement.net, kernel.now(), judged.failure.history);
    add_history(statement.other_net, kernel.now(), judged.failure.history);
  };
  // The first entry of a net is its value at the start, no change.
  const std::vector<Change>& ours = recorder_.changes(statement.net);
  const std::vector<Change>& others = recorder_.changes(statement.other_net);
  const auto counts = [&](const Change& change) {
    return !statement.other_rises || change.value == to_value(*statement.other_rises);
  };
  const auto edge = std::find_if(others.rbegin(), others.rend() - 1, counts);
  const bool has_edge = edge != others.rend() - 1;
  if (statement.word == "delay") {
    if (ours.size() == 1) return fail(fmt::format("no change of {}", statement.name), statement.net);
    // A gate takes its time: what changes in the same instant is no answer.
    if (!has_edge || edge->time <= ours.back().time) {
      return fail(fmt::format("no change of {} since {} changed", statement.other_name, statement.name), statement.other_net);
    }
    const Time delay = edge->time - ours.back().time;
    if (delay > statement.duration) fail(to_text(delay, unit), statement.other_net);
    return;
  }
  if (!has_edge) return fail(fmt::format("no such change of {}", statement.other_name), statement.other_net);
  if (statement.word == "setup") {
    const auto after = std::upper_bound(ours.begin() + 1, ours.end(), edge->time,
                                        [](Time time, const Change& change) { return time < change.time; });
    if (after == ours.begin() + 1) return;  // settled from the start on
    const Time setup = edge->time - (after - 1)->time;
    if (setup < statement.duration) fail(to_text(setup, unit), statement.net);
    return;
  }
  const auto next = std::lower_bound(ours.begin() + 1, ours.end(), edge->time,
                                     [](const Change& change, Time time) { return change.time < time; });
  const Time held = (next == ours.end() ? kernel.now() : next->time) - edge->time;
  if (held >= statement.duration) return;
  fail(to_text(held, unit) + (next == ours.end() ? " so far" : ""), statement.net);
}

void Expectations::warning(const BoundStatement& statement, std::vector<Finding>& findings) {
  const std::size_t index = open(statement.place);
  if (!claim_kind(statement.warning, findings)) claims_.push_back({&statement, index});
}

void Expectations::look(const Kernel& kernel) {
  if (holds_.empty()) return;
  const Time now = kernel.now();
  std::erase_if(holds_, [&](const Hold& h) { return h.end < now; });
  for (const Hold& h : holds_) check(*h.assignment, kernel, h.index, h.end == now);
}

void Expectations::claim(std::vector<Finding>& findings, Time time) {
  for (const Claim& claim : claims_) {
    if (claim_kind(claim.statement->warning, findings)) continue;
    Judged& judged = judged_[claim.index];
    judged.passed = false;
    judged.failure.time = time;
    judged.failure.want = fmt::format("warning {}", name_of(claim.statement->warning));
    judged.failure.got = "none";
  }
  claims_.clear();
}

void Expectations::finish(std::vector<Finding>& findings, Time time) {
  claim(findings, time);
  holds_.clear();
}

void Expectations::add_history(NetId net, Time now, std::vector<std::string>& lines) const {
  if (!recorder_.watches(net)) return;
  const std::vector<Change>& all = recorder_.changes(net);
  constexpr std::size_t most = 3;
  std::string text;
  for (std::size_t i = all.size() > most ? all.size() - most : 0; i < all.size(); ++i) {
    if (all[i].time > now) break;
    text += fmt::format("{}{} at {}", text.empty() ? "" : ", ", to_char(all[i].value),
                        to_text(all[i].time, circuit_.time_unit()));
  }
  std::string driver = "input";
  if (circuit_.is_gate_output(net)) {
    const GateId gate = circuit_.gate_of(net);
    driver = fmt::format("{} {}", name_of(circuit_.kind(gate)), circuit_.gate_name(gate));
  } else if (circuit_.is_resolved(net)) {
    driver = "wire with several drivers";
  } else if (circuit_.is_undriven(net)) {
    driver = "nothing drives it";
  }
  lines.push_back(fmt::format("{} ({}): {}", circuit_.net_name(net), driver, text));
}

std::vector<std::string> Expectations::history(const BoundAssignment& a, Time now) const {
  std::vector<std::string> lines;
  for (const BitValue& bit : a.bits) {
    if (recorder_.changes(bit.net).back().value == bit.value) continue;
    add_history(bit.net, now, lines);
    visit_sources(circuit_, bit.net, [&](NetId source) {
      if (source != bit.net) add_history(source, now, lines);
    });
    break;  // the first wrong bit says enough
  }
  return lines;
}

}  // namespace settle
