// Two-level minimiser: functions of a few variables as short sums of products, and as text.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace settle {

/// Bits of a function: bit i % 64 of word i / 64 belongs to input vector i, the variables read as a
/// binary number, first variable most significant. At least one word; unused bits are ignored.
using FunctionBits = std::vector<std::uint64_t>;

inline constexpr unsigned most_function_variables = 28;

/// Words that hold the bits of a function.
constexpr std::size_t function_words(unsigned variables) {
  return variables <= 6 ? 1 : std::size_t{1} << (variables - 6);
}

/// A product of variables and their complements. Bits as in a vector index: variable v of n has
/// bit n - 1 - v. `value` is zero outside `care`.
struct Cube {
  std::uint32_t care = 0;   ///< variables that occur
  std::uint32_t value = 0;  ///< those that occur uncomplemented
  bool covers(std::uint32_t vector) const { return (vector & care) == value; }
  bool operator==(const Cube&) const = default;
};

/// "0-1": one character for each variable, first variable first; - when it does not occur.
std::string cube_text(Cube cube, unsigned variables);

struct MinimiseOptions {
  unsigned exact_variables = 12;        ///< up to here all prime implicants are looked at
  std::uint64_t search_steps = 20'000;  ///< of the branch and bound that follows
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// A sum of products.
struct Minimised {
  std::vector<Cube> cubes;  ///< prime and irredundant, ascending by `value`, then `care`
  bool minimal = false;     ///< proved: no sum has fewer products, nor as many with fewer literals
  bool complete = true;     ///< false: stopped from outside; there are no cubes then
};

/// A short sum of products that is 1 wherever `on` is, and nowhere else but in `dont_care` (which
/// may be empty: none, and whose bits count only where `on` is 0). Deterministic. The sum is
/// always irredundant and its products are prime; up to `exact_variables` it is minimal as a rule.
/// Quine 1952 and McCluskey 1956; above that Morreale 1970, Minato 1993.
Minimised minimise(unsigned variables, const FunctionBits& on, const FunctionBits& dont_care = {},
                   const MinimiseOptions& options = {});

/// How equations are written in all texts.
struct EquationStyle {
  std::string_view and_sign = " ";   ///< between the factors of a product
  std::string_view or_sign = " + ";  ///< between products
};

/// "read lever + read' seen": names side by side are all 1, ' is the complement, + is or. "0" for
/// no product, "1" for the empty one. Products stand in the order of their first names, the
/// uncomplemented before the complemented.
std::string equation_text(std::span<const Cube> cubes, std::span<const std::string> names,
                          const EquationStyle& style = {});

}  // namespace settle
