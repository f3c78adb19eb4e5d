// Two-level minimisation: chooses between the exact way and the recursive one.
//
// Exact (up to a dozen variables): all prime implicants, then the smallest set of them that covers
// the function: W. V. Quine, "The Problem of Simplifying Truth Functions", Amer. Math. Monthly 59
// (1952); E. J. McCluskey, "Minimization of Boolean Functions", Bell System Tech. J. 35 (1956).
// Heuristic: irredundant_cover().
#include "settle/minimise.h"

#include <algorithm>
#include <bit>
#include <cassert>

#include "analysis/prime_cover.h"
#include "settle/progress.h"

namespace settle {
namespace {

constexpr std::size_t prime_limit = 20'000;

FunctionBits trimmed(unsigned variables, FunctionBits bits) {
  bits.resize(function_words(variables), 0);
  if (variables < 6) bits[0] &= (std::uint64_t{1} << (1u << variables)) - 1;
  return bits;
}

/// Every vector of `on` is covered, none outside `allowed`.
[[maybe_unused]] bool is_cover(unsigned variables, std::span<const Cube> cubes, const FunctionBits& on,
                               const FunctionBits& allowed) {
  FunctionBits covered(on.size(), 0);
  const std::uint32_t all = (1u << variables) - 1;
  for (const Cube cube : cubes) {
    const std::uint32_t free = all & ~cube.care;
    for (std::uint32_t sub = free;; sub = (sub - 1) & free) {
      const std::uint32_t vector = cube.value | sub;
      covered[vector >> 6] |= std::uint64_t{1} << (vector & 63);
      if (sub == 0) break;
    }
  }
  for (std::size_t i = 0; i < on.size(); ++i) {
    if ((on[i] & ~covered[i]) != 0 || (covered[i] & ~allowed[i]) != 0) return false;
  }
  return true;
}

}  // namespace

Minimised minimise(unsigned variables, const FunctionBits& on_bits, const FunctionBits& dont_care,
                   const MinimiseOptions& options) {
  assert(variables <= most_function_variables);
  const FunctionBits on = trimmed(variables, on_bits);
  FunctionBits allowed = trimmed(variables, dont_care);
  for (std::size_t i = 0; i < on.size(); ++i) allowed[i] |= on[i];

  Minimised result;
  bool done = false;
  if (variables <= std::min(options.exact_variables, 14u)) {
    bool complete = true;
    const auto primes = prime_implicants(variables, on, allowed, prime_limit, options.stop, complete);
    if (complete) {
      result = cover_with(primes, variables, on, options.search_steps, options.stop);
      done = true;
    }
  }
  if (!done) result.cubes = irredundant_cover(variables, on, allowed, options.stop);
  if (is_set(options.stop)) result = {{}, false, false};
  if (!result.complete) return result;
  std::sort(result.cubes.begin(), result.cubes.end(),
            [](Cube a, Cube b) { return a.value != b.value ? a.value < b.value : a.care < b.care; });
  assert(is_cover(variables, result.cubes, on, allowed));
  return result;
}

}  // namespace settle
