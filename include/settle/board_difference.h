// Where the wiring of a board departs from the cell it was to be.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "settle/board.h"
#include "settle/compare.h"

namespace settle {

struct PinDifference {
  std::string pin;      ///< "pin 5 of U1", or the gate and its input where there is no chip; empty: a missing gate
  std::string has;      ///< net, or "ground", "supply", "nothing"
  std::string wants;    ///< the same, in names of the board; empty: no net in particular
  std::string intended; ///< gate of the intended cell
  std::string sentence; ///< "pin 5 of U1 is on 'leave', but hold_b wants 'enter' there"
};

struct BoardDifference {
  std::vector<PinDifference> pins;
  bool is_least = false;     ///< no other pairing of the gates has fewer differences, proved
  std::uint64_t paired = 0;  ///< gates of the intended cell that have one on the board
};

struct BoardMatchLimits {
  std::uint64_t nodes = 200'000;  ///< of the search; above, the pairing is the best found
};

/// Pairs the gates of the board with those of the intended circuit so that as few pins as possible differ,
/// and lists those. Gates pair when they are of one kind, or one does what the other does (a NOR with tied
/// inputs is an inverter). `match` pairs the pins of the two cells, board first.
BoardDifference board_difference(const Circuit& board, const Board& chips, const Circuit& intended, const PinMatch& match,
                                 const BoardMatchLimits& limits = {});

}  // namespace settle
