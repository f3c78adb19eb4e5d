// The cells that one cell uses.
#include <unordered_map>

#include "settle/formats.h"

namespace settle {

Netlist with_cells_of(const Netlist& netlist, Symbol top) {
  std::unordered_map<Symbol, std::size_t> index;
  for (std::size_t c = 0; c < netlist.cells.size(); ++c) index.emplace(netlist.cells[c].name, c);
  std::vector<bool> used(netlist.cells.size(), false);
  std::vector<std::size_t> waiting;
  const auto use = [&](Symbol name) {
    const auto found = index.find(name);
    if (found == index.end() || used[found->second]) return;
    used[found->second] = true;
    waiting.push_back(found->second);
  };
  use(top);
  while (!waiting.empty()) {
    const CellSyntax& cell = netlist.cells[waiting.back()];
    waiting.pop_back();
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = netlist.statements[cell.first_statement + s];
      if (statement.builtin < 0) use(statement.kind);
    }
  }
  Netlist result = netlist;
  result.cells.clear();
  std::vector<std::uint32_t> place(netlist.cells.size(), 0);
  for (std::size_t c = 0; c < netlist.cells.size(); ++c) {
    if (!used[c]) continue;
    place[c] = static_cast<std::uint32_t>(result.cells.size());
    result.cells.push_back(netlist.cells[c]);
  }
  result.chips.clear();  // their gates are statements by now
  result.chip_pins.clear();
  result.chip_gates.clear();
  result.requirements.clear();
  for (RequireSyntax requirement : netlist.requirements) {
    if (!used[requirement.cell]) continue;
    requirement.cell = place[requirement.cell];
    result.requirements.push_back(std::move(requirement));
  }
  return result;
}

}  // namespace settle
