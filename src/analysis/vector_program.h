// The gates in front of the outputs of a circuit without loops, in the order of evaluation.
#pragma once

#include <vector>

#include "settle/circuit.h"

namespace settle {

struct VectorProgram {
  struct Operation {
    NetId net = 0;        ///< that is computed: of a gate, or a wire with several drivers
    GateId gate = no_id;  ///< no_id: a wire
  };
  std::vector<Operation> operations;  ///< fan-in first
  bool binary = true;                 ///< only push-pull gates and driven nets: no x, no z
};

/// Nets that the outputs depend on, fan-in first. Requires: no loops.
VectorProgram vector_program(const Circuit& circuit);

}  // namespace settle
