// Fan-in cones of the loops that feed no other loop.
//
// What a gate outside the fan-in of a loop does cannot reach that loop, so each cone evolves by itself;
// gates in no cone follow once the loops have settled. A step of the whole circuit is the product of
// the steps of its cones (they share inputs and gates without feedback between them).
// Cost: linear in the circuit, plus the sizes of all cones.
#include "check/loop_cones.h"

#include <algorithm>
#include <unordered_set>

#include "analysis/part_split.h"

namespace settle {
namespace {

bool feeds_another_loop(const Circuit& circuit, std::uint32_t loop) {
  for (const GateId gate : circuit.loop(loop)) {
    for (const GateId reader : circuit.fan_out(circuit.visible_net(gate))) {
      if (circuit.loop_of(reader) != loop && circuit.reaches_loop(reader)) return true;
    }
  }
  return false;
}

class ConeFinder {
 public:
  explicit ConeFinder(const Circuit& circuit) : circuit_(circuit), seen_(circuit.net_count(), 0) {}

  CircuitPart cone_of(std::uint32_t loop) {
    ++epoch_;
    part_ = {};
    part_.has_loop = true;
    for (const GateId gate : circuit_.loop(loop)) reach_gate(gate);
    while (!open_.empty()) {
      const GateId gate = open_.back();
      open_.pop_back();
      for (const NetId pin : circuit_.fan_in(gate)) reach_net(pin);
      // The other drivers of a wire that this gate shares have a say in its value.
      if (circuit_.shared_wire(gate) != no_id) reach_net(circuit_.shared_wire(gate));
    }
    std::sort(part_.gates.begin(), part_.gates.end());
    std::sort(part_.inputs.begin(), part_.inputs.end());
    for (const GateId gate : part_.gates) {
      if (circuit_.loop_of(gate) != no_id) part_.observed.push_back(circuit_.visible_net(gate));
    }
    std::sort(part_.observed.begin(), part_.observed.end());
    part_.observed.erase(std::unique(part_.observed.begin(), part_.observed.end()), part_.observed.end());
    part_.output_count = static_cast<std::uint32_t>(part_.observed.size());
    return std::move(part_);
  }

 private:
  void reach_gate(GateId gate) {
    if (!mark(circuit_.output_of(gate))) return;
    part_.gates.push_back(gate);
    open_.push_back(gate);
  }
  void reach_net(NetId net) {
    if (circuit_.is_gate_output(net)) {
      reach_gate(circuit_.gate_of(net));
    } else if (circuit_.is_resolved(net)) {
      if (!mark(net)) return;
      for (const NetId driver : circuit_.drivers_of(net)) reach_net(driver);
    } else if (circuit_.is_input(net) && mark(net)) {
      part_.inputs.push_back(net);
    }
  }
  bool mark(NetId net) {
    if (seen_[net] == epoch_) return false;
    seen_[net] = epoch_;
    return true;
  }

  const Circuit& circuit_;
  std::vector<std::uint32_t> seen_;  // by net
  std::uint32_t epoch_ = 0;
  std::vector<GateId> open_;
  CircuitPart part_;
};

// Equal texts: the same cone but for names. Gate order is kept, so that alike cells of an array match.
std::string cone_key(const Circuit& circuit) {
  std::string key = std::to_string(circuit.input_count());
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    key += '/' + std::to_string(static_cast<int>(circuit.kind(gate)));
    for (const NetId pin : circuit.fan_in(gate)) key += ' ' + std::to_string(pin);
    if (circuit.shared_wire(gate) != no_id) key += '>' + std::to_string(circuit.shared_wire(gate));
  }
  return key;
}

}  // namespace

bool split_into_cones(const Circuit& circuit, std::uint64_t gate_limit, bool distinct,
                      std::vector<LoopCone>& cones) {
  ConeFinder finder(circuit);
  std::unordered_set<std::string> known;
  std::uint64_t gates = 0;
  for (std::uint32_t loop = 0; loop < circuit.loop_count(); ++loop) {
    if (feeds_another_loop(circuit, loop)) continue;
    CircuitPart part = finder.cone_of(loop);
    gates += part.gates.size();
    if (gates > gate_limit) return false;
    Circuit cone = extract_part(circuit, part);
    if (distinct && !known.insert(cone_key(cone)).second) continue;
    cones.push_back({std::move(cone), std::move(part.inputs)});
  }
  return true;
}

}  // namespace settle
