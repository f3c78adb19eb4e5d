// The covering problem of the exact minimiser: fewest primes that cover the function.
//
// Steps: (1) essential primes, and dominated primes and vectors left out, until nothing changes
// (McCluskey 1956); (2) a greedy cover; (3) branch and bound on what is left, at most a given number
// of steps, with a lower bound from vectors no two of which share a prime.
// Invariants: `uncovered` vectors are covered by no chosen prime; a prime is `live` while it may still be
// chosen. Cost counts a product as 1000 and a literal as 1, so that products come first.
#include <algorithm>
#include <bit>
#include <limits>

#include "analysis/prime_cover.h"
#include "settle/progress.h"

namespace settle {
namespace {

using Word = std::uint64_t;
using Bits = std::vector<Word>;
using Index = std::uint32_t;

constexpr std::uint64_t product_cost = 1000;
constexpr std::size_t dominance_limit = 3000;  // primes; above, comparing all pairs takes too long
constexpr std::size_t search_vectors = 400;    // uncovered vectors that branch and bound may start with

bool test(const Bits& bits, std::size_t i) { return (bits[i >> 6] >> (i & 63) & 1) != 0; }
void put(Bits& bits, std::size_t i) { bits[i >> 6] |= Word{1} << (i & 63); }
void remove(Bits& bits, std::size_t i) { bits[i >> 6] &= ~(Word{1} << (i & 63)); }
void subtract(Bits& bits, const Bits& other) {
  for (std::size_t i = 0; i < bits.size(); ++i) bits[i] &= ~other[i];
}
bool none(const Bits& bits) {
  return std::all_of(bits.begin(), bits.end(), [](Word w) { return w == 0; });
}
std::size_t count_both(const Bits& a, const Bits& b) {
  std::size_t count = 0;
  for (std::size_t i = 0; i < a.size(); ++i) count += static_cast<std::size_t>(std::popcount(a[i] & b[i]));
  return count;
}
/// a within mask is a subset of b.
bool within(const Bits& a, const Bits& mask, const Bits& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    if ((a[i] & mask[i] & ~b[i]) != 0) return false;
  }
  return true;
}
template <class Visit>
void for_each(const Bits& bits, const Visit& visit) {
  for (std::size_t i = 0; i < bits.size(); ++i) {
    for (Word w = bits[i]; w != 0; w &= w - 1)
      visit(static_cast<Index>(i * 64 + static_cast<std::size_t>(std::countr_zero(w))));
  }
}

class CoverSearch {
 public:
  CoverSearch(std::span<const Cube> primes, unsigned variables, const FunctionBits& on,
              const std::atomic<bool>* stop)
      : primes_(primes), stop_(stop) {
    std::vector<std::uint32_t> vectors;
    for_each(on, [&](Index v) { vectors.push_back(v); });
    covered_.assign(primes.size(), Bits((vectors.size() + 63) / 64, 0));
    by_vector_.resize(vectors.size());
    std::vector<Index> number(std::size_t{1} << variables);
    for (Index i = 0; i < vectors.size(); ++i) number[vectors[i]] = i;
    const std::uint32_t all = (1u << variables) - 1;
    for (Index p = 0; p < primes.size() && !is_set(stop_); ++p) {
      const std::uint32_t free = all & ~primes[p].care;
      for (std::uint32_t sub = free;; sub = (sub - 1) & free) {
        const std::uint32_t v = primes[p].value | sub;
        if (test(on, v)) {
          put(covered_[p], number[v]);
          by_vector_[number[v]].push_back(p);
        }
        if (sub == 0) break;
      }
    }
    open_.assign((vectors.size() + 63) / 64, 0);
    for (Index i = 0; i < vectors.size(); ++i) put(open_, i);
    live_.assign((primes.size() + 63) / 64, 0);
    for (Index p = 0; p < primes.size(); ++p) put(live_, p);
  }

  Minimised run(std::uint64_t steps) {
    reduce();
    Minimised result;
    bool proved = none(open_);
    std::vector<Index> rest;
    if (!proved) {
      rest = greedy();
      std::size_t uncovered = 0;
      for_each(open_, [&](Index) { ++uncovered; });
      if (uncovered <= search_vectors) {
        best_ = rest;
        best_cost_ = cost(rest);
        steps_ = steps;
        branch(open_, 0);
        proved = steps_ != 0;
        rest = best_;
      }
    }
    if (is_set(stop_)) {
      result.complete = false;
      return result;
    }
    for (const Index p : chosen_) result.cubes.push_back(primes_[p]);
    for (const Index p : rest) result.cubes.push_back(primes_[p]);
    result.minimal = proved;
    return result;
  }

 private:
  std::uint64_t cost(Index prime) const {
    return product_cost + static_cast<std::uint64_t>(std::popcount(primes_[prime].care));
  }
  std::uint64_t cost(const std::vector<Index>& primes) const {
    std::uint64_t sum = 0;
    for (const Index p : primes) sum += cost(p);
    return sum;
  }
  void choose(Index prime) {
    chosen_.push_back(prime);
    remove(live_, prime);
    subtract(open_, covered_[prime]);
  }

  void reduce() {
    for (bool changed = true; changed && !none(open_) && !is_set(stop_);) {
      changed = choose_essential();
      changed |= drop_primes();
      changed |= drop_vectors();
    }
  }

  // A vector with one live prime leaves no choice.
  bool choose_essential() {
    bool changed = false;
    for (Index v = 0; v < by_vector_.size(); ++v) {
      if (!test(open_, v)) continue;
      Index only = 0, count = 0;
      for (const Index p : by_vector_[v]) {
        if (!test(live_, p)) continue;
        only = p;
        if (++count == 2) break;
      }
      if (count != 1) continue;
      choose(only);
      changed = true;
    }
    return changed;
  }

  std::vector<Index> live_primes() const {
    std::vector<Index> list;
    for_each(live_, [&](Index p) { list.push_back(p); });
    return list;
  }

  // A prime that covers no more uncovered vectors than another that costs no more.
  bool drop_primes() {
    bool changed = false;
    auto list = live_primes();
    std::erase_if(list, [&](Index p) {
      const bool useless = count_both(covered_[p], open_) == 0;
      if (useless) remove(live_, p);
      return useless;
    });
    if (list.size() > dominance_limit) return false;
    for (const Index p : list) {
      if (is_set(stop_)) return false;
      for (const Index q : list) {
        if (p == q || !test(live_, q) || cost(q) > cost(p)) continue;
        if (!within(covered_[p], open_, covered_[q])) continue;
        // Of equals the first stays.
        if (cost(p) == cost(q) && q > p && within(covered_[q], open_, covered_[p])) continue;
        remove(live_, p);
        changed = true;
        break;
      }
    }
    return changed;
  }

  // A vector that is covered whenever another one is.
  bool drop_vectors() {
    bool changed = false;
    std::vector<Index> list;
    for_each(open_, [&](Index v) { list.push_back(v); });
    if (list.size() > dominance_limit) return false;
    std::vector<Bits> primes(list.size(), Bits(live_.size(), 0));
    for (Index i = 0; i < list.size(); ++i) {
      for (const Index p : by_vector_[list[i]]) {
        if (test(live_, p)) put(primes[i], p);
      }
    }
    for (Index a = 0; a < list.size() && !is_set(stop_); ++a) {
      for (Index b = 0; b < list.size(); ++b) {
        if (a == b || !test(open_, list[b]) || !within(primes[b], live_, primes[a])) continue;
        if (b > a && primes[a] == primes[b]) continue;
        remove(open_, list[a]);
        changed = true;
        break;
      }
    }
    return changed;
  }

  // Most uncovered vectors first; then what turned out not to be needed is taken out again.
  std::vector<Index> greedy() const {
    std::vector<Index> picked;
    Bits uncovered = open_;
    const auto list = live_primes();
    while (!none(uncovered) && !is_set(stop_)) {
      Index best = list.front();
      std::size_t most = 0;
      for (const Index p : list) {
        const std::size_t count = count_both(covered_[p], uncovered);
        if (count < most || count == 0 || (count == most && cost(p) >= cost(best))) continue;
        most = count;
        best = p;
      }
      picked.push_back(best);
      subtract(uncovered, covered_[best]);
    }
    for (std::size_t i = picked.size(); i-- > 0 && !is_set(stop_);) {
      Bits needed = open_;
      for (std::size_t k = 0; k < picked.size(); ++k) {
        if (k != i) subtract(needed, covered_[picked[k]]);
      }
      if (none(needed)) picked.erase(picked.begin() + static_cast<std::ptrdiff_t>(i));
    }
    return picked;
  }

  // Vectors no two of which share a live prime need a prime each.
  std::uint64_t lower_bound(Bits uncovered) const {
    std::uint64_t bound = 0;
    for (std::size_t i = 0; i < uncovered.size(); ++i) {
      while (uncovered[i] != 0) {
        const auto v = i * 64 + static_cast<std::size_t>(std::countr_zero(uncovered[i]));
        remove(uncovered, v);
        std::uint64_t least = std::numeric_limits<std::uint64_t>::max();
        for (const Index p : by_vector_[v]) {
          if (!test(live_, p)) continue;
          least = std::min(least, cost(p));
          subtract(uncovered, covered_[p]);
        }
        bound += least;
      }
    }
    return bound;
  }

  // The depth is at most search_vectors: each level covers an uncovered vector.
  void branch(const Bits& uncovered, std::uint64_t spent) {
    if (none(uncovered)) {
      if (spent < best_cost_) {
        best_cost_ = spent;
        best_ = path_;
      }
      return;
    }
    if (steps_ == 0 || is_set(stop_)) return;
    --steps_;
    if (spent + lower_bound(uncovered) >= best_cost_) return;
    // The vector with the fewest primes.
    Index vector = 0;
    std::size_t fewest = std::numeric_limits<std::size_t>::max();
    for_each(uncovered, [&](Index v) {
      std::size_t count = 0;
      for (const Index p : by_vector_[v]) count += test(live_, p) ? 1 : 0;
      if (count < fewest) {
        fewest = count;
        vector = v;
      }
    });
    std::vector<std::pair<std::size_t, Index>> order;
    for (const Index p : by_vector_[vector]) {
      if (test(live_, p)) order.emplace_back(open_.size() * 64 - count_both(covered_[p], uncovered), p);
    }
    std::sort(order.begin(), order.end());
    for (const auto& [rank, p] : order) {
      Bits left = uncovered;
      subtract(left, covered_[p]);
      path_.push_back(p);
      branch(left, spent + cost(p));
      path_.pop_back();
    }
  }

  std::span<const Cube> primes_;
  const std::atomic<bool>* stop_;
  std::vector<Bits> covered_;                  // by prime: vectors of the function
  std::vector<std::vector<Index>> by_vector_;  // primes of each vector
  Bits open_, live_;
  std::vector<Index> chosen_, path_, best_;
  std::uint64_t best_cost_ = 0, steps_ = 0;
};

}  // namespace

Minimised cover_with(std::span<const Cube> primes, unsigned variables, const FunctionBits& on,
                     std::uint64_t search_steps, const std::atomic<bool>* stop) {
  return CoverSearch(primes, variables, on, stop).run(search_steps);
}

}  // namespace settle
