// The chips of a flat circuit: which gate of which package each of its gates is.
//
// The name of a gate leads to its cell and statement, and that to the chip. Pins of gates that are in the
// circuit take their nets from it, so paths and shared names need no second thought; pins of gates at rest
// have at most a supply on them. Cost: linear in gates.
#include <fmt/format.h>

#include <map>
#include <unordered_map>

#include "settle/board.h"

namespace settle {
namespace {

std::uint64_t key_of(Symbol cell, Symbol gate) { return std::uint64_t{cell} << 32 | gate; }

/// The fixed pins, and those of gates at rest.
void fill_pins(const Netlist& netlist, const ChipSyntax& syntax, const Circuit& circuit, BoardChip& chip) {
  const Part& part = *chip.type;
  chip.pins.assign(part.pin_count, {});
  chip.pins[part.supply - 1u].role = BoardPin::Role::supply;
  chip.pins[part.ground - 1u].role = BoardPin::Role::ground;
  for (std::uint32_t g = 0; g < part.gates.size(); ++g) {
    for (std::uint32_t i = 0; i < part.gates[g].inputs.size(); ++i) {
      chip.pins[part.gates[g].inputs[i] - 1u] = {BoardPin::Role::input, g, i, no_id};
    }
    chip.pins[part.gates[g].output - 1u] = {BoardPin::Role::output, g, 0, no_id};
  }
  for (std::uint32_t p = 0; p < syntax.count; ++p) {
    const ChipPin& pin = netlist.chip_pins[syntax.first + p];
    if (pin.number > part.pin_count) continue;
    NetId& net = chip.pins[pin.number - 1].net;
    if (pin.net.kind == Connection::Kind::zero) net = circuit.const_zero();
    if (pin.net.kind == Connection::Kind::one) net = circuit.const_one();
  }
}

}  // namespace

std::string pin_text(const BoardChip& chip, std::size_t pin) { return fmt::format("pin {} of {}", pin, chip.name); }

Board board_of(const Netlist& netlist, const Circuit& circuit, const Catalogue& catalogue) {
  std::unordered_map<std::uint64_t, const ChipGate*> gate_of;
  for (const ChipGate& gate : netlist.chip_gates) {
    gate_of.emplace(key_of(netlist.cells[netlist.chips[gate.chip].cell].name, gate.name), &gate);
  }
  Board board;
  std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> found;  // by instance and chip
  const Names& names = circuit.names();
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    const NameRef& ref = names.gates[g];
    const auto known = gate_of.find(key_of(names.instances[ref.instance].cell, ref.name));
    if (known == gate_of.end()) continue;
    const ChipGate& chip_gate = *known->second;
    const ChipSyntax& syntax = netlist.chips[chip_gate.chip];
    const auto number = part_number_from(syntax.part);
    const Part* part = catalogue.find(number ? std::string_view(number->number) : syntax.part);
    if (part == nullptr) continue;
    const auto [at, is_new] = found.emplace(std::pair(ref.instance, chip_gate.chip), board.chips.size());
    if (is_new) {
      BoardChip& chip = board.chips.emplace_back();
      chip.name = names.join({ref.instance, syntax.name, no_id});
      chip.part = syntax.part;
      chip.type = part;
      chip.floats_high = number && floats_high(number->family);
      chip.gates.assign(part->gates.size(), no_id);
      chip.outputs.assign(part->gates.size(), no_id);
      fill_pins(netlist, syntax, circuit, chip);
    }
    BoardChip& chip = board.chips[at->second];
    chip.gates[chip_gate.gate] = g;
    // Behind a gate with an open collector, place_chips() has put the transistor: nothing else reads that net.
    const GateId output = part->output == Part::Output::open_collector ? circuit.fan_out(circuit.visible_net(g)).front() : g;
    chip.outputs[chip_gate.gate] = output;
    const PartGate& pins = part->gates[chip_gate.gate];
    const auto fan_in = circuit.fan_in(g);
    for (std::size_t i = 0; i < pins.inputs.size(); ++i) chip.pins[pins.inputs[i] - 1u].net = fan_in[i];
    const bool is_open = !is_named(circuit, circuit.visible_net(output));
    chip.pins[pins.output - 1u].net = is_open ? no_id : circuit.visible_net(output);
  }
  return board;
}

}  // namespace settle
