// All values that satisfy a set of clauses, by depth-first search that looks ahead before it chooses.
#pragma once

#include <cstdint>
#include <vector>

#include "analysis/clause_search.h"
#include "analysis/relations.h"
#include "analysis/search_choice.h"

namespace settle {

/// Steps through the satisfying assignments one by one, for clauses that hang together.
class LookAheadSearch {
 public:
  using Outcome = ClauseSearch::Outcome;

  explicit LookAheadSearch(const ClauseSet& clauses);

  /// The next assignment; gives up, able to go on, after about `budget` assignments of a variable.
  Outcome next(std::uint64_t budget);

  /// What was found: 0 or 1 for each literal.
  const std::vector<std::uint8_t>& values() const { return result_; }
  std::uint64_t assignments() const { return assignments_; }

  /// Clauses that shut out exactly what was searched up to now, after next() gave up.
  std::vector<std::vector<Literal>> searched() const;

 private:
  // A pin of a relation: what propagation needs of it, in one word.
  class Pin {
   public:
    Pin(std::uint32_t relation, std::uint32_t table, std::uint32_t weight)
        : packed_(std::uint64_t{table} << 32 | weight << relation_bits | relation) {}
    std::uint32_t relation() const {
      return static_cast<std::uint32_t>(packed_) & ((1u << relation_bits) - 1);
    }
    std::uint32_t weight() const { return static_cast<std::uint32_t>(packed_) >> relation_bits; }
    std::uint32_t table() const { return static_cast<std::uint32_t>(packed_ >> 32); }

   private:
    static constexpr int relation_bits = 24;
    std::uint64_t packed_;
  };
  // Relations that do not hold yet whatever comes, by variable: pins[from[v]] to pins[to[v]].
  struct Level {
    std::vector<std::uint32_t> open;  // variables without a value
    std::vector<std::uint32_t> from, to;
    std::vector<Pin> pins;
  };
  struct Trial {
    bool possible;
    std::uint64_t worth;
  };

  bool start();
  bool set(Literal literal);
  bool propagate(std::uint8_t* states);
  bool assume(Literal literal) { return set(literal) && propagate(states_.data()); }
  void forget(std::size_t mark);
  bool turn_back();
  bool is_complete() const { return size_ + 1 == values_.size(); }
  Literal literal_now(std::uint32_t variable) const { return literal_of(variable, values_[variable] == 1); }
  bool holds_anyway(const Pin& pin) const;
  void renew_level();
  Trial try_out(Literal literal);
  bool look_ahead();
  void list_candidates();

  const ClauseSet* clauses_;
  Relations relations_;
  std::vector<std::uint32_t> wide_from_, wide_of_;  // by literal: wide clauses that it is in
  std::vector<std::uint8_t> values_;                // by variable: 0, 1 or 2 (unknown)
  std::vector<std::uint8_t> states_;  // by relation: where its table stands, without head_ and on
  std::vector<std::uint8_t> trial_states_;
  std::vector<std::uint8_t> kept_states_;  // of all relations, before each choice
  std::vector<std::uint8_t> result_;       // by literal
  std::vector<std::uint32_t> trail_;       // variables; the first size_ have values
  std::size_t size_ = 0, head_ = 0;        // trail before head_ is propagated
  std::vector<Level> levels_;              // each what is left of the one before
  std::uint32_t level_ = 0;
  std::vector<SearchChoice> choices_;  // position: level_
  std::vector<std::uint32_t> candidates_;
  std::vector<double> weights_;      // by variable: what its last trial was worth
  std::vector<std::uint64_t> seen_;  // by literal: number of the trial that brought it
  std::uint64_t trials_ = 0, worth_ = 0, assignments_ = 0;
  Literal chosen_ = no_literal;
  enum class Phase : std::uint8_t { fresh, deciding, at_result, over } phase_ = Phase::fresh;
};

}  // namespace settle
