// The parts of the minimiser: all primes, the covering problem, and the recursive heuristic.
#pragma once

#include "settle/minimise.h"

namespace settle {

/// All prime implicants of a function whose allowed vectors are given, `on` and don't-cares
/// together; only those that cover some vector of `on`. Not complete when there are more than `limit`,
/// or when `stop` was set.
std::vector<Cube> prime_implicants(unsigned variables, const FunctionBits& on, const FunctionBits& allowed,
                                   std::size_t limit, const std::atomic<bool>* stop, bool& complete);

/// Fewest cubes, then fewest literals, that cover all of `on`. No cover once `stop` is set.
Minimised cover_with(std::span<const Cube> primes, unsigned variables, const FunctionBits& on,
                     std::uint64_t search_steps, const std::atomic<bool>* stop);

/// Irredundant prime cover between `on` and `allowed`, in one recursive pass. No cover once `stop` is set.
std::vector<Cube> irredundant_cover(unsigned variables, const FunctionBits& on, const FunctionBits& allowed,
                                    const std::atomic<bool>* stop);

}  // namespace settle
