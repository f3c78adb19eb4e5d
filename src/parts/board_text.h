// The board in our own language.
#pragma once

#include <string>
#include <vector>

#include "settle/wiring.h"

namespace settle {

/// Names for the language: flat names have dots in them.
class BoardText {
 public:
  BoardText(const Wiring& wiring, const Circuit& circuit);
  /// "keep_occupied"; "0" and "1" for ground and supply.
  const std::string& net(WireNetId net) const { return nets_[net]; }
  /// A cell: pins, then `body`, then what the circuit has beside gates: pull resistors, pins that share a
  /// net.
  std::string cell(const std::string& body) const;

 private:
  std::vector<std::string> nets_;
  std::string head_, tail_;
};

/// The gates of the packages as they are wired, as a cell of gates.
std::string board_gates_text(const Wiring& wiring, const Circuit& circuit);

/// Compares the board's gates with the circuit.
Comparison prove_board(const Wiring& wiring, const Circuit& circuit, const CompareOptions& options);

}  // namespace settle
