// One 64-bit word a gate: all that the kernel needs to evaluate it.
//
// Idea: a gate with n equal inputs is known from how many inputs are 1 and how many are unknown.
// Both counts lie in one word, so that a change of a net adds the same number to the word of each
// reader, whatever its kind, and the gate is evaluated from the word alone.
//
//   bits 40-63  inputs that are 1 or unknown, less the fan-in for and, nand, buf and not, less 1 for
//               xor and xnor (mod 2^24)
//   bits 18-39  inputs that are unknown (x, or z, which a gate reads as x)
//   bits  0-17  flags
//
// Invariants: the upper 46 bits are a sum over the pins, so they are exact as long as the fan-in is
// below 2^22 (wider gates are marked slow and read their inputs one by one; an overflow never
// reaches the flags, since all that is added is a multiple of 2^18). For and: upper count 0 means
// that no input is 0. For or and xor: upper count less unknown count is the number of 1s, for xor less 1.
//
// The short way: nearly always no input is unknown and the gate heads for 0 or 1. Then a gate of any
// kind, up to an exclusive or of two, rests when its upper count is 0, and gives one value at rest and
// the other else. The lowest two bits say for which of them it heads, so that one addition tells whether
// it has to go elsewhere (moves()). One test of the flags `unclear` tells when this does not hold.
#pragma once

#include <array>
#include <cstdint>

#include "settle/gate_kind.h"
#include "settle/value.h"

namespace settle::word {

inline constexpr std::uint64_t stance = 3;   // one of these three:
inline constexpr std::uint64_t queued = 0;   // in Kernel::queue_
inline constexpr std::uint64_t turned = 1;   // not queued
inline constexpr std::uint64_t at_rest = 3;  // not queued, and heads for its value at rest
// The Drive that the gate heads for: its youngest pending change, or its present output.
inline constexpr unsigned heading_shift = 2;
inline constexpr std::uint64_t heading = 7u << heading_shift;
inline constexpr std::uint64_t inverts = 1u << 5;
inline constexpr std::uint64_t is_xor = 1u << 6;  // with is_or: both count ones
inline constexpr std::uint64_t is_or = 1u << 7;
inline constexpr std::uint64_t is_slow = 1u << 8;  // three-state, pull, or too wide: not from the word
inline constexpr std::uint64_t on_wire = 1u << 9;  // drives a shared wire: keeps half-known drives
inline constexpr std::uint64_t has_sleepers = 1u << 10;  // pins on long lines, not told of changes (kernel.cpp)
inline constexpr std::uint64_t may_sleep = 1u << 11;
inline constexpr std::uint64_t rests_high = 1u << 12;  // 1 when nothing is unknown and the upper count is 0 or even
inline constexpr std::uint64_t marked = 1u << 13;      // used within make_unknown only
inline constexpr std::uint64_t is_wide_xor = 1u << 14;  // of more than two: at rest with other counts too
inline constexpr std::uint64_t one_visit = 1u << 15;    // a unit of `patience`
inline constexpr std::uint64_t patience = 7u << 15;     // visits before a pin may go to sleep again
inline constexpr unsigned unknown_shift = 18;
inline constexpr unsigned high_shift = 40;
inline constexpr std::uint64_t one_unknown = std::uint64_t{1} << unknown_shift;
inline constexpr std::uint64_t one_high = std::uint64_t{1} << high_shift;
inline constexpr std::uint64_t unknown_mask = (std::uint64_t{1} << (high_shift - unknown_shift)) - 1;
inline constexpr std::uint64_t count_mask = 0xffffff;
inline constexpr std::uint32_t most_fan_in = unknown_mask;
inline constexpr std::uint64_t unclear =
    unknown_mask << unknown_shift | 6u << heading_shift | is_slow | is_wide_xor;

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
    case GateKind::xor_: word = (is_or | is_xor | rests_high) - one_high; break;
    case GateKind::xnor: word = (is_or | is_xor | inverts) - one_high; break;
    default: word = is_slow; break;
  }
  if ((word & is_xor) && fan_in > 2) word |= is_wide_xor;
  return fan_in > most_fan_in ? word | is_slow : word;
}

/// Results in two bits each; index: or, xor, inverts, controlled or even, any unknown.
inline constexpr std::uint64_t results = [] {
  std::uint64_t table = 0;
  for (unsigned index = 0; index < 32; ++index) {
    const bool even_or_controlled = index & 2, unknown = index & 1;
    const bool inverted_result = index & 4, exclusive = index & 8, disjunction = index & 16;
    Value value = Value::x;
    if (exclusive) {
      if (!unknown) value = to_value(!even_or_controlled);
    } else if (even_or_controlled) {
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
  if ((word & (unknown_mask << unknown_shift)) == 0) [[likely]] {
    const std::uint64_t counted = word & (word & is_xor ? one_high : count_mask << high_shift);
    return ((word / rests_high) & 1) ^ std::uint64_t{counted != 0};
  }
  const std::uint64_t unknowns = (word >> unknown_shift) & unknown_mask;
  const std::uint64_t ones = (word >> high_shift) - (word & is_or ? unknowns : 0);
  const std::uint64_t counted = ones & (word & is_xor ? 1 : count_mask);
  // inverts, is_xor and is_or are bits 5 to 7: they come down to bits 2 to 4 of the index.
  const std::uint64_t index =
      ((word >> 3) & 0x1c) | (std::uint64_t{counted != 0} << 1) | std::uint64_t{unknowns != 0};
  return (results >> (2 * index)) & 3;
}

/// Does some input decide the output whatever the others are? Of and, or and their inversions.
constexpr bool is_held(std::uint64_t word) {
  const std::uint64_t unknowns = (word >> unknown_shift) & unknown_mask;
  return (((word >> high_shift) - (word & is_or ? unknowns : 0)) & count_mask) != 0;
}

/// What a pin adds that does not hold the gate.
constexpr std::uint64_t idle_weight(std::uint64_t word) { return word & is_or ? 0 : one_high; }

/// The Drive in the word.
constexpr std::uint64_t drive_in(std::uint64_t word) { return (word & heading) >> heading_shift; }

/// The word, not queued, that heads for a drive.
constexpr std::uint64_t heading_for(std::uint64_t word, std::uint64_t drive) {
  const bool rests = drive == ((word / rests_high) & 1);
  return (word & ~(heading | stance)) | drive << heading_shift | (rests ? at_rest : turned);
}

/// Is the gate's function not what it is heading for, or cannot be told from the word?
constexpr bool differs(std::uint64_t word) {
  return evaluate(word) != drive_in(word) || (word & is_slow) != 0;
}

/// 1 if differs() and the gate is not queued, else 0; only if nothing is `unclear`. With a count of 0,
/// 1 is added to the stance: its upper bit is then set for `turned`, and else for `at_rest`.
constexpr std::uint64_t moves_shortly(std::uint64_t word) {
  return ((word + std::uint64_t{word < one_high}) >> 1) & 1;
}

/// The lowest bits, heading and stance, of a word that is not `unclear`, evaluated: for a held gate, for
/// one at rest; then for gates that are 1 at rest.
inline constexpr std::uint64_t evaluated[4] = {1u << heading_shift | turned, at_rest, turned,
                                               1u << heading_shift | at_rest};
inline constexpr std::uint64_t lowest = heading | stance;

/// The place in `evaluated`.
constexpr std::uint64_t outcome(std::uint64_t word) {
  return ((word / (rests_high / 2)) & 2) + std::uint64_t{word < one_high};
}

/// What is left of a word that moves (1), or not (0).
inline constexpr std::uint64_t kept[2] = {~std::uint64_t{0}, ~stance};

}  // namespace settle::word
