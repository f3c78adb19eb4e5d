#include "settle/big_count.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>

namespace settle {
namespace {

void trim(std::vector<std::uint32_t>& limbs) {
  while (!limbs.empty() && limbs.back() == 0) limbs.pop_back();
}

}  // namespace

BigCount::BigCount(std::uint64_t value)
    : odd_{static_cast<std::uint32_t>(value), static_cast<std::uint32_t>(value >> 32)} {
  normalise();
}

void BigCount::normalise() {
  trim(odd_);
  if (odd_.empty()) {
    twos_ = 0;
    return;
  }
  std::size_t limbs = 0;
  while (odd_[limbs] == 0) ++limbs;
  odd_.erase(odd_.begin(), odd_.begin() + static_cast<std::ptrdiff_t>(limbs));
  const int bits = std::countr_zero(odd_[0]);
  twos_ += 32 * limbs + static_cast<std::uint64_t>(bits);
  if (bits == 0) return;
  for (std::size_t i = 0; i < odd_.size(); ++i) {
    const std::uint32_t above = i + 1 < odd_.size() ? odd_[i + 1] : 0;
    odd_[i] = (odd_[i] >> bits) | (above << (32 - bits));
  }
  trim(odd_);
}

std::vector<std::uint32_t> BigCount::shifted(std::uint64_t twos) const {
  std::vector<std::uint32_t> result(static_cast<std::size_t>(twos / 32), 0);
  const int bits = static_cast<int>(twos % 32);
  std::uint32_t carry = 0;
  for (const std::uint32_t limb : odd_) {
    result.push_back((limb << bits) | carry);
    carry = bits == 0 ? 0 : limb >> (32 - bits);
  }
  result.push_back(carry);
  trim(result);
  return result;
}

BigCount& BigCount::operator+=(const BigCount& other) {
  if (other.is_zero()) return *this;
  if (is_zero()) return *this = other;
  const std::uint64_t common = std::min(twos_, other.twos_);
  std::vector<std::uint32_t> sum = shifted(twos_ - common);
  const std::vector<std::uint32_t> add = other.shifted(other.twos_ - common);
  sum.resize(std::max(sum.size(), add.size()) + 1, 0);
  std::uint64_t carry = 0;
  for (std::size_t i = 0; i < sum.size(); ++i) {
    carry += std::uint64_t{sum[i]} + (i < add.size() ? add[i] : 0);
    sum[i] = static_cast<std::uint32_t>(carry);
    carry >>= 32;
  }
  odd_ = std::move(sum);
  twos_ = common;
  normalise();
  return *this;
}

BigCount& BigCount::operator*=(const BigCount& other) {
  std::vector<std::uint32_t> product(odd_.size() + other.odd_.size(), 0);
  for (std::size_t i = 0; i < odd_.size(); ++i) {
    std::uint64_t carry = 0;
    for (std::size_t k = 0; k < other.odd_.size(); ++k) {
      carry += product[i + k] + std::uint64_t{odd_[i]} * other.odd_[k];
      product[i + k] = static_cast<std::uint32_t>(carry);
      carry >>= 32;
    }
    product[i + other.odd_.size()] = static_cast<std::uint32_t>(carry);
  }
  twos_ += other.twos_;
  odd_ = std::move(product);
  normalise();
  return *this;
}

std::optional<std::uint64_t> BigCount::log2() const {
  if (odd_.size() != 1 || odd_[0] != 1) return std::nullopt;
  return twos_;
}

std::optional<std::uint64_t> BigCount::small() const {
  if (is_zero()) return 0;
  if (odd_.size() > 2) return std::nullopt;
  const std::uint64_t odd = odd_[0] | (odd_.size() == 2 ? std::uint64_t{odd_[1]} << 32 : 0);
  if (twos_ > static_cast<std::uint64_t>(std::countl_zero(odd))) return std::nullopt;
  return odd << twos_;
}

std::string BigCount::decimal() const {
  std::vector<std::uint32_t> rest = shifted(twos_);
  std::vector<std::uint32_t> blocks;   // nine digits each, lowest first
  while (!rest.empty()) {
    std::uint64_t carry = 0;
    for (std::size_t i = rest.size(); i-- > 0;) {
      carry = (carry << 32) | rest[i];
      rest[i] = static_cast<std::uint32_t>(carry / 1'000'000'000);
      carry %= 1'000'000'000;
    }
    blocks.push_back(static_cast<std::uint32_t>(carry));
    trim(rest);
  }
  if (blocks.empty()) return "0";
  std::string digits = fmt::format("{}", blocks.back());
  for (std::size_t i = blocks.size() - 1; i-- > 0;) digits += fmt::format("{:09}", blocks[i]);
  return digits;
}

std::string BigCount::text() const {
  if (const auto value = small(); value && *value <= 1'000'000) return fmt::format("{}", *value);
  if (const auto exponent = log2()) return fmt::format("2^{}", *exponent);
  const std::string digits = decimal();
  if (digits.size() <= 30) return digits;
  return fmt::format("about {}.{}e{}", digits[0], digits[1], digits.size() - 1);
}

BigCount power(BigCount base, std::uint64_t exponent) {
  BigCount result = 1;
  for (; exponent != 0; exponent >>= 1) {
    if ((exponent & 1u) != 0) result *= base;
    if (exponent > 1) base *= base;
  }
  return result;
}

}  // namespace settle
