// The symbols of gates: distinctive shapes as in IEEE Std 91/91a-1991, or rectangles with qualifying symbols
// as in IEC 60617-12 (proportions and qualifying symbols from memory of both).
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/gate_kind.h"

namespace settle::draw {

enum class SymbolStyle : std::uint8_t { distinctive, rectangular };

/// All wires and pins lie on multiples of this, in pixels.
inline constexpr int grid = 10;

struct Point {
  int x = 0, y = 0;
  bool operator==(const Point&) const = default;
};

/// A gate's symbol with its left upper corner at the origin. All are equally wide, though what is drawn may be
/// narrower.
struct GateSymbol {
  int width = 0, height = 0;
  std::vector<int> inputs;  ///< y of each input
  int start = 0;            ///< x at which wires to the inputs end
  int output = 0;           ///< y of the output
  int end = 0;              ///< x at which the wire from the output begins
  std::string outline;      ///< SVG path: closed, to be filled with the colour of the paper
  std::string lines;        ///< SVG path: drawn as a line only
  std::vector<std::string> stubs;  ///< SVG path of each input, from where its wire ends to the body; may be empty
  std::string qualifier;    ///< text inside, such as "&"
  Point qualifier_at;       ///< middle of its baseline
  std::string second;       ///< another text inside, such as "EN"
  Point second_at;
};

/// `inputs` as many as the gate has.
GateSymbol gate_symbol(GateKind kind, std::uint32_t inputs, SymbolStyle style);

/// The inputs of the gate can be exchanged.
constexpr bool has_equal_inputs(GateKind kind) { return is_push_pull(kind); }

}  // namespace settle::draw
