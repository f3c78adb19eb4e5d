// A subnetwork of up to 64 gates whose states are single words, gate i in bit i.
#pragma once

#include <bit>
#include <cstdint>
#include <vector>

#include "analysis/subnetwork.h"

namespace settle {

class NarrowNetwork {
 public:
  explicit NarrowNetwork(const Subnetwork& network);

  std::uint32_t size() const { return size_; }
  std::uint64_t start() const { return start_; }

  /// The excited gates of a state. All gates of the kinds and, or, not and their like come down to
  /// one comparison: ((state ^ pattern) & mask) == 0, then perhaps inverted.
  std::uint64_t excited(std::uint64_t state) const {
    std::uint64_t next = 0;
    for (std::uint32_t i = 0; i < size_; ++i) {
      next |= std::uint64_t{((state ^ pattern_[i]) & mask_[i]) == 0} << i;
    }
    next ^= inverts_;
    if (has_special_) next = special(state, next);
    return next ^ state;
  }

  /// Some gate function is unknown in this state; cheap when no gate has an unknown pin.
  bool meets_unknown(std::uint64_t state) const { return has_unknown_ && finds_unknown(state); }

 private:
  struct Special {
    std::uint32_t gate;
    std::uint64_t mask;
    bool parity, inverts;
    std::vector<std::uint8_t> table;
    std::vector<std::uint32_t> inputs;
  };
  static std::uint32_t row_of(const Special& special, std::uint64_t state);
  std::uint64_t special(std::uint64_t state, std::uint64_t next) const;
  bool finds_unknown(std::uint64_t state) const;

  std::uint32_t size_ = 0;
  std::uint64_t start_ = 0, inverts_ = 0, unknown_pins_ = 0;
  bool has_special_ = false, has_unknown_ = false;
  std::vector<std::uint64_t> pattern_, mask_;
  std::vector<Special> special_;
};

}  // namespace settle
