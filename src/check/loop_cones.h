// The storage loops of a circuit with all that decides about them, as circuits of their own.
#pragma once

#include <cstdint>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// All gates with a path into one storage loop that feeds no other loop, and that loop.
struct LoopCone {
  Circuit circuit;  ///< with the names of the whole one, unit delays; outputs: the nets of its loops
  std::vector<NetId> inputs;  ///< its inputs as inputs of the whole circuit, in the same order
};

/// Every loop is in at least one cone. Every step of the circuit that changes inputs is a step of each
/// cone, and settles exactly when it settles in all of them; so do stable states combine. Cones that
/// are alike but for their names come once when `distinct`. False: the cones have more gates than allowed.
bool split_into_cones(const Circuit& circuit, std::uint64_t gate_limit, bool distinct,
                      std::vector<LoopCone>& cones);

}  // namespace settle
