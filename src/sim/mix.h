// Spreads a number over 64 bits: the finaliser of SplitMix64 (Steele, Lea, Flood, OOPSLA 2014).
#pragma once

#include <cstdint>

namespace settle {

constexpr std::uint64_t mix(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

}  // namespace settle
