// Clauses over binary variables: what the stable states of a circuit have to satisfy.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <span>
#include <vector>

namespace settle {

/// Twice the number of a variable, plus 1 for its complement. Variable 0 is the constant 1.
using Literal = std::uint32_t;
inline constexpr Literal literal_true = 0, literal_false = 1, no_literal = 0xffffffffu;

constexpr Literal opposite(Literal literal) { return literal ^ 1u; }
constexpr std::uint32_t variable_of(Literal literal) { return literal >> 1; }
constexpr Literal literal_of(std::uint32_t variable, bool positive = true) {
  return 2 * variable + (positive ? 0 : 1);
}

/// A conjunction of clauses, one after another in one array.
class ClauseSet {
 public:
  std::uint32_t add_variable() { return variables_++; }
  /// The constant, variable 0, is counted.
  std::uint32_t variable_count() const { return variables_; }
  std::uint32_t size() const { return static_cast<std::uint32_t>(start_.size()) - 1; }
  std::span<const Literal> clause(std::uint32_t index) const {
    return {literals_.data() + start_[index], literals_.data() + start_[index + 1]};
  }
  /// An empty clause was added: nothing satisfies the set.
  bool contradicts() const { return contradicts_; }

  /// Adds a clause; what is always satisfied is dropped, and so are literals that add nothing.
  void add(std::span<const Literal> literals);
  void add(std::initializer_list<Literal> literals) { add({literals.begin(), literals.size()}); }
  /// out = (all of the inputs are 1); 1 without inputs.
  void add_all(Literal out, std::span<const Literal> inputs);
  /// out = (an odd number of the inputs is 1). Needs further variables for more than three inputs.
  void add_parity(Literal out, std::span<const Literal> inputs);

  const std::vector<std::uint32_t>& starts() const { return start_; }
  const std::vector<Literal>& literals() const { return literals_; }

 private:
  void add_sum(std::span<const Literal> terms, bool odd);

  std::uint32_t variables_ = 1;
  std::vector<std::uint32_t> start_{0};
  std::vector<Literal> literals_;
  bool contradicts_ = false;
};

}  // namespace settle
