// How faults lie in the lanes of a word.
#pragma once

#include "settle/lanes.h"

namespace settle {

constexpr unsigned reference_lane = 63;  ///< holds the intended circuit

/// Whoever looks at a place that nothing drives sees no clear level.
inline LaneWord without_z(LaneWord w) {
  const std::uint64_t z = ~(w.may_be_one | w.may_be_zero);
  return {w.may_be_one | z, w.may_be_zero | z};
}

}  // namespace settle
