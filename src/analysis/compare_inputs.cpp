// Two circuits without loops, by SAT: the clauses of both with joined inputs, and one clause that asks
// for an output that differs (a miter; D. Brand, "Verification of large synthesized designs", ICCAD
// 1993, from memory). No assignment: equal for every input vector. Exponential at worst; in practice
// fast where the circuits are alike, slow for multipliers.
#include <algorithm>

#include "analysis/compare_steps.h"
#include "analysis/gate_function.h"
#include "analysis/open_levels.h"
#include "analysis/sat_solver.h"
#include "analysis/stable_network.h"
#include "settle/kernel.h"

namespace settle {
namespace {

class Miter {
 public:
  Miter(const Circuit& a, const Circuit& b, const PinMatch& match)
      : a_(a), b_(b), match_(match), network_a_(stable_network(a, all_free(a), {.with_followers = true})), network_b_(stable_network(b, all_free(b), {.with_followers = true})) {}

  void run(const CompareOptions& options, Comparison& result) {
    ClauseSet both = network_a_.clauses;
    offset_ = both.variable_count() - 1 - network_b_.free_inputs;
    while (both.variable_count() < network_b_.clauses.variable_count() + offset_) both.add_variable();
    std::vector<Literal> moved;
    for (std::uint32_t i = 0; i < network_b_.clauses.size(); ++i) {
      moved.clear();
      for (const Literal literal : network_b_.clauses.clause(i)) moved.push_back(moved_literal(literal));
      both.add(moved);
    }
    std::vector<Literal> some;
    for (std::size_t i = 0; i < match_.outputs.size(); ++i) {
      const Literal x = literal_in(network_a_, a_, a_.outputs()[i]);
      const Literal y = literal_in(network_b_, b_, b_.outputs()[match_.outputs[i]]);
      if (x == no_literal || y == no_literal) return;  // an output that is not binary: not for this method
      const Literal z = moved_literal(y);
      if (x == z) continue;
      const Literal differs = literal_of(both.add_variable());
      both.add({opposite(differs), x, z});
      both.add({opposite(differs), opposite(x), opposite(z)});
      some.push_back(differs);
    }
    both.add(some);
    SatSolver solver;
    solver.add(both);
    switch (both.contradicts() ? SatSolver::Answer::no : solver.solve({}, options.conflicts, options.stop)) {
      case SatSolver::Answer::unknown: result.undecided_reason = "the solver was stopped"; return;
      case SatSolver::Answer::no:
        // The clauses leave out inputs for which some gate would read a wire without a level.
        if (OpenLevels(a_, all_free(a_)).possible(options.stop) || OpenLevels(b_, all_free(b_)).possible(options.stop)) {
          result.undecided_reason = "with some inputs a gate reads a wire that floats or is fought over";
          return;
        }
        result.answer = Comparison::Answer::equal;
        result.proof = Comparison::Proof::inputs;
        return;
      case SatSolver::Answer::yes: break;
    }
    std::vector<Value> vector;
    for (NetId i = 0; i < a_.input_count(); ++i) {
      const Literal literal = network_a_.literal[i];
      vector.push_back(literal == no_literal ? Value::zero : to_value(solver.value(literal)));
    }
    show(vector, result);
  }

 private:
  static std::vector<Value> all_free(const Circuit& c) { return std::vector<Value>(c.input_count(), Value::x); }

  static Literal literal_in(const StableNetwork& network, const Circuit& c, NetId net) {
    if (network.literal[net] != no_literal) return network.literal[net];
    if (network.known[net] == Value::zero || net == c.const_zero()) return literal_false;
    if (network.known[net] == Value::one || net == c.const_one()) return literal_true;
    return no_literal;
  }

  Literal moved_literal(Literal literal) const {
    const std::uint32_t variable = variable_of(literal);
    if (variable == 0) return literal;
    if (variable > network_b_.free_inputs) return literal + 2 * offset_;
    // The free inputs of B are all inputs in order; find the input of A with the same pin.
    const NetId input = network_b_.net_of[variable];
    const auto found = std::find(match_.inputs.begin(), match_.inputs.end(), input) - match_.inputs.begin();
    return network_a_.literal[static_cast<std::size_t>(found)] ^ (literal & 1u);
  }

  /// The outputs by simulation, so that what is told was seen.
  void show(const std::vector<Value>& vector, Comparison& result) const {
    const auto outputs = [](const Circuit& c, const std::vector<Value>& inputs) {
      Kernel kernel(c, {DelayChoice::unit});
      kernel.power_up(inputs, {});
      while (const auto next = kernel.next_time()) kernel.run_instant(*next);
      std::vector<Value> values;
      for (const NetId net : c.outputs()) values.push_back(kernel.value(net));
      return values;
    };
    std::vector<Value> inputs_b(vector.size());
    for (std::size_t i = 0; i < vector.size(); ++i) inputs_b[match_.inputs[i]] = vector[i];
    const auto want = outputs(a_, vector), all_found = outputs(b_, inputs_b);
    std::vector<Value> found;
    for (const auto bit : match_.outputs) found.push_back(all_found[bit]);
    const auto at = std::mismatch(want.begin(), want.end(), found.begin()).first;
    if (at == want.end()) return;
    result.answer = Comparison::Answer::different;
    result.vectors = {vector};
    result.output = static_cast<std::uint32_t>(at - want.begin());
    result.expected = {want};
    result.found = {std::move(found)};
    result.is_shortest = true;
  }

  const Circuit& a_;
  const Circuit& b_;
  const PinMatch& match_;
  const StableNetwork network_a_, network_b_;
  std::uint32_t offset_ = 0;  // of the variables of B that are not shared
};

}  // namespace

void compare_by_inputs(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options,
                       Comparison& result) {
  Miter(a, b, match).run(options, result);
}

}  // namespace settle
