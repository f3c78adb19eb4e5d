// Small seeded random numbers that are the same on every platform (the standard distributions are
// not). SplitMix64: Steele, Lea, Flood, OOPSLA 2014.
#pragma once

#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

namespace settle::testing {

class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t next() {
    std::uint64_t z = state_ += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
  }
  /// 0 ... bound - 1; 0 for bound 0.
  std::uint32_t below(std::uint32_t bound) {
    return bound == 0 ? 0 : static_cast<std::uint32_t>((next() >> 32) * bound >> 32);
  }
  /// least ... most, both included.
  std::uint32_t between(std::uint32_t least, std::uint32_t most) { return least + below(most - least + 1); }
  bool chance(std::uint32_t percent) { return below(100) < percent; }

  template <class T>
  const T& pick(const std::vector<T>& from) {
    return from[below(static_cast<std::uint32_t>(from.size()))];
  }
  template <class T>
  void shuffle(std::vector<T>& items) {
    for (std::size_t i = items.size(); i > 1; --i) {
      std::swap(items[i - 1], items[below(static_cast<std::uint32_t>(i))]);
    }
  }

 private:
  std::uint64_t state_;
};

}  // namespace settle::testing
