// Sixty-four input vectors a word: vector v of a word is its bit v.
#pragma once

#include <array>
#include <cstdint>

namespace settle {

/// Element b: the vectors of a word in which variable bit b is 1.
inline constexpr std::array<std::uint64_t, 6> vectors_with = {
    0xaaaaaaaaaaaaaaaa, 0xcccccccccccccccc, 0xf0f0f0f0f0f0f0f0,
    0xff00ff00ff00ff00, 0xffff0000ffff0000, 0xffffffff00000000};

}  // namespace settle
