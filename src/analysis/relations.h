// Clauses over few variables, gathered into relations that a table propagates.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/clauses.h"

namespace settle {

/// The clauses of a set: those of up to four literals as relations among up to four variables (a gate
/// of up to three inputs becomes one), the others as they are. Clauses of one literal are left to the
/// caller.
class Relations {
 public:
  static constexpr std::size_t pins = 4;

  struct Relation {
    std::array<std::uint32_t, pins> variable;  ///< the constant, variable 0, where there are fewer
    std::uint32_t table;
  };

  /// What the values of a relation's variables entail. Values are 0, 1 or 2 (unknown).
  struct Entry {
    enum class State : std::uint8_t { open, holds, impossible };
    std::uint8_t forced;   ///< a bit for each pin that has one value left
    std::uint8_t values;   ///< these values
    State state;           ///< holds: whatever the unknown ones are
    std::uint8_t worth;    ///< much where little is left open, 0 if something is forced or all is decided
  };
  /// By value of the first pin, plus 3 times that of the second, and so on.
  using Table = std::array<Entry, 81>;

  explicit Relations(const ClauseSet& clauses);

  std::span<const Relation> all() const { return relations_; }
  const Table* tables() const { return tables_.data(); }
  /// Clauses of five literals and more, by number.
  std::uint32_t wide_count() const { return static_cast<std::uint32_t>(wide_start_.size()) - 1; }
  std::span<const Literal> wide_clause(std::uint32_t index) const {
    return {wide_literals_.data() + wide_start_[index], wide_literals_.data() + wide_start_[index + 1]};
  }

 private:
  std::vector<Relation> relations_;
  std::vector<Table> tables_;
  std::vector<std::uint32_t> wide_start_{0};
  std::vector<Literal> wide_literals_;
};

}  // namespace settle
