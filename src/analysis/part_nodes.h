// What a part of a step consists of.
#pragma once

#include <vector>

#include "settle/circuit.h"

namespace settle {

/// Gates and delayed inputs of a part, in the order in which its subnetwork numbers them.
struct PartNodes {
  std::vector<GateId> gates;        ///< ascending
  std::vector<NetId> delayed;       ///< inputs with a delay element
  std::vector<Value> delayed_from;  ///< their old values
};

}  // namespace settle
