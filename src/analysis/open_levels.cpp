// A state is stable when all levels that gates read are 0 or 1. Where no state is, the reason may be a
// loop that cannot rest, or a wire without a level: no driver, all drivers off, or two that differ. The
// second proves nothing about oscillation, since a real wire has some level; and one stable state is not
// the only resting place when in another state a wire floats. So the wires in question become free
// variables, and the question is whether the clauses can be satisfied with one of them open.
// Cost: a question to the SAT solver; none where every wire that is read has its one driver.
#include "analysis/open_levels.h"

#include <algorithm>

#include "settle/stable_proofs.h"

namespace settle {
namespace {

// A wire that gates read and that may be without a level.
bool has_open_wire(const Circuit& circuit) {
  for (NetId net = circuit.first_resolved(); net < circuit.const_zero(); ++net) {
    if (!circuit.fan_out(net).empty()) return true;
  }
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    if (!is_push_pull(circuit.kind(gate)) && !circuit.fan_out(circuit.output_of(gate)).empty()) return true;
  }
  return false;
}

}  // namespace

OpenLevels::OpenLevels(const Circuit& circuit, std::span<const Value> inputs) : circuit_(&circuit) {
  never_ = !has_open_wire(circuit);
  if (never_) return;
  network_ = stable_network(circuit, inputs, {.any_open_level = true});
  solver_.add(network_.clauses);
  solver_.add(network_.open);
  never_ = network_.open.empty();
}

bool OpenLevels::possible(const std::atomic<bool>* stop, std::uint64_t conflicts) {
  if (!never_ && !ask({}, stop, conflicts)) never_ = true;
  return !never_;
}

bool OpenLevels::possible_with(std::span<const Value> inputs, const std::atomic<bool>* stop,
                               std::uint64_t conflicts) {
  if (never_) return false;
  std::vector<Literal> assumed;
  for (NetId net = 0; net < circuit_->input_count(); ++net) {
    const Literal literal = network_.literal[net];
    if (!is_binary(inputs[net]) || literal == no_literal) continue;
    assumed.push_back(inputs[net] == Value::one ? literal : opposite(literal));
  }
  return ask(assumed, stop, conflicts);
}

bool OpenLevels::ask(std::span<const Literal> assumed, const std::atomic<bool>* stop,
                     std::uint64_t conflicts) {
  return solver_.solve(assumed, conflicts, stop) != SatSolver::Answer::no;
}

bool may_lack_level(const Circuit& circuit, std::span<const Value> inputs, const ProofOptions& options) {
  return OpenLevels(circuit, inputs).possible(options.stop, options.conflicts);
}

}  // namespace settle
