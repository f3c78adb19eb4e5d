// Natural numbers of any size, for counts of states.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace settle {

/// 0, 1, 2, ... without an upper end. Powers of two are kept apart, so that 2^1000000 is small.
class BigCount {
 public:
  BigCount(std::uint64_t value = 0);  // NOLINT: a number is a count

  BigCount& operator+=(const BigCount& other);
  BigCount& operator*=(const BigCount& other);
  friend BigCount operator+(BigCount a, const BigCount& b) { return a += b; }
  friend BigCount operator*(BigCount a, const BigCount& b) { return a *= b; }
  bool operator==(const BigCount&) const = default;

  bool is_zero() const { return odd_.empty(); }
  /// n where the number is 2^n.
  std::optional<std::uint64_t> log2() const;
  /// The number itself where it fits.
  std::optional<std::uint64_t> small() const;
  /// All decimal digits. Quadratic in their number.
  std::string decimal() const;
  /// For people: digits up to a million, "2^64" for powers of two, else digits up to 30 of them,
  /// then "about 1.2e45".
  std::string text() const;

 private:
  std::vector<std::uint32_t> shifted(std::uint64_t twos) const;   // odd_ * 2^twos
  void normalise();

  std::vector<std::uint32_t> odd_;   // lowest 32 bits first; empty for 0, else the lowest bit is 1
  std::uint64_t twos_ = 0;           // the number is odd_ * 2^twos_
};

/// n to the power of `exponent`.
BigCount power(BigCount base, std::uint64_t exponent);

}  // namespace settle
