// The SAT solver behind the proofs: CaDiCaL (A. Biere and others), hidden from the rest.
#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <span>

#include "analysis/clauses.h"

namespace settle {

class SatSolver {
 public:
  enum class Answer : std::uint8_t { yes, no, unknown };

  enum class Purpose : std::uint8_t { proof, listing };

  /// `purpose`: what the solver is tuned for.
  explicit SatSolver(Purpose purpose = Purpose::proof);
  ~SatSolver();
  SatSolver(SatSolver&&) noexcept;

  /// Adds variables and clauses; may be called between solve() calls.
  void add(const ClauseSet& clauses);
  void add(std::span<const Literal> clause);

  /// Is there an assignment in which all of `assumed` hold? `conflicts`: how much work to spend at
  /// most, 0 for no limit; `stop`: set from outside to give up. Unknown in these two cases only.
  Answer solve(std::span<const Literal> assumed = {}, std::uint64_t conflicts = 0,
               const std::atomic<bool>* stop = nullptr);
  /// After yes: the literal is 1. Variables that no clause mentions are 0.
  bool value(Literal literal);
  /// After no: the assumption takes part in the refutation.
  bool took_part(Literal assumed);

 private:
  struct Work;
  std::unique_ptr<Work> work_;
};

}  // namespace settle
