#include "analysis/witness_check.h"

#include "analysis/space_steps.h"
#include "settle/elaborate.h"
#include "settle/text_reader.h"

namespace settle {
namespace {

constexpr Time time_to_confirm = 1'000'000;

}  // namespace

std::optional<Circuit> replay_circuit(const Circuit& circuit, const std::vector<Ending::Delay>& delays) {
  TextReader file(witness_netlist(circuit, "replay", delays));
  Sources sources;
  Diagnostics diagnostics;
  auto copy = load_circuit("replay.gates", file, {}, sources, diagnostics);
  if (!copy || copy->kinds() != circuit.kinds() || copy->input_count() != circuit.input_count()) return std::nullopt;
  return copy;
}

Kernel start_step(const Circuit& circuit, const KernelOptions& options, const StateSpace& space, const Transition& step) {
  std::vector<Value> inputs;
  for (NetId net = 0; net < circuit.input_count(); ++net) inputs.push_back(space.value(circuit, step.from, net));
  Kernel kernel(circuit, options);
  kernel.power_up(inputs, space.nodes_of(step.from));
  kernel.run_instant(0);
  for (const InputChange& change : changes_between(space.input_bits, space.stable[step.from].inputs, step.inputs)) {
    kernel.set_input(change.net, change.value);
  }
  kernel.run_instant(0);
  return kernel;
}

bool confirm_ending(const Circuit& circuit, const StateSpace& space, const Transition& step, const Ending& ending) {
  const auto copy = replay_circuit(circuit, ending.delays);
  if (!copy) return false;
  Kernel kernel = start_step(*copy, {}, space, step);
  const Continuation run = look_ahead(kernel, time_to_confirm);
  if (ending.state == no_state) return run.kind == Continuation::Kind::repeats;
  if (run.kind != Continuation::Kind::settles) return false;
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    if (kernel.value(copy->output_of(gate)) != space.nodes_of(ending.state)[gate]) return false;
  }
  return true;
}

}  // namespace settle
