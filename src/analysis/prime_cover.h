// The parts of the minimiser: all primes, the covering problem, and the recursive heuristic.
#pragma once

#include "settle/minimise.h"

namespace settle {

/// All prime implicants of a function whose allowed vectors are given, `on` and don't-cares
/// together; only those that cover some vector of `on`. Nothing when there are more than `limit`.
std::vector<Cube> prime_implicants(unsigned variables, const FunctionBits& on, const FunctionBits& allowed,
                                   std::size_t limit, bool& complete);

/// Fewest cubes, then fewest literals, that cover all of `on`.
Minimised cover_with(std::span<const Cube> primes, unsigned variables, const FunctionBits& on,
                     std::uint64_t search_steps);

/// Irredundant prime cover between `on` and `allowed`, in one recursive pass.
std::vector<Cube> irredundant_cover(unsigned variables, const FunctionBits& on, const FunctionBits& allowed);

}  // namespace settle
