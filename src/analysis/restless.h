// What nets do while a circuit never comes to rest.
#pragma once

#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

class RestProof;

enum class RestlessNet : std::uint8_t {
  zero,        ///< 0 in the end, from every state
  one,         ///< 1 in the end, from every state
  oscillates,  ///< follows a ring that never rests, and nothing else that moves
  varies,      ///< nothing of this is proved
};

/// By net. `inputs` (0 or 1 each) have no stable state; `proof` is about `circuit`.
std::vector<RestlessNet> restless_nets(const Circuit& circuit, RestProof& proof,
                                       std::span<const Value> inputs);

}  // namespace settle
