// Attributes of the tree -> wishes of the flat gates, by cell and name of the statement. Linear.
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "settle/wiring.h"

namespace settle {

std::vector<GateWish> wishes_of(const Netlist& netlist, const Circuit& circuit, Diagnostics& warnings) {
  std::unordered_map<std::uint64_t, const Attributes*> wishes;
  const auto key = [](Symbol cell, Symbol name) { return std::uint64_t{cell} << 32 | name; };
  std::unordered_set<Symbol> used;
  for (const auto& instance : circuit.names().instances) used.insert(instance.cell);
  for (const CellSyntax& cell : netlist.cells) {
    if (!used.contains(cell.name)) continue;
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = netlist.statements[cell.first_statement + s];
      if (statement.attributes == Connection::no_select) continue;
      const Attributes& attributes = netlist.attributes[statement.attributes];
      if (attributes.part.empty() && attributes.place.empty()) continue;
      if (statement.builtin >= 0) {
        wishes.emplace(key(cell.name, statement.name), &attributes);
      } else {
        warnings.warning({cell.place.file, attributes.offset}, "cell-part",
                         fmt::format("the part of cell '{}' is not used: gates are placed one by one",
                                     netlist.symbols->text(statement.name)),
                         "give parts and places to the gates inside the cell");
      }
    }
  }
  std::vector<GateWish> result(circuit.gate_count());
  if (wishes.empty()) return result;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const NameRef& name = circuit.names().gates[gate];
    const auto found = wishes.find(key(circuit.names().instances[name.instance].cell, name.name));
    if (found != wishes.end()) result[gate] = {found->second->part, found->second->place};
  }
  return result;
}

}  // namespace settle
