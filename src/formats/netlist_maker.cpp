#include "formats/netlist_maker.h"

#include "text/netlist_parser.h"

namespace settle {

NetlistMaker::NetlistMaker(std::uint32_t file) : file_(file) { intern_reserved(*netlist_.symbols); }

std::uint32_t NetlistMaker::add_select(Select select) {
  netlist_.selects.push_back(select);
  return static_cast<std::uint32_t>(netlist_.selects.size()) - 1;
}

void NetlistMaker::open_cell(Symbol name, std::uint32_t offset) {
  CellSyntax cell;
  cell.name = name;
  cell.place = {file_, offset};
  cell.first_statement = static_cast<std::uint32_t>(netlist_.statements.size());
  netlist_.cells.push_back(std::move(cell));
}

void NetlistMaker::add_input(Symbol name, std::uint32_t offset, std::uint32_t select) {
  netlist_.cells.back().inputs.push_back({name, select, offset});
}

void NetlistMaker::add_output(Symbol name, std::uint32_t offset, std::uint32_t select) {
  netlist_.cells.back().outputs.push_back({name, select, offset});
}

void NetlistMaker::close_cell() {
  CellSyntax& cell = netlist_.cells.back();
  cell.statement_count = static_cast<std::uint32_t>(netlist_.statements.size()) - cell.first_statement;
}

void NetlistMaker::open(Symbol kind, int builtin, Symbol name, std::uint32_t offset) {
  statement_ = {};
  statement_.kind = kind;
  statement_.builtin = static_cast<std::int8_t>(builtin);
  statement_.name = name;
  statement_.offset = statement_.name_offset = offset;
  inputs_.clear();
  outputs_.clear();
}

void NetlistMaker::open_gate(GateKind kind, Symbol name, std::uint32_t offset) {
  // The gate kinds are the first symbols.
  open(static_cast<Symbol>(kind), static_cast<int>(kind), name, offset);
}

void NetlistMaker::open_instance(Symbol cell, Symbol name, std::uint32_t offset) { open(cell, -1, name, offset); }

void NetlistMaker::set_attributes(const Attributes& attributes) {
  netlist_.attributes.push_back(attributes);
  statement_.attributes = static_cast<std::uint32_t>(netlist_.attributes.size()) - 1;
}

void NetlistMaker::require(Place place, std::string text) {
  netlist_.requirements.push_back({static_cast<std::uint32_t>(netlist_.cells.size()) - 1, place, std::move(text)});
}

void NetlistMaker::close_statement() {
  statement_.first = static_cast<std::uint32_t>(netlist_.connections.size());
  statement_.inputs = static_cast<std::uint32_t>(inputs_.size());
  statement_.outputs = static_cast<std::uint32_t>(outputs_.size());
  netlist_.connections.insert(netlist_.connections.end(), inputs_.begin(), inputs_.end());
  netlist_.connections.insert(netlist_.connections.end(), outputs_.begin(), outputs_.end());
  netlist_.statements.push_back(statement_);
}

}  // namespace settle
