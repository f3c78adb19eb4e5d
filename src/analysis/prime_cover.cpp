// All prime implicants of a function, many at a time.
//
// Idea: for each set of variables that occur (a mask of 2^n), one bit array tells for which values
// the product is an implicant. Leaving out variable b is the AND of the array with itself shifted by
// b. A product is prime when no product with one variable less contains it.
// Cost: 2^n masks of 2^n / 64 words each, n times; 12 variables need 2 MB and a few milliseconds.
// Source: the tabulation of Quine 1952 and McCluskey 1956 (see minimise.cpp), a word at a time.
#include "analysis/prime_cover.h"
#include "analysis/vector_words.h"
#include "settle/progress.h"

#include <array>
#include <bit>

namespace settle {
namespace {

using Word = std::uint64_t;

/// Values at which both halves (bit b of the value 0 and 1) are set, kept where bit b is 0.
void join_halves(std::span<const Word> from, unsigned b, std::span<Word> to) {
  if (b < 6) {
    for (std::size_t i = 0; i < from.size(); ++i) to[i] = from[i] & (from[i] >> (1u << b)) & ~vectors_with[b];
    return;
  }
  const std::size_t step = std::size_t{1} << (b - 6);
  for (std::size_t i = 0; i < from.size(); ++i) to[i] = (i & step) == 0 ? from[i] & from[i + step] : 0;
}

bool meets(Cube cube, unsigned variables, const FunctionBits& on) {
  const std::uint32_t free = ((1u << variables) - 1) & ~cube.care;
  for (std::uint32_t sub = free;; sub = (sub - 1) & free) {
    const std::uint32_t vector = cube.value | sub;
    if ((on[vector >> 6] >> (vector & 63) & 1) != 0) return true;
    if (sub == 0) return false;
  }
}

}  // namespace

std::vector<Cube> prime_implicants(unsigned variables, const FunctionBits& on, const FunctionBits& allowed,
                                   std::size_t limit, const std::atomic<bool>* stop, bool& complete) {
  const std::size_t words = function_words(variables);
  const std::uint32_t all = (1u << variables) - 1;
  // Array of the implicants in which exactly the variables of `care` occur, by value.
  std::vector<Word> implicants((std::size_t{all} + 1) * words);
  const auto of = [&](std::uint32_t care) {
    return std::span<Word>(implicants).subspan(care * words, words);
  };
  std::copy(allowed.begin(), allowed.end(), of(all).begin());
  std::vector<Cube> primes;
  complete = false;
  for (std::uint32_t care = all; care-- > 0;) {
    if (is_set(stop)) return primes;
    const auto b = static_cast<unsigned>(std::countr_zero(~care));
    join_halves(of(care | 1u << b), b, of(care));
  }
  for (std::uint32_t care = 0;; ++care) {
    if (is_set(stop)) return primes;
    for (std::size_t i = 0; i < words; ++i) {
      Word left = of(care)[i];
      while (left != 0) {
        const auto value = static_cast<std::uint32_t>(i * 64 + std::countr_zero(left));
        left &= left - 1;
        bool prime = true;
        for (std::uint32_t rest = care; prime && rest != 0; rest &= rest - 1) {
          const std::uint32_t bit = rest & (0u - rest);
          const std::uint32_t wider = value & ~bit;
          prime = (of(care & ~bit)[wider >> 6] >> (wider & 63) & 1) == 0;
        }
        if (!prime || !meets({care, value}, variables, on)) continue;
        if (primes.size() == limit) return primes;
        primes.push_back({care, value});
      }
    }
    if (care == all) break;
  }
  complete = true;
  return primes;
}

}  // namespace settle
