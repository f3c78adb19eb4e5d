// Two copies of the stable-state clauses share the inputs and differ in a net that decides a loop. If
// no assignment satisfies that, every input vector has one stable state at most: the two loop states of
// a stored bit would be an assignment. The deciding nets suffice, since all others follow from them.
#include <algorithm>

#include "analysis/gate_function.h"
#include "analysis/sat_solver.h"
#include "analysis/stable_network.h"
#include "settle/stable_proofs.h"

namespace settle {
namespace {

class TwoCopies {
 public:
  TwoCopies(const Circuit& circuit, std::span<const Value> inputs, const ProofOptions& options)
      : circuit_(circuit),
        options_(options),
        network_(stable_network(circuit, inputs, {.with_followers = true})),
        copied_(network_.clauses.variable_count() - 1 - network_.free_inputs) {
    const ClauseSet& clauses = network_.clauses;
    ClauseSet both = clauses;
    for (std::uint32_t i = 0; i < copied_; ++i) both.add_variable();
    std::vector<Literal> moved;
    for (std::uint32_t i = 0; i < clauses.size(); ++i) {
      moved.clear();
      for (const Literal literal : clauses.clause(i)) moved.push_back(copy_of(literal));
      both.add(moved);
    }
    std::vector<Literal> some;
    for (std::size_t i = network_.free_inputs; i < network_.deciding.size(); ++i) {
      some.push_back(difference(both, literal_of(network_.deciding[i])));
    }
    both.add(some);
    for (const NetId net : circuit.outputs()) {
      const Literal literal = network_.literal[net];
      outputs_.push_back(literal == no_literal || variable_of(literal) <= network_.free_inputs
                             ? literal_false
                             : difference(both, literal));
    }
    solver_.add(both);
  }

  MemoryProof run() {
    MemoryProof result;
    if (circuit_.loop_count() == 0) {
      result.answer = MemoryProof::Answer::no_loops;
      return result;
    }
    switch (solver_.solve({}, options_.conflicts, options_.stop)) {
      case SatSolver::Answer::unknown: return result;
      case SatSolver::Answer::no: result.answer = MemoryProof::Answer::one_state; return result;
      case SatSolver::Answer::yes: result.answer = MemoryProof::Answer::two_states; break;
    }
    for (NetId net = 0; net < circuit_.input_count(); ++net) result.inputs.push_back(value(net, false));
    result.first = gates(false);
    result.second = gates(true);
    find_outputs(result);
    return result;
  }

 private:
  Literal copy_of(Literal literal) const {
    return variable_of(literal) <= network_.free_inputs ? literal : literal + 2 * copied_;
  }

  // A new variable that can be 1 only where the two copies differ.
  Literal difference(ClauseSet& clauses, Literal literal) const {
    const Literal other = copy_of(literal), differs = literal_of(clauses.add_variable());
    clauses.add({opposite(differs), literal, other});
    clauses.add({opposite(differs), opposite(literal), opposite(other)});
    return differs;
  }

  Value value(NetId net, bool second) {
    const Literal literal = network_.literal[net];
    if (literal == no_literal) return network_.known[net];
    return to_value(solver_.value(second ? copy_of(literal) : literal));
  }

  std::vector<Value> gates(bool second) {
    std::vector<Value> nets;
    for (NetId net = 0; net < circuit_.net_count(); ++net) nets.push_back(value(net, second));
    const auto read = [&nets](NetId net) { return nets[net]; };
    for (const GateId gate : network_.followers)
      nets[circuit_.output_of(gate)] = gate_value(circuit_, gate, read);
    const auto first = nets.begin() + circuit_.input_count();
    return {first, first + circuit_.gate_count()};
  }

  // Asks for a pair that differs in an output not yet known to, until there is none.
  void find_outputs(MemoryProof& result) {
    std::vector<bool> differs(outputs_.size(), false);
    for (std::uint64_t round = 0;; ++round) {
      for (std::uint32_t i = 0; i < outputs_.size(); ++i) {
        const NetId net = circuit_.outputs()[i];
        if (variable_of(outputs_[i]) != 0 && value(net, false) != value(net, true)) differs[i] = true;
      }
      std::vector<Literal> wanted;
      for (std::uint32_t i = 0; i < outputs_.size(); ++i) {
        if (!differs[i] && outputs_[i] != literal_false) wanted.push_back(outputs_[i]);
      }
      if (wanted.empty()) break;
      solver_.add(wanted);  // outputs found later are a part of those wanted now, so it may stay
      const auto answer = round >= options_.rounds ? SatSolver::Answer::unknown
                                                   : solver_.solve({}, options_.conflicts, options_.stop);
      result.outputs_complete = answer != SatSolver::Answer::unknown;
      if (answer != SatSolver::Answer::yes) break;
    }
    for (std::uint32_t i = 0; i < differs.size(); ++i) {
      if (differs[i]) result.outputs.push_back(i);
    }
  }

  const Circuit& circuit_;
  const ProofOptions& options_;
  const StableNetwork network_;
  const std::uint32_t copied_;    // variables that are not shared
  std::vector<Literal> outputs_;  // by output bit: it differs; literal_false where it cannot
  SatSolver solver_;
};

}  // namespace

MemoryProof prove_memory(const Circuit& circuit, std::span<const Value> inputs, const ProofOptions& options) {
  return TwoCopies(circuit, inputs, options).run();
}

}  // namespace settle
