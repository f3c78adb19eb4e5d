// A netlist tree as one compact text, the language of parser tests.
#pragma once

#include <string>

#include "settle/netlist.h"
#include "settle/time.h"

namespace settle::testing {

inline std::string dump(const Netlist& netlist, const Select& select) {
  static_cast<void>(netlist);
  const std::string msb = std::to_string(select.msb);
  return select.is_bit ? "[" + msb + "]" : "[" + msb + ":" + std::to_string(select.lsb) + "]";
}

inline std::string dump(const DelayTriple& delay) {
  return std::to_string(delay.min) + ".." + std::to_string(delay.typ) + ".." + std::to_string(delay.max);
}

/// `cell NAME(inputs -> outputs)`, then a line for each statement (`KIND NAME: a b -> c`, built-in
/// kinds marked with `*`), attributes with all three delays, then the requirements.
inline std::string dump(const Netlist& netlist) {
  const auto name = [&](Symbol symbol) { return std::string(netlist.symbols->text(symbol)); };
  const auto range = [&](std::uint32_t index) {
    return index == Connection::no_select ? std::string() : dump(netlist, netlist.selects[index]);
  };
  const auto connection_word = [&](const Connection& connection) -> std::string {
    switch (connection.kind) {
      case Connection::Kind::net: return name(connection.net) + range(connection.select);
      case Connection::Kind::zero: return "0";
      case Connection::Kind::one: return "1";
      case Connection::Kind::open: break;
    }
    return "_";
  };
  std::string out;
  for (std::size_t c = 0; c < netlist.cells.size(); ++c) {
    const CellSyntax& cell = netlist.cells[c];
    out += "cell " + name(cell.name) + "(";
    for (const PinDeclaration& pin : cell.inputs) out += name(pin.name) + range(pin.select) + " ";
    out += "->";
    for (const PinDeclaration& pin : cell.outputs) out += " " + name(pin.name) + range(pin.select);
    out += ")\n";
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = netlist.statements[cell.first_statement + s];
      out += "  " + name(statement.kind) + (statement.builtin >= 0 ? "* " : " ") + name(statement.name) +
             range(statement.range) + ":";
      for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
        if (i == statement.inputs) out += " ->";
        const Connection& connection = netlist.connections[statement.first + i];
        out += " ";
        if (connection.pin != no_symbol) out += name(connection.pin) + "=";
        out += connection_word(connection);
      }
      if (statement.outputs == 0) out += " ->";
      if (statement.attributes != Connection::no_select) {
        const Attributes& attributes = netlist.attributes[statement.attributes];
        out += " {";
        if (attributes.has_delay) {
          out += "rise=" + dump(attributes.rise) + " fall=" + dump(attributes.fall) +
                 std::string(name_of(attributes.unit));
        }
        if (!attributes.part.empty()) out += " part=" + std::string(attributes.part);
        if (!attributes.place.empty()) out += " place=" + std::string(attributes.place);
        out += "}";
      }
      out += "\n";
    }
    for (const ChipSyntax& chip : netlist.chips) {
      if (chip.cell != c) continue;
      out += "  chip " + name(chip.name) + " " + std::string(chip.part) + ":";
      for (std::uint32_t p = 0; p < chip.count; ++p) {
        const ChipPin& pin = netlist.chip_pins[chip.first + p];
        out += " " + std::to_string(pin.number) + "=" + connection_word(pin.net);
      }
      out += "\n";
    }
    for (const RequireSyntax& requirement : netlist.requirements) {
      if (requirement.cell == c) out += "  require " + requirement.text + "\n";
    }
  }
  return out;
}

}  // namespace settle::testing
