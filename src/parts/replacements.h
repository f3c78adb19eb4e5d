// Ways to build a gate from others.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/gate_kind.h"
#include "settle/wiring.h"

namespace settle {

/// A kind of gate with so many inputs.
struct GateNeed {
  GateKind kind = GateKind::buf;
  std::uint32_t inputs = 1;
  auto operator<=>(const GateNeed&) const = default;
};

/// "2-input nor", "not".
std::string text_of(const GateNeed& need);

/// One gate of a way: what it is, and where its inputs come from.
struct WayGate {
  static constexpr int zero = -1, one = -2;  ///< constants
  static constexpr int first_step = 1000;    ///< first_step + k: the output of gate k of the way
  GateNeed need;
  std::vector<int> inputs;  ///< below first_step: an input of the gate that is built
};

/// One way to build a gate; the last gate gives the result. A way of several gates names needs, each of
/// which may be met in another way again; a way of one gate is a gate of a package.
struct Way {
  Substitute level = Substitute::none;
  std::vector<WayGate> gates;
  std::string text;      ///< "from a 2-input nor with its inputs tied"
  bool reduces = false;  ///< the gate without its repeated inputs: see without_repeats()
};

/// All ways considered to build `need`, its own kind first. `packages` are the gates that there are chips of.
/// Those of level `full` may need gates that no chip has.
std::vector<Way> ways_of(const GateNeed& need, const std::vector<GateNeed>& packages, Substitute level);

/// A gate whose inputs are partly joined or constant, as the smaller gate that it is; itself otherwise.
/// `inputs` become those of the smaller one. Only for and, nand, or, nor; at least one input stays.
GateNeed without_repeats(const GateNeed& need, std::vector<WireNetId>& inputs);

/// Do the gates of a way have the truth table of `need`? Tries all inputs; false above 16 of them.
bool has_function(const Way& way, const GateNeed& need);

}  // namespace settle
