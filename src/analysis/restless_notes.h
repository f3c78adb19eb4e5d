// Remarks below a characteristic table on inputs with which the circuit never rests.
#pragma once

#include "settle/minimise.h"
#include "settle/table.h"

namespace settle {

/// Which inputs these are, and where rows do not cover what follows when they end. `told`: input vectors
/// whose rows hold from every state.
void add_restless_notes(Table& table, const Circuit& circuit, const StateSpace& space,
                        const TableOptions& options, const FunctionBits& told);

}  // namespace settle
