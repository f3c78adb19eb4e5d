// The board that `settle wire` would build, as a circuit of its own.
#pragma once

#include <optional>
#include <vector>

#include "settle/board.h"
#include "settle/wiring.h"

namespace settle {

struct WiredBoard {
  Circuit circuit;                 ///< of the board's gates
  Board board;
  std::vector<NetId> net_of;       ///< by net of the circuit that was wired: the board's, or no_id
};

/// Reads as_built_text() back. `catalogue` is the one of the wiring, and must outlive the result. Nothing when
/// the wiring cannot be said in the language, which is a bug.
std::optional<WiredBoard> wired_board(const Circuit& circuit, const Wiring& wiring, const Catalogue& catalogue);

}  // namespace settle
