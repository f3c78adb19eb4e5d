// What has to hold in a stable state, as clauses over the nets that the inputs do not decide.
#pragma once

#include <span>
#include <vector>

#include "analysis/clauses.h"
#include "settle/circuit.h"

namespace settle {

/// The stable states of `circuit` for inputs of which some may be free: the values that satisfy
/// `clauses`, and for the other gates what follows from them.
struct StableNetwork {
  ClauseSet clauses;  ///< variables: the constant, the free inputs, then nets
  std::uint32_t free_inputs = 0;
  std::vector<Value> known;      ///< by net: what follows from the known inputs alone, x: nothing
  std::vector<Literal> literal;  ///< by net: constant, its variable, or no_literal
  std::vector<NetId> net_of;     ///< by variable; no_id for the constant and helping variables
  /// Gates that have no clauses because nothing hangs on them: drivers before readers, three-state
  /// gates last. Their values follow from the others.
  std::vector<GateId> followers;
  /// Variables whose values decide all others: the free inputs, then one on every cycle.
  std::vector<std::uint32_t> deciding;
  /// With any open level: for each wire that a gate reads, 1 where it floats or is fought over.
  std::vector<Literal> open;
};

struct StableNetworkOptions {
  bool with_followers = false;  ///< clauses for all push-pull gates, also for those on which nothing hangs
  /// A wire that floats or is fought over may have either level, instead of making the state not stable.
  bool any_open_level = false;
};

/// `inputs`: one value per input bit; x is free, z never stable where a gate reads it.
StableNetwork stable_network(const Circuit& circuit, std::span<const Value> inputs,
                             const StableNetworkOptions& options = {});

}  // namespace settle
