// The four logic values of IEEE Std 1364-2005, clause 4.1, and what they combine to.
#pragma once

#include <cstdint>
#include <optional>

namespace settle {

/// One logic value. `x` is unknown, `z` is high impedance (nothing drives).
enum class Value : std::uint8_t {
  zero = 0,  ///< low
  one = 1,   ///< high
  x = 2,     ///< unknown: low or high
  z = 3,     ///< high impedance; a gate input reads it as x
};

/// What one gate output puts on a wire: the four values and the two half-known ones that a
/// three-state gate gives while its control is unknown (IEEE 1364-2005, clause 7.4, Table 7-5).
enum class Drive : std::uint8_t {
  zero = 0,
  one = 1,
  x = 2,
  z = 3,
  zero_or_z = 4,  ///< L in the standard's table
  one_or_z = 5,   ///< H in the standard's table
};

/// The character of a value in every text that settle reads or writes: 0 1 x z.
constexpr char to_char(Value value) { return "01xz"[static_cast<unsigned>(value)]; }

/// The value of a character 0 1 x X z Z; nothing for any other.
constexpr std::optional<Value> value_from_char(char c) {
  switch (c) {
    case '0': return Value::zero;
    case '1': return Value::one;
    case 'x': case 'X': return Value::x;
    case 'z': case 'Z': return Value::z;
    default: return std::nullopt;
  }
}

constexpr bool is_binary(Value value) { return value == Value::zero || value == Value::one; }

constexpr Value to_value(bool bit) { return bit ? Value::one : Value::zero; }

/// 0 and 1 swapped, anything else unknown.
constexpr Value inverted(Value value) {
  return value == Value::zero ? Value::one : value == Value::one ? Value::zero : Value::x;
}

/// How a gate input reads a net: z counts as x (IEEE 1364-2005, clause 7.2).
constexpr Value as_input(Value value) { return value == Value::z ? Value::x : value; }

/// Least upper bound in the order of information: equal values stay, different ones give x.
constexpr Value least_upper_bound(Value a, Value b) { return a == b ? a : Value::x; }

/// The value that a single driver gives its net; half-known drives read as x.
constexpr Value to_value(Drive drive) {
  return static_cast<unsigned>(drive) < 4 ? static_cast<Value>(drive) : Value::x;
}

}  // namespace settle
