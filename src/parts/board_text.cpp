// flatten() gives each net a name of the language; inner nets of replacements get names beside them.
#include "parts/board_text.h"

#include <unordered_set>

#include <fmt/format.h>

#include "formats/foreign_names.h"
#include "formats/tree_text.h"
#include "settle/elaborate.h"
#include "settle/formats.h"
#include "settle/text_reader.h"

namespace settle {

BoardText::BoardText(const Wiring& wiring, const Circuit& circuit) {
  const Netlist flat = flatten(circuit);
  const CellSyntax& cell = flat.cells.front();
  std::vector<std::string> name(circuit.net_count());
  std::unordered_set<std::string> taken;
  const auto put = [&](NetId net, std::string text) {
    taken.insert(text);
    name[net] = std::move(text);
  };
  const auto connection = [&](const Statement& statement, std::uint32_t i) {
    return connection_text(flat, flat.connections[statement.first + i]);
  };
  head_ = fmt::format("cell {}\n", flat.symbols->text(cell.name));
  for (const auto* pins : {&cell.inputs, &cell.outputs}) {
    if (pins->empty()) continue;
    head_ += pins == &cell.inputs ? "  in " : "  out";
    for (const PinDeclaration& pin : *pins) head_ += " " + pin_text(flat, pin);
    head_ += '\n';
  }
  for (const Port& port : circuit.input_ports()) {
    for (std::uint32_t b = 0; b < port.width; ++b) put(port.first + b, circuit.net_name(port.first + b));
  }
  for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
    const Statement& statement = flat.statements[cell.first_statement + s];
    const bool is_gate = s < circuit.gate_count();
    if (is_gate) {
      const auto inputs = circuit.fan_in(s);
      for (std::uint32_t i = 0; i < statement.inputs; ++i) put(inputs[i], connection(statement, i));
      put(circuit.visible_net(s), connection(statement, statement.inputs));
      if (!is_pull(circuit.kind(s))) continue;
    }
    tail_ += fmt::format("  {} {}:", flat.symbols->text(statement.kind), flat.symbols->text(statement.name));
    for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
      tail_ += (i == statement.inputs ? " -> " : " ") + connection(statement, i);
    }
    tail_ += '\n';
  }
  nets_ = {"0", "1"};
  for (WireNetId net = 2; net < wiring.nets.size(); ++net) {
    if (const NetId own = wiring.nets[net].net; own != no_id) {
      nets_.push_back(name[own]);
    } else {
      nets_.push_back(ForeignNames::free_name(own_form_of(wiring.nets[net].name), taken));
      taken.insert(nets_.back());
    }
  }
}

std::string BoardText::cell(const std::string& body) const { return head_ + body + tail_ + "end\n"; }

std::string board_gates_text(const Wiring& wiring, const Circuit& circuit) {
  const BoardText text(wiring, circuit);
  std::string body;
  for (const WiredChip& chip : wiring.chips) {
    const Part& part = wiring.parts[chip.part];
    for (std::size_t g = 0; g < chip.gates.size(); ++g) {
      const WiredGate& gate = chip.gates[g];
      if (gate.gate == no_id) continue;
      body += fmt::format("  {} {}_{}:", name_of(part.kind), own_form_of(chip.name), g + 1);
      for (const WireNetId net : gate.inputs) body += " " + text.net(net);
      body += " -> " + (gate.output == no_id ? "_" : text.net(gate.output)) + "\n";
    }
  }
  return text.cell(body);
}

std::string as_built_text(const Wiring& wiring, const Circuit& circuit) {
  const BoardText text(wiring, circuit);
  std::string body;
  for (const WiredChip& chip : wiring.chips) {
    std::string line = fmt::format("  chip {} {}:", own_form_of(chip.name), chip.part_text());
    for (std::size_t pin = 0; pin < chip.pins.size(); ++pin) {
      if (chip.pins[pin] == no_id) continue;
      const std::string item = fmt::format(" {}={}", pin + 1, text.net(chip.pins[pin]));
      if (line.size() + item.size() > 98) {
        body += line + " \\\n";
        line = "   ";
      }
      line += item;
    }
    body += line + '\n';
  }
  return text.cell(body);
}

Comparison prove_board(const Wiring& wiring, const Circuit& circuit, const CompareOptions& options) {
  Comparison comparison;
  TextReader reader(board_gates_text(wiring, circuit));
  Sources sources;
  Diagnostics diagnostics;
  const auto board = load_circuit("board", reader, {}, sources, diagnostics);
  PinMatch match;
  if (!board || !match_pins(circuit, *board, options, match, diagnostics)) {
    comparison.undecided_reason = "the board's netlist could not be read: " + render(diagnostics, sources);
    return comparison;
  }
  return compare(circuit, *board, match, options);
}

}  // namespace settle
