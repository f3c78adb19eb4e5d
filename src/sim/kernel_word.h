// One 64-bit word a gate: all that the kernel needs to evaluate it.
//
// Idea: a gate with n equal inputs is known from how many inputs are 1 and how many are unknown.
// Both counts lie in one word, so that a change of a net adds the same number to the word of each
// reader, whatever its kind, and the gate is evaluated from the word alone.
//
//   bits 40-63  inputs that are 1 or unknown, less the fan-in for and, nand, buf and not (mod 2^24)
//   bits 16-39  inputs that are unknown (x, or z, which a gate reads as x)
//   bits  0-15  flags
//
// Invariants: the upper 48 bits are a sum over the pins, so they are exact as long as the fan-in is
// below 2^24 (wider gates are marked slow and read their inputs one by one; an overflow never
// reaches the flags, since all that is added is a multiple of 2^16). For and: upper count 0 means
// that no input is 0. For or and xor: upper count less unknown count is the number of 1s.
// The lowest three bits are the drive that the gate is heading for: its youngest pending change, or
// its present output when none is pending.
#pragma once

#include <array>
#include <cstdint>

#include "settle/gate_kind.h"
#include "settle/value.h"

namespace settle::word {

inline constexpr std::uint64_t heading = 7;       // a Drive
inline constexpr std::uint64_t queued = 1u << 3;  // in Kernel::queue_
inline constexpr std::uint64_t marked = 1u << 4;  // used within make_unknown only
inline constexpr std::uint64_t inverts = 1u << 5;
inline constexpr std::uint64_t is_xor = 1u << 6;  // with is_or: both count ones
inline constexpr std::uint64_t is_or = 1u << 7;
inline constexpr std::uint64_t is_slow = 1u << 8;  // three-state, pull, or too wide: not from the word
inline constexpr std::uint64_t on_wire = 1u << 9;  // drives a shared wire: keeps half-known drives
inline constexpr std::uint64_t has_sleepers = 1u << 10;  // pins on long lines, not told of changes (kernel.cpp)
inline constexpr std::uint64_t may_sleep = 1u << 11;
inline constexpr std::uint64_t rests_high = 1u << 12;  // 1 when nothing is unknown and the upper count is 0 or even
inline constexpr unsigned unknown_shift = 16;
inline constexpr unsigned high_shift = 40;
inline constexpr std::uint64_t one_unknown = std::uint64_t{1} << unknown_shift;
inline constexpr std::uint64_t one_high = std::uint64_t{1} << high_shift;
inline constexpr std::uint64_t count_mask = 0xffffff;
inline constexpr std::uint32_t most_fan_in = 0xffffff;

/// What a pin with this value adds to the word.
constexpr std::uint64_t weight(Value value) {
  return value == Value::zero ? 0 : value == Value::one ? one_high : one_high + one_unknown;
}

/// delta[old][new]: what a change adds to the word of each reader.
inline constexpr auto delta = [] {
  std::array<std::array<std::uint64_t, 4>, 4> table{};
  for (unsigned from = 0; from < 4; ++from) {
    for (unsigned to = 0; to < 4; ++to) {
      table[from][to] = weight(static_cast<Value>(to)) - weight(static_cast<Value>(from));
    }
  }
  return table;
}();

/// The word of a gate none of whose inputs is counted yet, i.e. all are 0.
constexpr std::uint64_t start(GateKind kind, std::uint32_t fan_in) {
  const std::uint64_t no_zeros = std::uint64_t{0} - fan_in * one_high;
  std::uint64_t word = 0;
  switch (kind) {
    case GateKind::buf:
    case GateKind::and_: word = no_zeros | rests_high; break;
    case GateKind::not_:
    case GateKind::nand: word = no_zeros | inverts; break;
    case GateKind::or_: word = is_or; break;
    case GateKind::nor: word = is_or | inverts | rests_high; break;
    case GateKind::xor_: word = is_or | is_xor; break;
    case GateKind::xnor: word = is_or | is_xor | inverts | rests_high; break;
    default: word = is_slow; break;
  }
  return fan_in > most_fan_in ? word | is_slow : word;
}

/// Results in two bits each; index: or, xor, inverts, controlled or odd, any unknown.
inline constexpr std::uint64_t results = [] {
  std::uint64_t table = 0;
  for (unsigned index = 0; index < 32; ++index) {
    const bool odd_or_controlled = index & 2, unknown = index & 1;
    const bool inverted_result = index & 4, exclusive = index & 8, disjunction = index & 16;
    Value value = Value::x;
    if (exclusive) {
      if (!unknown) value = to_value(odd_or_controlled);
    } else if (odd_or_controlled) {
      value = to_value(disjunction);
    } else if (!unknown) {
      value = to_value(!disjunction);
    }
    if (inverted_result) value = inverted(value);
    table |= static_cast<std::uint64_t>(value) << (2 * index);
  }
  return table;
}();

/// Output value (0, 1 or x) of a gate that is not slow. The one branch is nearly always foretold: inputs
/// are unknown at the start of a run, and seldom later.
constexpr std::uint64_t evaluate(std::uint64_t word) {
  if ((word & (count_mask << unknown_shift)) == 0) [[likely]] {
    const std::uint64_t counted = word & (word & is_xor ? one_high : count_mask << high_shift);
    return ((word / rests_high) & 1) ^ std::uint64_t{counted != 0};
  }
  const std::uint64_t unknowns = (word >> unknown_shift) & count_mask;
  const std::uint64_t ones = (word >> high_shift) - (word & is_or ? unknowns : 0);
  const std::uint64_t counted = ones & (word & is_xor ? 1 : count_mask);
  // inverts, is_xor and is_or are bits 5 to 7: they come down to bits 2 to 4 of the index.
  const std::uint64_t index =
      ((word >> 3) & 0x1c) | (std::uint64_t{counted != 0} << 1) | std::uint64_t{unknowns != 0};
  return (results >> (2 * index)) & 3;
}

/// Does some input decide the output whatever the others are? Of and, or and their inversions.
constexpr bool is_held(std::uint64_t word) {
  const std::uint64_t unknowns = (word >> unknown_shift) & count_mask;
  return (((word >> high_shift) - (word & is_or ? unknowns : 0)) & count_mask) != 0;
}

/// What a pin adds that does not hold the gate.
constexpr std::uint64_t idle_weight(std::uint64_t word) { return word & is_or ? 0 : one_high; }

/// 1 if the gate's function is not what it is heading for, or cannot be told from the word; else 0.
constexpr std::uint64_t differs(std::uint64_t word) {
  return std::uint64_t{evaluate(word) != (word & heading)} | ((word / is_slow) & 1);
}

}  // namespace settle::word
