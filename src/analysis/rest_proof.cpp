// Ternary simulation from the state in which all gates are x gives, for each gate, a level that it takes
// in the end from every state, or x (Eichelberger's algorithm B generalised to any start state: Seger and
// Brzozowski 1994). When none is left at x, that is the proof. Else a lasting cycle is one of the gates that
// are left, the others being where they end; so all values of these are tried as start states, if they are
// few. Cost: a pass over the gates; and 2^k searches for k gates left.
#include "analysis/rest_proof.h"

#include <algorithm>

namespace settle {
namespace {

constexpr std::size_t most_gates_left = 8;

}  // namespace

RestProof::RestProof(const Circuit& circuit, const AnyDelayLimits& limits)
    : circuit_(&circuit), limits_(limits), analyzer_(circuit) {}

std::vector<Value> RestProof::certain_levels(std::span<const Value> inputs) {
  std::vector<Value> start(circuit_->net_count(), Value::x);
  start[circuit_->const_zero()] = Value::zero;
  start[circuit_->const_one()] = Value::one;
  std::vector<InputChange> changes;
  for (NetId net = 0; net < circuit_->input_count(); ++net) changes.push_back({net, inputs[net]});
  return analyzer_.ternary_values({start, changes}, false);
}

bool RestProof::always_rests(std::span<const Value> inputs) {
  std::vector<Value> values = certain_levels(inputs);
  std::vector<GateId> left;
  for (GateId gate = 0; gate < circuit_->gate_count(); ++gate) {
    if (values[circuit_->output_of(gate)] == Value::x) left.push_back(gate);
  }
  if (left.empty()) return true;
  if (left.size() > most_gates_left) return false;
  for (std::uint32_t state = 0; state < 1u << left.size(); ++state) {
    for (std::size_t k = 0; k < left.size(); ++k)
      values[circuit_->output_of(left[k])] = to_value((state >> k & 1u) != 0);
    const StepOutcome outcome = analyzer_.any_delay({values, {}}, limits_);
    if (!outcome.complete || !outcome.known) return false;
    if (std::any_of(outcome.parts.begin(), outcome.parts.end(),
                    [](const StepPart& part) { return part.may_cycle; }))
      return false;
  }
  return true;
}

}  // namespace settle
