// All values that satisfy a set of clauses, by depth-first search with propagation.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "analysis/clauses.h"
#include "analysis/search_choice.h"

namespace settle {

/// Steps through the satisfying assignments one by one.
class ClauseSearch {
 public:
  enum class Outcome : std::uint8_t { found, exhausted, gave_up };

  /// `order`: variables to decide first, in this order; the others come after them. The clauses
  /// must live as long.
  ClauseSearch(const ClauseSet& clauses, std::span<const std::uint32_t> order);

  /// What follows without any decision; false: nothing satisfies the clauses.
  bool propagate_all();

  /// The next assignment; gives up, able to go on, after about `budget` assignments of a variable.
  Outcome next(std::uint64_t budget);

  /// For other ways of search, in place of next(): assigns an open literal and what follows from it;
  /// false: a contradiction. `undo(mark())` later takes back all that was assigned since.
  bool assume(Literal literal);
  std::uint32_t mark() const { return static_cast<std::uint32_t>(trail_.size()); }
  void undo(std::uint32_t mark);

  /// 0, 1 or 2 (unknown) for each literal.
  const std::vector<std::uint8_t>& values() const { return values_; }
  std::uint8_t value(Literal literal) const { return values_[literal]; }
  std::uint64_t assignments() const { return assignments_; }

  /// Clauses that shut out exactly what was searched up to now, after next() gave up.
  std::vector<std::vector<Literal>> searched() const;

 private:
  struct Watch {
    std::uint32_t clause;
    Literal other;           // some other literal of the clause: a true one saves a look
  };

  void assign(Literal literal);
  bool propagate();
  bool turn_back();

  const ClauseSet* clauses_;
  std::vector<Literal> literals_;              // of the clauses; the first two of each are watched
  std::vector<std::vector<Watch>> watches_;    // by literal: clauses that watch it
  std::vector<std::uint8_t> values_;           // by literal
  std::vector<std::uint32_t> order_;
  std::vector<Literal> trail_;
  std::vector<SearchChoice> choices_;         // position: in order_
  std::size_t head_ = 0;                       // trail before this is propagated
  std::uint32_t position_ = 0;                 // order_ before this is assigned
  std::uint64_t assignments_ = 0;
  enum class Phase : std::uint8_t { fresh, deciding, at_result, over } phase_ = Phase::fresh;
};

}  // namespace settle
