// Syntax tree -> the JSON document netlist/1.
#include <nlohmann/json.hpp>

#include "formats/tree_text.h"
#include "settle/formats.h"

namespace settle {
namespace {

using Json = nlohmann::ordered_json;

Json json_of_pins(const Netlist& netlist, const std::vector<PinDeclaration>& pins) {
  Json list = Json::array();
  for (const PinDeclaration& pin : pins) list.push_back(pin_text(netlist, pin));
  return list;
}

Json json_of_statement(const Netlist& netlist, const Statement& s) {
  Json gate;
  gate["kind"] = netlist.symbols->text(s.kind);
  gate["name"] = std::string(netlist.symbols->text(s.name)) + select_text(netlist, s.range);
  Json inputs = Json::array(), outputs = Json::array();
  for (std::uint32_t i = 0; i < s.inputs + s.outputs; ++i) {
    (i < s.inputs ? inputs : outputs).push_back(connection_text(netlist, netlist.connections[s.first + i]));
  }
  gate["inputs"] = std::move(inputs);
  gate["outputs"] = std::move(outputs);
  if (s.attributes == Connection::no_select) return gate;
  const Attributes& a = netlist.attributes[s.attributes];
  if (a.has_delay && a.rise == a.fall) {
    gate["delay"] = delay_text(a.rise, a.unit);
  } else if (a.has_delay) {
    gate["rise"] = delay_text(a.rise, a.unit);
    gate["fall"] = delay_text(a.fall, a.unit);
  }
  if (!a.part.empty()) gate["part"] = a.part;
  if (!a.place.empty()) gate["place"] = a.place;
  return gate;
}

}  // namespace

std::string write_netlist_json(const Netlist& netlist) {
  // One gate a line: the whole document would take a tree of a million nodes, and pretty-printing
  // ten lines a gate.
  std::string out = "{\n  \"schema\": \"netlist/1\",\n  \"settle\": " + Json(SETTLE_VERSION).dump() + ",\n  \"cells\": [";
  std::size_t requirement = 0;
  for (std::size_t c = 0; c < netlist.cells.size(); ++c) {
    const CellSyntax& cell = netlist.cells[c];
    out += c == 0 ? "\n" : ",\n";
    out += "    {\"name\": " + Json(netlist.symbols->text(cell.name)).dump();
    out += ",\n     \"inputs\": " + json_of_pins(netlist, cell.inputs).dump();
    out += ",\n     \"outputs\": " + json_of_pins(netlist, cell.outputs).dump();
    out += ",\n     \"gates\": [";
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      out += s == 0 ? "\n       " : ",\n       ";
      out += json_of_statement(netlist, netlist.statements[cell.first_statement + s]).dump();
    }
    out += cell.statement_count == 0 ? "]" : "\n     ]";
    Json requirements = Json::array();
    for (; requirement < netlist.requirements.size() && netlist.requirements[requirement].cell == c; ++requirement) {
      requirements.push_back(netlist.requirements[requirement].text);
    }
    if (!requirements.empty()) out += ",\n     \"requirements\": " + requirements.dump();
    out += "}";
  }
  return out + (netlist.cells.empty() ? "]\n}\n" : "\n  ]\n}\n");
}

}  // namespace settle
