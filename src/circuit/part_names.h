// The parts that gates name, each name kept once.
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "circuit/cell_plan.h"

namespace settle {

class PartNames {
 public:
  explicit PartNames(const Netlist& netlist) : netlist_(netlist) {}

  /// Numbers the parts of the gates of a cell; 0 is none. A part named by a cell is of the cell as a
  /// whole, not of the gates in it.
  void assign(CellPlan& plan) {
    for (auto& planned : plan.statements) {
      const auto& statement = netlist_.statements[planned.statement];
      if (statement.builtin < 0 || statement.attributes == Connection::no_select) continue;
      const std::string_view part = netlist_.attributes[statement.attributes].part;
      if (part.empty()) continue;
      const auto [entry, is_new] = number_of_.try_emplace(part, static_cast<std::uint32_t>(names_.size()));
      if (is_new) names_.emplace_back(part);
      planned.part = entry->second;
    }
  }

  /// [0] is empty.
  std::vector<std::string> take() { return std::move(names_); }

 private:
  const Netlist& netlist_;
  std::vector<std::string> names_{std::string()};
  std::unordered_map<std::string_view, std::uint32_t> number_of_;
};

}  // namespace settle
