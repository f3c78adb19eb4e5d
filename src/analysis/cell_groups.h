// Equal storage cells as registers, shift registers and counters.
#pragma once

#include <string>
#include <vector>

#include "analysis/recognise.h"
#include "settle/explain.h"

namespace settle {

/// One storage cell of the circuit, with its own names.
struct CellInstance {
  ExplainedCell facts;
  std::vector<std::string> outputs;           ///< of the whole circuit
  std::vector<std::string> inputs, observed;  ///< all names of the study
  std::vector<const OutputRule*> rules;       ///< by observed net
  std::vector<unsigned> first_alike;          ///< by observed net: the first net that is equal or opposite in all states
  std::vector<bool> is_opposite;              ///< ... and whether it is opposite
  std::uint32_t study = 0;
  std::uint32_t cell = 0;                     ///< index into Explanation::cells, once grouped
};

/// Fills Explanation::cells and the cell numbers of instances and outputs.
void group_cells(std::vector<CellInstance>& instances, Explanation& result);

/// The kind of the whole circuit.
std::string kind_of_all(const Explanation& result, const std::vector<CellInstance>& instances);

}  // namespace settle
