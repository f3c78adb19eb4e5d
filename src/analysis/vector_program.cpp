// Depth-first walk from the outputs to the inputs; a net is finished after its fan-in.
// Cost: linear in the pins.
#include "analysis/vector_program.h"

namespace settle {

VectorProgram vector_program(const Circuit& circuit) {
  VectorProgram program;
  struct Frame {
    NetId net;
    std::size_t next;
  };
  const auto sources = [&](NetId net) -> std::span<const NetId> {
    if (circuit.is_gate_output(net)) return circuit.fan_in(circuit.gate_of(net));
    if (circuit.is_resolved(net)) return circuit.drivers_of(net);
    return {};
  };
  std::vector<bool> seen(circuit.net_count(), false);
  std::vector<Frame> frames;
  const auto visit = [&](NetId net) {
    if (seen[net]) return;
    seen[net] = true;
    if (circuit.is_undriven(net)) program.binary = false;
    if (circuit.is_gate_output(net) || circuit.is_resolved(net)) frames.push_back({net, 0});
  };
  for (const NetId output : circuit.outputs()) {
    visit(output);
    while (!frames.empty()) {
      Frame& frame = frames.back();
      const auto from = sources(frame.net);
      if (frame.next < from.size()) {
        visit(from[frame.next++]);
        continue;
      }
      const bool gate = circuit.is_gate_output(frame.net);
      program.operations.push_back({frame.net, gate ? circuit.gate_of(frame.net) : no_id});
      if (!gate || !is_push_pull(circuit.kind(circuit.gate_of(frame.net)))) program.binary = false;
      frames.pop_back();
    }
  }
  return program;
}

}  // namespace settle
