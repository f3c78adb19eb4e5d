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
  class Entry {
   public:
    enum State : std::uint8_t { open, holds, impossible };

    Entry() = default;
    Entry(State state, std::uint32_t forced, std::uint32_t values, std::uint32_t worth)
        : packed_(static_cast<std::uint16_t>(forced | std::uint32_t{state == impossible} << 4 |
                                             std::uint32_t{state == holds} << 5 | values << 6 |
                                             worth << 10)) {}

    /// Something is forced, or it is impossible.
    bool acts() const { return (packed_ & 0x1fu) != 0; }
    bool is_impossible() const { return (packed_ & 0x10u) != 0; }
    /// Holds whatever the unknown ones are.
    bool is_satisfied() const { return (packed_ & 0x20u) != 0; }
    /// A bit for each pin that has one value left, and these values.
    std::uint32_t forced() const { return packed_ & 0xfu; }
    std::uint32_t values() const { return packed_ >> 6 & 0xfu; }
    /// 0 to 63: much where little is left open, 0 if something is forced or all is decided.
    std::uint32_t worth() const { return packed_ >> 10; }

   private:
    std::uint16_t packed_ = 0;
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
