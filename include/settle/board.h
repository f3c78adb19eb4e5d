// Boards: chips as they are wired, turned into gates, and the way back from gates to pins.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "settle/catalogue.h"
#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/fault.h"
#include "settle/netlist.h"

namespace settle {

/// Does an open input read as 1? True of bipolar families (LS, ALS, AS, S, F), where a floating input lies
/// above the threshold; in the others its level is unknown.
bool floats_high(std::string_view family);

/// Turns each chip of a tree without errors into statements of its cell, one a gate, named U1_2 for gate 2
/// of U1, with the attributes part= and place=. Gates whose pins are all at rest are left out. What is wrong
/// with the wiring goes to `diagnostics`, with the pin's place: errors (unknown part, a pin that the package
/// has not, supply exchanged, outputs joined to each other, to an input of the cell or to a supply) and
/// warnings (idle-pin, no-power, open-pin, single-pin). Linear in pins and connections.
void place_chips(Netlist& netlist, const Catalogue& catalogue, Diagnostics& diagnostics);

/// One pin of a chip on a board, in terms of the flat circuit.
struct BoardPin {
  enum class Role : std::uint8_t { input, output, supply, ground, none };
  Role role = Role::none;
  std::uint32_t gate = 0;    ///< of the package, from 0; input, output
  std::uint32_t index = 0;   ///< input: which of the gate
  NetId net = no_id;         ///< the constants stand for ground and supply; no_id: not connected
};

struct BoardChip {
  std::string name;              ///< "U1", with the path of its cell in front
  std::string part;              ///< "74HC02"
  const Part* type = nullptr;    ///< in the catalogue, which must outlive the board
  bool floats_high = false;      ///< open inputs read as 1
  std::vector<GateId> gates;     ///< of the circuit; no_id: at rest
  std::vector<GateId> outputs;   ///< gates that drive the output pins: those of `gates`, but with open-collector
                                 ///< outputs a three-state gate behind each, which pulls the pin to 0; no_id: at rest
  std::vector<BoardPin> pins;    ///< pin n is pins[n - 1]
};

struct Board {
  std::vector<BoardChip> chips;
};

/// The chips of a circuit whose tree went through place_chips(). Chips whose gates are all at rest are left out.
Board board_of(const Netlist& netlist, const Circuit& circuit, const Catalogue& catalogue);

/// The faults of a board: every pin without its wire, wires in neighbouring pins, in the same pin of another
/// gate and in another pin of the gate, exchanged wires, outputs and inputs that stay, nets joined (neighbouring
/// pins, and all pairs where there are few), chips of another kind in place, chips without power, buttons
/// inverted or exchanged. Places are the nets and each wired pin. Gates of the circuit that are on no chip of the
/// board keep the faults of gate_faults() without a place on a chip: none but shorts.
FaultModel board_faults(const Circuit& circuit, const Board& board, const Catalogue& catalogue, const FaultLimits& limits);

/// Is the net one that the netlist names? Else it is the output of a gate that was left open.
inline bool is_named(const Circuit& circuit, NetId net) {
  return net < circuit.names().nets.size() && circuit.names().nets[net].name != no_symbol;
}

/// "pin 5 of U1".
std::string pin_text(const BoardChip& chip, std::size_t pin);

}  // namespace settle
