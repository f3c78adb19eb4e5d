// 64 states of a subnetwork at once. Gate i is bit i of a state; gates 0 .. 5 number the lane within a
// block of 64 states, the others the block. An AND over a block is one comparison of the block's number,
// as for one state, and then a fixed word for the inputs that lie within the block.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <vector>

#include "analysis/subnetwork.h"

namespace settle {

using Lanes = std::uint64_t;  ///< a set of states of one block
using Block = std::uint32_t;

class BitmapNetwork {
 public:
  static constexpr std::uint32_t lane_gates = 6, most_gates = 32;
  using ByGate = std::array<Lanes, most_gates>;

  /// More than `lane_gates` gates, at most `most_gates`, and no function that can be unknown.
  static bool suits(const Subnetwork& network);
  explicit BitmapNetwork(const Subnetwork& network);

  std::uint32_t size() const { return size_; }
  std::uint64_t start() const { return start_; }
  std::size_t blocks() const { return std::size_t{1} << (size_ - lane_gates); }

  /// The states in which a gate's function is 1.
  Lanes function(std::uint32_t gate, Block block) const {
    const Function& f = functions_[gate];
    if (f.op == Subnetwork::Op::parity)
      return f.low ^ (Lanes{0} - static_cast<Lanes>(std::popcount(block & f.mask) & 1)) ^ f.inverts;
    if (f.op == Subnetwork::Op::table) return entry(f, block);
    return (f.low & (Lanes{0} - static_cast<Lanes>(((block ^ f.pattern) & f.mask) == 0))) ^ f.inverts;
  }
  /// Those in which its output is 1.
  static Lanes value(std::uint32_t gate, Block block) {
    return gate < lane_gates ? lanes_with[gate] : Lanes{0} - Lanes{(block >> (gate - lane_gates)) & 1u};
  }
  /// Those in which it is excited.
  void excited(Block block, ByGate& out) const {
    for (std::uint32_t gate = 0; gate < size_; ++gate) out[gate] = function(gate, block) ^ value(gate, block);
  }

  /// Where the gates of a move (its bits) take a block, and its lanes.
  static Block block_after(Block block, std::uint64_t move) {
    return block ^ static_cast<Block>(move >> lane_gates);
  }
  static Lanes lanes_after(Lanes lanes, std::uint64_t move) {
    for (std::uint64_t left = move & 63u; left != 0; left &= left - 1) {
      const auto gate = static_cast<std::size_t>(std::countr_zero(left));
      lanes = ((lanes & ~lanes_with[gate]) << (1u << gate)) | ((lanes & lanes_with[gate]) >> (1u << gate));
    }
    return lanes;
  }

 private:
  static constexpr std::array<Lanes, lane_gates> lanes_with{0xaaaaaaaaaaaaaaaau, 0xccccccccccccccccu,
                                                            0xf0f0f0f0f0f0f0f0u, 0xff00ff00ff00ff00u,
                                                            0xffff0000ffff0000u, 0xffffffff00000000u};
  struct Function {
    Subnetwork::Op op = Subnetwork::Op::all;
    Block pattern = 0, mask = 0;  // inputs of the block
    Lanes low = 0;                // what those within it make of it
    Lanes inverts = 0;            // all lanes or none
    std::vector<Block> high;      // of a table: its inputs of the block, one bit each
    std::vector<Lanes> entries;   // one for each combination of them
  };
  static Lanes entry(const Function& f, Block block) {
    std::size_t row = 0;
    for (std::size_t k = 0; k < f.high.size(); ++k) row |= std::size_t{(block & f.high[k]) != 0} << k;
    return f.entries[row];
  }
  static Function table_of(const Subnetwork& network, const Subnetwork::Gate& gate);

  std::uint32_t size_ = 0;
  std::uint64_t start_ = 0;
  std::vector<Function> functions_;
};

}  // namespace settle
