// What the drivers of three-state wires can do together.
//
// Idea: the logic in front of the pins of three-state gates becomes clauses, with free inputs, as far as
// it has no memory: a net that depends on a loop, on another three-state wire or on a net that nothing
// drives is closed to this, and so are the questions about it. Then one question a wire: can two drivers be
// on with different values (some driver gives 1 and some 0)? Can all be off? And one a driver: can it be
// on at all? Most answers are yes, and most of these are found by simulating the logic for 256
// random input vectors, 64 in a machine word; the solver is asked only for the rest, each time a fresh
// one that gets the logic in front of the question alone: on a board full of buses all of it would be much.
// A yes is shown with the inputs that bring it about, a no is a proof.
// Cost: linear in the logic in front of the drivers, and a bounded amount of solver work.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <bit>
#include <optional>
#include <random>
#include <unordered_map>

#include "analysis/sat_solver.h"
#include "circuit/constant_nets.h"
#include "circuit/lint_findings.h"

namespace settle {
namespace {

constexpr std::size_t rounds = 4;                    // of 64 random input vectors
constexpr std::uint64_t most_literals = 20'000'000;  // given to solvers, all together
using Pattern = std::array<std::uint64_t, rounds>;

bool is_on_by_zero(GateKind kind) { return kind == GateKind::bufif0 || kind == GateKind::notif0; }

/// A three-state gate; `on` and `value` count when its two pins are free of memory.
struct Driver {
  GateId gate = no_id;
  bool is_open_to_proof = false;
  Literal on = literal_false, value = literal_false;
};

class DriverLogic {
 public:
  DriverLogic(const Circuit& circuit, const std::vector<Value>& known)
      : circuit_(circuit),
        literal_(circuit.net_count(), unseen),
        patterns_(1),
        definition_start_(1),
        definition_end_(1) {
    patterns_[0].fill(~std::uint64_t{0});
    for (NetId net = 0; net < circuit.net_count(); ++net) {
      if (is_binary(known[net])) literal_[net] = known[net] == Value::one ? literal_true : literal_false;
    }
  }

  Driver driver(GateId gate) {
    const auto kind = circuit_.kind(gate);
    const auto pins = circuit_.fan_in(gate);
    const bool inverts = kind == GateKind::notif0 || kind == GateKind::notif1;
    const Literal data = literal(pins[0]), control = literal(pins[1]);
    Driver driver{gate};
    if (data == no_literal || control == no_literal) return driver;
    driver.is_open_to_proof = true;
    driver.on = control ^ (is_on_by_zero(kind) ? 1u : 0u);
    driver.value = data ^ (inverts ? 1u : 0u);
    return driver;
  }

  /// A literal that is 1 when all of these are.
  Literal all_of(std::span<const Literal> literals) {
    const Literal out = new_variable();
    clauses_.add_all(out, literals);
    end_definition(out);
    Pattern pattern;
    pattern.fill(~std::uint64_t{0});
    for (const Literal l : literals) {
      for (std::size_t r = 0; r < rounds; ++r) pattern[r] &= bits(l, r);
    }
    patterns_[variable_of(out)] = pattern;
    return out;
  }

  /// Can all of these be 1? After yes, is_one() tells the values of one such case.
  SatSolver::Answer can_be(std::span<const Literal> wanted, const LintOptions& options) {
    for (std::size_t r = 0; r < rounds; ++r) {
      std::uint64_t good = ~std::uint64_t{0};
      for (const Literal l : wanted) good &= bits(l, r);
      if (good == 0) continue;
      round_ = r;
      bit_ = std::countr_zero(good);
      by_pattern_ = true;
      return SatSolver::Answer::yes;
    }
    by_pattern_ = false;
    return ask_solver(wanted, options);
  }
  /// From now on as much solver work again.
  void allow_questions() { literals_given_ = 0; }
  bool is_one(Literal literal) {
    if (variable_of(literal) == 0) return literal == literal_true;
    if (by_pattern_) return (bits(literal, round_) >> bit_ & 1u) != 0;
    const auto local = local_.find(variable_of(literal));
    const bool variable_is_one = local != local_.end() && solver_->value(literal_of(local->second));
    return variable_is_one != ((literal & 1u) != 0);
  }

  /// Inputs in front of these nets, ascending, as "a=1 b=0" with their values in the case found.
  std::string inputs_before(std::vector<NetId> nets) {
    std::vector<NetId> inputs;
    std::vector<bool> seen(circuit_.net_count());
    while (!nets.empty()) {
      const NetId net = nets.back();
      nets.pop_back();
      if (seen[net]) continue;
      seen[net] = true;
      if (circuit_.is_input(net)) inputs.push_back(net);
      if (!circuit_.is_gate_output(net)) continue;
      for (const NetId pin : circuit_.fan_in(circuit_.gate_of(net))) nets.push_back(pin);
    }
    std::sort(inputs.begin(), inputs.end());
    constexpr std::size_t shown = 12;
    std::string text;
    for (std::size_t i = 0; i < std::min(inputs.size(), shown); ++i) {
      text += fmt::format("{}{}={}", i == 0 ? "" : " ", circuit_.net_name(inputs[i]),
                          is_one(literal_[inputs[i]]) ? 1 : 0);
    }
    if (inputs.size() > shown) text += fmt::format(" and {} more inputs", inputs.size() - shown);
    return text;
  }

 private:
  static constexpr Literal unseen = 0xfffffffeu;  // no_literal: closed

  std::uint64_t bits(Literal literal, std::size_t round) const {
    return patterns_[variable_of(literal)][round] ^ ((literal & 1u) != 0 ? ~std::uint64_t{0} : 0);
  }

  Literal new_variable() {
    const Literal out = literal_of(clauses_.add_variable());
    end_definition(out);
    return out;
  }
  /// The clauses since `out` was made, and variables that helped with them, belong to it.
  void end_definition(Literal out) {
    patterns_.resize(clauses_.variable_count());
    definition_start_.resize(clauses_.variable_count(), clauses_.size());
    definition_end_.resize(clauses_.variable_count(), clauses_.size());
    definition_end_[variable_of(out)] = clauses_.size();
  }

  bool is_closed(NetId net) const {
    if (circuit_.is_input(net)) return false;
    if (!circuit_.is_gate_output(net)) return true;  // constants are known before
    const GateId gate = circuit_.gate_of(net);
    return circuit_.loop_of(gate) != no_id || !is_push_pull(circuit_.kind(gate));
  }

  /// Drivers before readers, with a stack of its own. no_literal: closed.
  Literal literal(NetId root) {
    std::vector<NetId> stack{root};
    while (!stack.empty()) {
      const NetId net = stack.back();
      if (literal_[net] != unseen) {
        stack.pop_back();
      } else if (is_closed(net)) {
        literal_[net] = no_literal;
      } else if (circuit_.is_input(net)) {
        literal_[net] = new_variable();
        for (auto& word : patterns_.back()) word = random_();
      } else {
        bool is_ready = true;
        for (const NetId pin : circuit_.fan_in(circuit_.gate_of(net))) {
          if (literal_[pin] != unseen) continue;
          is_ready = false;
          stack.push_back(pin);
        }
        if (is_ready) literal_[net] = gate_literal(circuit_.gate_of(net));
      }
    }
    return literal_[root];
  }

  Literal gate_literal(GateId gate) {
    const auto kind = circuit_.kind(gate);
    const bool or_like = kind == GateKind::or_ || kind == GateKind::nor;
    const bool inverts =
        kind == GateKind::nand || kind == GateKind::not_ || kind == GateKind::xnor || kind == GateKind::or_;
    std::vector<Literal> pins;
    for (const NetId pin : circuit_.fan_in(gate)) {
      if (literal_[pin] == no_literal) return no_literal;
      pins.push_back(literal_[pin] ^ (or_like ? 1u : 0u));
    }
    if (kind == GateKind::xor_ || kind == GateKind::xnor) return parity_of(pins) ^ (inverts ? 1u : 0u);
    if (pins.size() == 1) return pins[0] ^ (inverts ? 1u : 0u);
    return all_of(pins) ^ (inverts ? 1u : 0u);
  }

  Literal parity_of(std::span<const Literal> pins) {
    Literal out = new_variable();
    clauses_.add_parity(out, pins);  // may add variables of its own, which nobody asks about
    end_definition(out);
    Pattern pattern{};
    for (const Literal pin : pins) {
      for (std::size_t r = 0; r < rounds; ++r) pattern[r] ^= bits(pin, r);
    }
    patterns_[variable_of(out)] = pattern;
    return out;
  }

  SatSolver::Answer ask_solver(std::span<const Literal> wanted, const LintOptions& options) {
    if (literals_given_ > most_literals) return SatSolver::Answer::unknown;
    solver_.emplace();
    local_.clear();
    std::vector<std::uint32_t> open;
    std::vector<Literal> assumed, clause;
    const auto to_local = [&](Literal literal) {
      const auto variable = variable_of(literal);
      if (variable == 0) return literal;
      const auto number = static_cast<std::uint32_t>(local_.size()) + 1;
      const auto [at, is_new] = local_.try_emplace(variable, number);
      if (is_new) open.push_back(variable);
      return literal_of(at->second) ^ (literal & 1u);
    };
    for (const Literal literal : wanted) assumed.push_back(to_local(literal));
    while (!open.empty()) {
      const auto variable = open.back();
      open.pop_back();
      for (auto c = definition_start_[variable]; c < definition_end_[variable]; ++c) {
        clause.clear();
        for (const Literal literal : clauses_.clause(c)) clause.push_back(to_local(literal));
        literals_given_ += clause.size();
        solver_->add(clause);
      }
    }
    return solver_->solve(assumed, options.conflicts, options.stop);
  }

  const Circuit& circuit_;
  std::vector<Literal> literal_;   // by net
  std::vector<Pattern> patterns_;  // by variable
  std::mt19937_64 random_{1};      // the same numbers everywhere
  ClauseSet clauses_;
  std::vector<std::uint32_t> definition_start_, definition_end_;  // by variable: its clauses
  std::optional<SatSolver> solver_;
  std::unordered_map<std::uint32_t, std::uint32_t> local_;  // variables of solver_
  std::uint64_t literals_given_ = 0;
  std::size_t round_ = 0;
  int bit_ = 0;
  bool by_pattern_ = false;
};

class DriverLint {
 public:
  DriverLint(const Circuit& circuit, const LintOptions& options, Diagnostics& diagnostics)
      : circuit_(circuit),
        options_(options),
        diagnostics_(diagnostics),
        known_(constant_nets(circuit)),
        logic_(circuit, known_) {}

  void run() {
    for (GateId gate = 0; gate < circuit_.gate_count() && !is_stopped(); ++gate) {
      if (!is_three_state(circuit_.kind(gate))) continue;
      if (circuit_.shared_wire(gate) == no_id) judge_wire(circuit_.output_of(gate));
    }
    for (NetId wire = circuit_.first_resolved(); wire < circuit_.first_undriven() && !is_stopped(); ++wire) {
      judge_wire(wire);
    }
    tell();
  }

 private:
  bool is_stopped() const {
    return options_.stop != nullptr && options_.stop->load(std::memory_order_relaxed);
  }

  std::span<const NetId> driving(const NetId& wire) const {
    return circuit_.is_resolved(wire) ? circuit_.drivers_of(wire) : std::span<const NetId>(&wire, 1);
  }

  void judge_wire(NetId wire) {
    const GateId up = first_of(wire, GateKind::pullup), down = first_of(wire, GateKind::pulldown);
    if (up != no_id && down != no_id) {
      fights_.push_back({circuit_.gate_place(std::max(up, down)), wire});
      return;
    }
    bool all_open = true, all_never = true;
    find_drivers(wire);
    for (const Driver& driver : drivers_) {
      all_open &= driver.is_open_to_proof;
      const bool is_never = never_drives(driver);
      all_never &= is_never;
      if (is_never) never_.push_back(driver.gate);
    }
    // Next to a driver that never lets go, each load warns of the others.
    if (drivers_.empty() || is_always_driven(wire)) return;
    if (const auto [first, second] = find_fight(); second != no_id) {
      fights_.push_back({circuit_.gate_place(second), wire});
    }
    const bool may_float = all_open && !all_never && up == no_id && down == no_id;
    if (may_float && !circuit_.fan_out(wire).empty() && is_let_go()) {
      floating_.push_back({circuit_.gate_place(drivers_[0].gate), wire});
    }
  }

  GateId first_of(NetId wire, GateKind kind) const {
    for (const NetId net : driving(wire)) {
      if (circuit_.kind(circuit_.gate_of(net)) == kind) return circuit_.gate_of(net);
    }
    return no_id;
  }

  bool is_always_driven(NetId wire) const {
    const auto nets = driving(wire);
    return std::any_of(nets.begin(), nets.end(),
                       [&](NetId net) { return is_push_pull(circuit_.kind(circuit_.gate_of(net))); });
  }

  void find_drivers(NetId wire) {
    drivers_.clear();
    for (const NetId net : driving(wire)) {
      const GateId gate = circuit_.gate_of(net);
      if (is_three_state(circuit_.kind(gate))) drivers_.push_back(logic_.driver(gate));
    }
  }

  bool never_drives(const Driver& driver) {
    const Value control = known_[circuit_.fan_in(driver.gate)[1]];
    if (is_binary(control)) return (control == Value::zero) != is_on_by_zero(circuit_.kind(driver.gate));
    return driver.is_open_to_proof && logic_.can_be({&driver.on, 1}, options_) == SatSolver::Answer::no;
  }

  /// Two drivers that can be on with different values, in ascending order; the case found is one of them.
  std::pair<GateId, GateId> find_fight() {
    constexpr std::pair<GateId, GateId> none{no_id, no_id};
    std::vector<Literal> ones, zeros;
    for (const Driver& driver : drivers_) {
      if (!driver.is_open_to_proof) continue;
      const std::array one{driver.on, driver.value}, zero{driver.on, opposite(driver.value)};
      ones.push_back(opposite(logic_.all_of(one)));
      zeros.push_back(opposite(logic_.all_of(zero)));
    }
    if (ones.size() < 2) return none;
    const std::array both{opposite(logic_.all_of(ones)), opposite(logic_.all_of(zeros))};
    if (logic_.can_be(both, options_) != SatSolver::Answer::yes) return none;
    const auto gives = [&](bool value) {
      return std::find_if(drivers_.begin(), drivers_.end(), [&](const Driver& driver) {
        return driver.is_open_to_proof && logic_.is_one(driver.on) && logic_.is_one(driver.value) == value;
      });
    };
    const auto zero = gives(false), one = gives(true);
    if (zero == drivers_.end() || one == drivers_.end()) return none;
    return std::minmax(zero->gate, one->gate);
  }

  /// Can all be off at once?
  bool is_let_go() {
    std::vector<Literal> off;
    for (const Driver& driver : drivers_) off.push_back(opposite(driver.on));
    return logic_.can_be(off, options_) == SatSolver::Answer::yes;
  }

  // The questions are asked again for the few cases that are told, since only the last answer is kept.

  LintWords words_of_fight(NetId wire) {
    const GateId up = first_of(wire, GateKind::pullup), down = first_of(wire, GateKind::pulldown);
    const auto net = circuit_.net_name(wire);
    if (up != no_id && down != no_id) {
      return {fmt::format("{} and {} pull net '{}' both ways", local_name(circuit_, std::min(up, down)),
                          local_name(circuit_, std::max(up, down)), net),
              "keep the one that gives the level at rest"};
    }
    find_drivers(wire);
    LintWords words{fmt::format("drivers of net '{}' can be on at once with different values", net),
                    "let one decoder choose the driver, so that two are never on at once"};
    const auto [first, second] = find_fight();
    if (second == no_id) return words;
    std::vector<NetId> pins;
    for (const auto gate : {first, second}) {
      pins.insert(pins.end(), circuit_.fan_in(gate).begin(), circuit_.fan_in(gate).end());
    }
    words.text = fmt::format("{} and {} drive net '{}' to different values{}", local_name(circuit_, first),
                             local_name(circuit_, second), net, when(std::move(pins)));
    return words;
  }

  LintWords words_of_floating(NetId wire) {
    find_drivers(wire);
    std::vector<NetId> controls;
    for (const Driver& driver : drivers_) controls.push_back(circuit_.fan_in(driver.gate)[1]);
    const std::string cause = is_let_go() ? when(std::move(controls)) : std::string();
    return {fmt::format("net '{}' floats while gates read it{}", circuit_.net_name(wire), cause),
            "add a pullup or a pulldown, or see to it that one driver is always on"};
  }

  std::string when(std::vector<NetId> nets) {
    const auto inputs = logic_.inputs_before(std::move(nets));
    return inputs.empty() ? " all the time" : fmt::format(" when {}", inputs);
  }

  void tell() {
    logic_.allow_questions();
    tell_findings("floating-net", std::move(floating_), options_, diagnostics_,
                  [&](std::uint32_t wire) { return words_of_floating(wire); });
    tell_findings("never-enabled", true_in_all_uses(circuit_, never_), options_, diagnostics_,
                  [&](std::uint32_t gate) {
                    return LintWords{
                        fmt::format("gate {} never drives net '{}': its control can never be {}",
                                    local_name(circuit_, gate), circuit_.net_name(circuit_.visible_net(gate)),
                                    is_on_by_zero(circuit_.kind(gate)) ? 0 : 1),
                        "look at the logic in front of its control pin"};
                  });
    tell_findings("output-conflict", std::move(fights_), options_, diagnostics_,
                  [&](std::uint32_t wire) { return words_of_fight(wire); });
  }

  const Circuit& circuit_;
  const LintOptions& options_;
  Diagnostics& diagnostics_;
  std::vector<Value> known_;
  DriverLogic logic_;
  std::vector<Driver> drivers_;  // of the wire at hand
  std::vector<GateId> never_;
  std::vector<LintFinding> fights_, floating_;  // subject: the wire
};

}  // namespace

void lint_drivers(const Circuit& circuit, const LintOptions& options, Diagnostics& diagnostics) {
  const auto& kinds = circuit.kinds();
  // Most circuits have no such gate: then nothing is built.
  if (std::all_of(kinds.begin(), kinds.end(), [](GateKind kind) { return is_push_pull(kind); })) return;
  DriverLint(circuit, options, diagnostics).run();
}

}  // namespace settle
