// Where a circuit may rest with a wire that has no level.
#pragma once

#include <atomic>
#include <span>

#include "analysis/sat_solver.h"
#include "analysis/stable_network.h"

namespace settle {

/// May the circuit rest with a wire that gates read and that floats or is fought over? Such a state is not
/// among the stable ones, whose levels are all 0 or 1; a real wire has some level, so it counts against
/// proofs that there is one state, or none. Taken to have one level for all its readers.
class OpenLevels {
 public:
  /// The circuit must live as long. `inputs`: one value per input bit, x: free.
  OpenLevels(const Circuit& circuit, std::span<const Value> inputs);

  /// For some of the inputs that it was made for. Counts as possible when `conflicts` (0: no limit) were not
  /// enough or `stop` is set.
  bool possible(const std::atomic<bool>* stop = nullptr, std::uint64_t conflicts = 0);
  /// `inputs`: one value per input bit, 0 or 1 where they were free.
  bool possible_with(std::span<const Value> inputs, const std::atomic<bool>* stop = nullptr,
                     std::uint64_t conflicts = 0);

 private:
  bool ask(std::span<const Literal> assumed, const std::atomic<bool>* stop, std::uint64_t conflicts);

  const Circuit* circuit_;
  StableNetwork network_;
  SatSolver solver_;
  bool never_ = false;  // no wire that gates read can be open
};

}  // namespace settle
