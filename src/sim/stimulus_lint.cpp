// What a stimulus leaves alone, and what it asks for in vain.
//
// The statements are read once in the order of the text, with what is known about the inputs: the value
// that was last set, or nothing (after a bounce or under a clock, and at the start of a repeat, which other
// rounds enter differently). An expectation is judged when its instant ends, as a run does, since
// a later `set` of the same instant counts. The time is known up to the first `settle`, and again after `at`.
// Only what no behaviour of the circuit can fail is told.
// Cost: linear in the stimulus; each repeat forgets all inputs that were known.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "circuit/constant_nets.h"
#include "circuit/lint_findings.h"
#include "sim/bound_stimulus.h"

namespace settle {
namespace {

using StatementKind = StimulusStatement::Kind;

class StimulusLint {
 public:
  StimulusLint(const Stimulus& stimulus, const BoundStimulus& bound, const Circuit& circuit,
               const LintOptions& options, Diagnostics& diagnostics)
      : stimulus_(stimulus),
        bound_(bound),
        circuit_(circuit),
        options_(options),
        diagnostics_(diagnostics),
        constant_(constant_nets(circuit)),
        inputs_(circuit.input_count()) {}

  void run() {
    for (std::uint32_t i = 0; i < bound_.statements.size(); ++i) {
      while (!ends_.empty() && i >= ends_.back()) {
        ends_.pop_back();
        forget();
      }
      read(bound_.statements[i]);
    }
    end_instant();
    tell_expectations();
    tell_untouched();
    const bool has_expectations =
        std::any_of(bound_.statements.begin(), bound_.statements.end(), is_expectation);
    if (!has_expectations) {
      add_finding("no-expectation", start_of_file(),
                  {"this stimulus expects nothing: it passes whatever the circuit does",
                   "state with 'expect' what must come out"},
                  diagnostics_);
    }
  }

 private:
  struct Input {
    std::optional<Value> value = Value::x;  // nothing: not known
    bool is_touched = false;
    bool has_clock = false;
    std::uint32_t round = 0;  // of forget(); older values do not count
  };
  enum class Reason : std::uint8_t { input, constant, start, later };
  struct Doubt {
    Reason reason;
    Place place;
    const BoundAssignment* assignment = nullptr;
    const BoundStatement* statement = nullptr;
  };

  static bool is_expectation(const BoundStatement& s) {
    return s.kind == StatementKind::expect || s.kind == StatementKind::expect_for ||
           s.kind == StatementKind::expect_changes || s.kind == StatementKind::expect_time ||
           s.kind == StatementKind::expect_warning;
  }

  Place start_of_file() const { return {stimulus_.file, stimulus_.cell.empty() ? 0 : stimulus_.cell_offset}; }

  std::optional<Value> known_input(NetId net) const {
    const Input& input = inputs_[net];
    if (input.has_clock || input.round != round_) return std::nullopt;
    return input.value;
  }

  void touch(NetId net, std::optional<Value> value) {
    inputs_[net].value = value;
    inputs_[net].is_touched = true;
    inputs_[net].round = round_;
  }

  /// Other ways lead to this statement: neither inputs nor time are known any more.
  void forget() {
    end_instant();
    ++round_;
    time_.reset();
  }

  void advance(std::optional<Time> duration) {
    if (duration && *duration == 0) return;
    end_instant();
    time_ = time_ && duration && *duration < end_of_time - *time_ ? std::optional<Time>(*time_ + *duration)
                                                                  : std::nullopt;
    is_start_ = false;
  }

  void read(const BoundStatement& s) {
    switch (s.kind) {
      case StatementKind::set:
        for (const auto& a : s.assignments) {
          for (const auto& bit : a.bits) touch(bit.net, bit.value);
        }
        break;
      case StatementKind::pulse: pulse(s); break;
      case StatementKind::bounce:
        advance(s.duration);
        for (const auto& a : s.assignments) {
          for (const auto& bit : a.bits) touch(bit.net, std::nullopt);
        }
        break;
      case StatementKind::clock:
        touch(s.net, std::nullopt);
        inputs_[s.net].has_clock = true;
        break;
      case StatementKind::wait: advance(s.duration); break;
      case StatementKind::settle: advance(std::nullopt); break;
      case StatementKind::at:
        if (!time_ || *time_ != s.duration) {
          end_instant();
          is_start_ = false;
        }
        time_ = s.duration;
        break;
      case StatementKind::expect: ask(s); break;
      case StatementKind::expect_for:
        ask(s);
        advance(s.duration);
        break;
      case StatementKind::expect_changes:
        if (s.count == 0 && time_ && s.since > *time_)
          doubts_.push_back({Reason::later, s.place, nullptr, &s});
        break;
      case StatementKind::expect_time: break;
      case StatementKind::repeat:
        if (s.count == 0) break;
        forget();
        is_start_ = false;
        ends_.push_back(s.body_end);
        break;
      case StatementKind::expect_warning:
      case StatementKind::observe: break;
    }
  }

  void pulse(const BoundStatement& s) {
    std::vector<std::pair<NetId, std::optional<Value>>> before;
    for (const auto& a : s.assignments) {
      for (const auto& bit : a.bits) {
        before.emplace_back(bit.net, known_input(bit.net));
        touch(bit.net, bit.value);
      }
    }
    advance(s.duration);
    for (const auto& [net, value] : before) touch(net, value);
  }

  void ask(const BoundStatement& s) {
    for (const auto& a : s.assignments) asked_.push_back({&a, &s});
  }

  /// Judges what was asked at the instant that ends.
  void end_instant() {
    for (const auto& [a, statement] : asked_) {
      if (const auto reason = vain(*a)) doubts_.push_back({*reason, a->place, a, statement});
    }
    asked_.clear();
  }

  /// Why the assignment must hold, if it must: all bits for one reason.
  std::optional<Reason> vain(const BoundAssignment& a) const {
    std::optional<Reason> common;
    for (const auto& bit : a.bits) {
      const auto reason = vain(bit);
      if (!reason || (common && *common != *reason)) return std::nullopt;
      common = reason;
    }
    return common;
  }
  std::optional<Reason> vain(const BitValue& bit) const {
    if (circuit_.is_input(bit.net)) {
      return known_input(bit.net) == bit.value ? std::optional(Reason::input) : std::nullopt;
    }
    // Undriven nets are z. Constant gates are x at first, and never anything else but their value then.
    if (constant_[bit.net] != Value::x && constant_[bit.net] == bit.value) return Reason::constant;
    const bool is_logic =
        circuit_.is_gate_output(bit.net) && is_push_pull(circuit_.kind(circuit_.gate_of(bit.net)));
    if (is_start_ && is_logic && bit.value == Value::x && bound_.power_up == PowerUp::Kind::unknown) {
      return Reason::start;
    }
    return std::nullopt;
  }

  void tell_expectations() {
    std::vector<LintFinding> findings;
    for (std::uint32_t i = 0; i < doubts_.size(); ++i) findings.push_back({doubts_[i].place, i});
    tell_findings("idle-expectation", std::move(findings), options_, diagnostics_,
                  [&](std::uint32_t i) { return words_of(doubts_[i]); });
  }

  LintWords words_of(const Doubt& doubt) const {
    switch (doubt.reason) {
      case Reason::input:
        return {fmt::format("'{}' is an input that was set to this value: the expectation cannot fail",
                            doubt.assignment->name),
                "expect something of an output"};
      case Reason::constant:
        return {
            fmt::format("'{}' never has another value: the expectation cannot fail", doubt.assignment->name),
            "see the lint of the netlist for what makes it constant"};
      case Reason::start:
        return {fmt::format("'{}' is x at power-up: the expectation cannot fail before time goes on",
                            doubt.assignment->name),
                "let the circuit answer first, with 'settle' or 'wait'"};
      case Reason::later: break;
    }
    return {fmt::format("no change of '{}' can come after the present time: the expectation cannot fail",
                        doubt.statement->name),
            "put it behind the time in which the changes count, or start 'since' earlier"};
  }

  void tell_untouched() {
    std::vector<std::string> names;
    for (const Port& port : circuit_.input_ports()) {
      std::uint32_t left = 0;
      NetId first = no_id;
      for (NetId net = port.first; net < port.first + port.width; ++net) {
        if (inputs_[net].is_touched) continue;
        ++left;
        if (first == no_id) first = net;
      }
      if (left == 0) continue;
      names.push_back(left == port.width ? fmt::format("'{}'", port.name)
                      : left == 1        ? fmt::format("'{}'", circuit_.net_name(first))
                                         : fmt::format("'{}' and {} of '{}' more", circuit_.net_name(first),
                                                       counted(left - 1, "bit"), port.name));
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (i == options_.most)
        return add_more("untouched-input", start_of_file(), names.size() - i, diagnostics_);
      add_finding("untouched-input", start_of_file(),
                  {fmt::format("the stimulus never sets input {}, which is x all the time", names[i]),
                   "set it at the start, even if it does not change"},
                  diagnostics_);
    }
  }

  const Stimulus& stimulus_;
  const BoundStimulus& bound_;
  const Circuit& circuit_;
  const LintOptions& options_;
  Diagnostics& diagnostics_;
  std::vector<Value> constant_;
  std::vector<Input> inputs_;
  std::uint32_t round_ = 0;
  std::vector<std::uint32_t> ends_;  // of the repeats that are open
  std::vector<std::pair<const BoundAssignment*, const BoundStatement*>> asked_;
  std::vector<Doubt> doubts_;
  std::optional<Time> time_ = 0;
  bool is_start_ = true;
};

}  // namespace

void lint_stimulus(const Stimulus& stimulus, const Circuit& circuit, const LintOptions& options,
                   Diagnostics& diagnostics) {
  Diagnostics ignored;  // the run tells them
  const auto bound = bind(stimulus, circuit, ignored);
  if (bound) StimulusLint(stimulus, *bound, circuit, options, diagnostics).run();
}

}  // namespace settle
