// Syntax tree -> text of our own language, one statement a line.
#include <algorithm>

#include <fmt/format.h>

#include "formats/tree_text.h"
#include "settle/formats.h"

namespace settle {
namespace {

constexpr std::size_t line_width = 100;

void write_pins(std::string& out, const Netlist& netlist, const char* keyword,
                const std::vector<PinDeclaration>& pins) {
  std::size_t width = line_width;
  for (const PinDeclaration& pin : pins) {
    const std::string text = pin_text(netlist, pin);
    if (width + 1 + text.size() > line_width) {
      if (&pin != pins.data()) out += '\n';
      out += fmt::format("  {:3}", keyword);
      width = 5;
    }
    out += ' ';
    out += text;
    width += 1 + text.size();
  }
  if (!pins.empty()) out += '\n';
}

}  // namespace

std::string write_gates(const Netlist& netlist) {
  std::string out;
  std::size_t requirement = 0;
  for (std::size_t c = 0; c < netlist.cells.size(); ++c) {
    const CellSyntax& cell = netlist.cells[c];
    if (c != 0) out += '\n';
    out += fmt::format("cell {}\n", netlist.symbols->text(cell.name));
    write_pins(out, netlist, "in", cell.inputs);
    write_pins(out, netlist, "out", cell.outputs);
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = netlist.statements[cell.first_statement + s];
      out += fmt::format("  {} {}{}:", netlist.symbols->text(statement.kind), netlist.symbols->text(statement.name),
                         select_text(netlist, statement.range));
      for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
        if (i == statement.inputs) out += " ->";
        out += ' ';
        out += connection_text(netlist, netlist.connections[statement.first + i]);
      }
      if (statement.outputs == 0) out += " ->";
      if (statement.attributes != Connection::no_select) {
        out += " {" + attributes_text(netlist.attributes[statement.attributes]) + "}";
      }
      out += '\n';
    }
    for (; requirement < netlist.requirements.size() && netlist.requirements[requirement].cell == c; ++requirement) {
      out += "  require " + netlist.requirements[requirement].text + "\n";
    }
    out += "end\n";
  }
  return out;
}

}  // namespace settle
