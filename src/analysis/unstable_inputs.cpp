// "Is there an input vector for which all states are not stable?" by two solvers that answer each
// other (counterexample-guided abstraction refinement for two quantifiers: M. Janota, J. Marques-Silva,
// "Abstraction-based algorithm for 2QBF", SAT 2011).
//
// The proposer knows only which inputs are still open; the checker looks for a stable state for the
// proposed vector. When it finds one, each part of the circuit (loop_parts.h) is looked at: as many
// inputs as possible are let go one after another while ternary evaluation shows that the same values
// of the deciding nets stay stable. What is left is shut out for that part. A vector without a stable
// state has a part without one, so the proposer needs a part that is not shut out; when there is none
// left, every vector has a stable state. Splitting keeps this short: the cells of a register share the
// read line, but each has few inputs.
// Invariant: what is shut out for a part has a stable state there.
#include <algorithm>

#include "analysis/loop_parts.h"
#include "analysis/open_levels.h"
#include "analysis/sat_solver.h"
#include "settle/stable_proofs.h"

namespace settle {
namespace {

class UnstableSearch {
 public:
  UnstableSearch(const Circuit& circuit, std::span<const Value> inputs, const ProofOptions& options)
      : circuit_(circuit),
        options_(options),
        network_(stable_network(circuit, inputs)),
        parts_(circuit, network_),
        values_(network_.known),
        contents_(parts_.size()),
        shut_out_(parts_.size()),
        open_levels_(circuit, inputs) {
    checker_.add(network_.clauses);
    // The proposer's variables: the free inputs as in the network, then one a part.
    ClauseSet proposals;
    for (std::uint32_t i = 0; i < network_.free_inputs; ++i) proposals.add_variable();
    std::vector<Literal> some;
    for (std::uint32_t i = 0; i < parts_.size(); ++i) {
      chosen_.push_back(literal_of(proposals.add_variable()));
      some.push_back(chosen_.back());
    }
    if (!network_.clauses.contradicts()) proposals.add(some);
    proposer_.add(proposals);
  }

  UnstableInputs run() {
    UnstableInputs result;
    for (; result.rounds < options_.rounds; ++result.rounds) {
      const auto proposed = proposer_.solve({}, options_.conflicts, options_.stop);
      if (proposed == SatSolver::Answer::unknown) return result;
      if (proposed == SatSolver::Answer::no) {
        if (result.answer != UnstableInputs::Answer::open) result.answer = UnstableInputs::Answer::none;
        return result;
      }
      std::vector<Literal> vector;
      for (std::uint32_t v = 1; v <= network_.free_inputs; ++v) {
        vector.push_back(literal_of(v, proposer_.value(literal_of(v))));
      }
      const auto checked = checker_.solve(vector, options_.conflicts, options_.stop);
      if (checked == SatSolver::Answer::unknown) return result;
      if (checked == SatSolver::Answer::no) {
        if (!may_rest(vector)) {
          report(vector, UnstableInputs::Answer::found, result);
          return result;
        }
        // One that surely oscillates would tell more, so the search goes on elsewhere.
        std::vector<Literal> others;
        for (const Literal literal : vector) {
          if (checker_.took_part(literal)) others.push_back(opposite(literal));
        }
        if (result.answer != UnstableInputs::Answer::open) report(vector, UnstableInputs::Answer::open, result);
        if (others.empty()) return result;
        proposer_.add(others);
        continue;
      }
      learn(vector);
    }
    return result;
  }

 private:
  bool may_rest(const std::vector<Literal>& vector) {
    std::vector<Value> inputs(network_.known.begin(), network_.known.begin() + circuit_.input_count());
    for (const Literal literal : vector) inputs[network_.net_of[variable_of(literal)]] = to_value((literal & 1u) == 0);
    return open_levels_.possible_with(inputs, options_.stop, options_.conflicts);
  }

  void report(const std::vector<Literal>& vector, UnstableInputs::Answer answer, UnstableInputs& result) {
    result.answer = answer;
    result.decisive.clear();
    result.inputs.assign(network_.known.begin(), network_.known.begin() + circuit_.input_count());
    for (const Literal literal : vector) {
      const NetId net = network_.net_of[variable_of(literal)];
      result.inputs[net] = to_value((literal & 1u) == 0);
      if (checker_.took_part(literal)) result.decisive.push_back(net);
    }
  }

  // Shuts out, for each part, the inputs for which the state in hand stays stable there.
  void learn(const std::vector<Literal>& vector) {
    for (const std::uint32_t v : network_.deciding)
      values_[network_.net_of[v]] = to_value(checker_.value(literal_of(v)));
    std::vector<Literal> clause;
    for (std::uint32_t i = 0; i < parts_.size(); ++i) {
      if (is_shut_out(i, vector)) continue;
      LoopPart& part = contents_[i];
      if (part.nets.empty()) part = parts_.part(i);
      clause.assign(1, opposite(chosen_[i]));
      for (const NetId input : part.inputs) {
        const Value value = values_[input];
        values_[input] = Value::x;
        if (parts_.is_stable(part, values_)) continue;
        values_[input] = value;
        clause.push_back(network_.literal[input] ^ (value == Value::one ? 1u : 0u));
      }
      for (const Literal literal : vector) {
        values_[network_.net_of[variable_of(literal)]] = to_value((literal & 1u) == 0);
      }
      proposer_.add(clause);
      shut_out_[i].push_back(clause);
    }
  }

  bool is_shut_out(std::uint32_t part, const std::vector<Literal>& vector) const {
    for (const auto& clause : shut_out_[part]) {
      bool covers = true;
      for (std::size_t k = 1; covers && k < clause.size(); ++k) {
        covers = vector[variable_of(clause[k]) - 1] == opposite(clause[k]);
      }
      if (covers) return true;
    }
    return false;
  }

  const Circuit& circuit_;
  const ProofOptions& options_;
  const StableNetwork network_;
  const LoopParts parts_;
  std::vector<Value> values_;       // by net, scratch
  std::vector<LoopPart> contents_;  // by part, made when needed
  std::vector<Literal> chosen_;     // by part: the proposer's claim that it is not stable
  std::vector<std::vector<std::vector<Literal>>> shut_out_;  // by part: clauses, the part's claim first
  OpenLevels open_levels_;
  SatSolver proposer_, checker_;
};

}  // namespace

UnstableInputs find_unstable_inputs(const Circuit& circuit, std::span<const Value> inputs,
                                    const ProofOptions& options) {
  return UnstableSearch(circuit, inputs, options).run();
}

}  // namespace settle
