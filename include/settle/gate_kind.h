// The built-in gate kinds: names, pins and functions as in IEEE Std 1364-2005, clause 7.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "settle/value.h"

namespace settle {

enum class GateKind : std::uint8_t {
  buf, not_, and_, nand, or_, nor, xor_, xnor,  // push-pull outputs
  bufif0, bufif1, notif0, notif1,               // three-state: data, control
  pullup, pulldown,                             // no input, pull strength
};

inline constexpr int gate_kind_count = 14;

/// The keyword in netlists, as in the standard: "nand", "bufif1", ...
std::string_view name_of(GateKind kind);

/// The kind of a keyword; nothing when `name` is no gate kind.
std::optional<GateKind> gate_kind_from(std::string_view name);

constexpr bool is_three_state(GateKind kind) {
  return kind >= GateKind::bufif0 && kind <= GateKind::notif1;
}
constexpr bool is_pull(GateKind kind) { return kind >= GateKind::pullup; }
constexpr bool is_push_pull(GateKind kind) { return kind < GateKind::bufif0; }

/// Number of input pins a kind can have. `most` is 0xffffff where there is no upper end.
struct FanInRange {
  std::uint32_t least;
  std::uint32_t most;
};
FanInRange fan_in_of(GateKind kind);

/// What a gate puts on its output wire for these input values.
/// `inputs.size()` must lie in fan_in_of(kind). Tables 7-3 (n-input), 7-4 (buf, not) and 7-5
/// (three-state) of IEEE 1364-2005; more inputs extend the table, xnor inverts once at the end.
Drive drive_of(GateKind kind, std::span<const Value> inputs);

/// drive_of() as the value of a net that only this gate drives.
inline Value evaluate(GateKind kind, std::span<const Value> inputs) {
  return to_value(drive_of(kind, inputs));
}

/// The value of a wire with several drivers: strong drivers by IEEE 1364-2005 Table 4-2 (wire),
/// half-known drives included; where the strong ones leave z or may leave z, the pull drivers
/// decide (clause 7.10 strength resolution, reduced to the four values).
Value resolve(std::span<const Drive> strong, std::span<const Drive> pull);

}  // namespace settle
