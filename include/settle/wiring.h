// From the circuit to the board: which chips, which gate in which, and wire by wire.
#pragma once

#include <array>
#include <atomic>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/catalogue.h"
#include "settle/circuit.h"
#include "settle/compare.h"
#include "settle/diagnostic.h"
#include "settle/electrical.h"
#include "settle/netlist.h"

namespace settle {

/// How far gates may be replaced where that saves a chip.
enum class Substitute : std::uint8_t {
  none,  ///< not at all
  tied,  ///< by one other gate with inputs joined or at a constant
  full,  ///< by several gates too: AND from two NANDs, De Morgan's laws, wide gates from small ones
};
std::string_view name_of(Substitute level);

/// An indicator LED, as its data sheet says.
struct LedChoice {
  bool wanted = true;
  std::string colour = "red";
  double volts = 2.0;    ///< forward voltage
  double milliamps = 2;  ///< wanted current
};

struct WiringOptions {
  std::string family = "HC";  ///< for gates that name no part
  Substitute substitute = Substitute::tied;
  double supply = 5;       ///< volts
  LedChoice led;           ///< one at each output of the cell
  double button_ma = 0.5;  ///< current of a pressed button
  /// Subproblems of branch and bound; then the best placing found so far counts, within a proved bound.
  std::uint64_t place_steps = 20'000;
  bool prove = true;       ///< compare the board with the circuit when gates were replaced
  CompareOptions compare;
};

/// Number of a net of the board: index into Wiring::nets.
using WireNetId = std::uint32_t;
inline constexpr WireNetId ground_net = 0, supply_net = 1;

struct WireNet {
  std::string name;   ///< as in the circuit, "keep.occupied"; inner nets of replacements "GATE.1"
  NetId net = no_id;  ///< of the circuit; no_id for ground, supply and inner nets
};

/// One gate of a package.
struct WiredGate {
  GateId gate = no_id;            ///< of the circuit, or the one it helps to replace; no_id: at rest
  bool is_result = false;         ///< its output is the output of `gate`
  bool is_replacement = false;    ///< it stands for another kind of gate, or for a part of one
  std::vector<WireNetId> inputs;  ///< as in PartGate::inputs; constants stand for themselves
  WireNetId output = no_id;       ///< no_id: open
};

struct WiredChip {
  std::string name;              ///< "U1"
  std::string number;            ///< "7402"
  std::string family;            ///< "HC"
  std::size_t part = 0;          ///< index into Wiring::parts
  std::vector<WiredGate> gates;  ///< as many as the package has
  std::vector<WireNetId> pins;   ///< pin n is pins[n - 1]; no_id: open
  std::string part_text() const { return part_number_text(number, family); }
};

/// A gate of the circuit that is built in another way.
struct Replacement {
  GateId gate = 0;
  std::string text;    ///< "not from a 2-input nor with its inputs tied"
  unsigned gates = 1;  ///< of packages
};

/// A pull-up or pull-down gate of the circuit, a resistor on the board.
struct PullResistor {
  GateId gate = 0;
  WireNetId net = 0;
  bool to_supply = false;
  double ohms = 0;
};

/// One end of a wire.
struct WireEnd {
  enum class Kind : std::uint8_t { pin, supply_rail, ground_rail, input, output };
  Kind kind = Kind::pin;
  std::uint32_t chip = 0;    ///< pin: index into Wiring::chips
  std::uint32_t number = 0;  ///< pin: its number; input, output: the bit
};

struct Wire {
  WireNetId net = 0;
  WireEnd from, to;
};

/// Wires in the order of building.
struct WiringStep {
  std::string title;        ///< "Power", "Feedback of loop 1", ...
  std::string test;         ///< what to check before going on; may be empty
  std::vector<Wire> wires;  ///< grouped by net
};

struct BillLine {
  unsigned count = 0;
  std::string what;    ///< "74HC02"
  std::string remark;  ///< "four 2-input NOR gates: U1, U2"
};

/// What one output has to drive.
struct LoadCheck {
  WireNetId net = 0;
  std::uint32_t chip = 0, pin = 0;
  unsigned inputs = 0;              ///< pins of chips
  bool has_led = false;             ///< at an output of the cell
  bool led_lights_at_zero = false;  ///< between supply and output, since the output gives too little current
  double low_ma = 0, high_ma = 0;   ///< current at 0 and at 1, LED included
  double pf = 0;
  double low_limit = 0, high_limit = 0;
  bool is_good = true;
};

struct Wiring {
  WiringOptions options;
  std::vector<Part> parts;    ///< those in use
  std::vector<WireNet> nets;  ///< [0] is ground, [1] the supply
  std::vector<WiredChip> chips;
  std::vector<WireNetId> inputs, outputs;  ///< bits of the cell, in the order of the circuit
  std::vector<Replacement> replacements;
  std::vector<PullResistor> pulls;
  std::uint64_t chips_without_replacement = 0;  ///< fewest with Substitute::none; 0: not possible
  std::uint64_t lower_bound = 0;                ///< no placing of the kinds considered has fewer chips
  bool is_fewest = false;                       ///< chips.size() is that bound, proved
  /// Replacements: the board as gates against the circuit. Nothing when there are none or it was not asked
  /// for.
  std::optional<Comparison> proof;
  bool functions_checked = false;  ///< each replacement has its gate's truth table: all inputs tried
  std::vector<WiringStep> steps;
  std::vector<BillLine> bill;
  std::vector<LoadCheck> loads;     ///< in the order of chips and pins
  double led_ohms = 0;              ///< 0: no LED
  std::vector<double> button_ohms;  ///< by input bit
  std::vector<std::string> notes;   ///< findings in words
};

/// What a gate asks for in its attributes.
struct GateWish {
  std::string_view part;   ///< of {part=...}; empty: none
  std::string_view place;  ///< of {place=...}
};

/// The wishes of all gates; `netlist` is the tree that the circuit was made from. Parts asked for by whole
/// cells do not count: `warnings` says so.
std::vector<GateWish> wishes_of(const Netlist& netlist, const Circuit& circuit, Diagnostics& warnings);

/// Places all gates with the fewest chips, then works out wires, loads and resistors. Nothing after errors:
/// a kind of gate that no package has, an unknown part, impossible places.
///
/// The number of chips is the optimum over all ways to replace single gates that `substitute` allows
/// (docs/wire.md lists them); parts of replacements are not shared between gates.
std::optional<Wiring> wire_circuit(const Circuit& circuit, const std::vector<GateWish>& wishes,
                                   const Catalogue& catalogue, const WiringOptions& options,
                                   Diagnostics& diagnostics);

/// The board as a cell with `chip` statements, for compare and diagnose; pins in the order of their numbers.
std::string as_built_text(const Wiring& wiring, const Circuit& circuit);

}  // namespace settle
