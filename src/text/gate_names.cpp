// The keywords of the built-in gate kinds and their numbers of inputs (IEEE Std 1364-2005, 7.2-7.4, 7.8).
#include <array>
#include <cstddef>

#include "settle/gate_kind.h"

namespace settle {
namespace {

constexpr std::array<std::string_view, gate_kind_count> kind_names = {
    "buf",    "not",    "and",    "nand",   "or",     "nor",    "xor",
    "xnor",   "bufif0", "bufif1", "notif0", "notif1", "pullup", "pulldown",
};

}  // namespace

std::string_view name_of(GateKind kind) { return kind_names[static_cast<std::size_t>(kind)]; }

std::optional<GateKind> gate_kind_from(std::string_view name) {
  if (name.size() < 2 || name.size() > 8) return {};
  for (std::size_t i = 0; i < kind_names.size(); ++i) {
    if (kind_names[i] == name) return static_cast<GateKind>(i);
  }
  return {};
}

FanInRange fan_in_of(GateKind kind) {
  if (kind == GateKind::buf || kind == GateKind::not_) return {1, 1};
  if (is_three_state(kind)) return {2, 2};
  if (is_pull(kind)) return {0, 0};
  return {1, 0xffffff};
}

}  // namespace settle
