// What `settle states` shows: the state space, how many stable states there are where they cannot be
// listed, and witnesses of the steps that do not settle.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "settle/circuit.h"
#include "settle/stable_product.h"
#include "settle/stable_proofs.h"
#include "settle/state_space.h"
#include "settle/witness.h"

namespace settle {

struct StatesOptions {
  StateSpaceOptions space;                 ///< limits, held inputs, threads
  std::size_t witness_limit = 8;           ///< steps to look for witnesses of, the most telling first
};

struct StatesStudy {
  StateSpace space;
  /// Steps judged with another verdict than `settles`: first those in which fewer inputs change, then the
  /// worse verdict, then as in the space.
  std::vector<std::uint32_t> unsettled;
  std::vector<StepWitness> witnesses;      ///< of the first of these
  /// Where there are several independent loops, or the stable states could not be listed.
  std::optional<StableProduct> product;
  std::optional<MemoryProof> memory;       ///< only where the stable states could not be listed
  std::optional<UnstableInputs> unstable;  ///< only where the stable states could not be listed
};

StatesStudy study_states(const Circuit& circuit, const StatesOptions& options);

}  // namespace settle
