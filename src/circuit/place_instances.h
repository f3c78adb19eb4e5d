// Compiled cells -> the gates and wires of a CircuitBuilder.
#pragma once

#include <unordered_map>
#include <vector>

#include "circuit/cell_plan.h"
#include "circuit/circuit_builder.h"

namespace settle {

/// Places cell `top` with everything in it. `plans` are by cell; all that are used must be there. What only
/// the top cell needs is used up: of its plan, and of `own`, which is the netlist again or nullptr.
/// False: stopped from outside.
bool place_instances(const Netlist& netlist, Netlist* own, const CellCompiler& cells, std::vector<CellPlan>& plans,
                     std::uint32_t top, const ElaborateOptions& options, CircuitBuilder& builder);

/// Contention: an error for each wire with two push-pull drivers, a warning where a three-state or
/// pull driver shares the wire of a push-pull one. Once for each pair of statements. `undriven`: nets of cells
/// that one of the drivers may have been meant for.
using UndrivenNets = std::unordered_map<Symbol, std::vector<UndrivenNet>>;  // by name of the cell
void check_shared_wires(const Sources& sources, const CircuitBuilder& builder, const UndrivenNets& undriven,
                        Diagnostics& diagnostics);

}  // namespace settle
