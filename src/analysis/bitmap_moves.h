// The joint moves of 64 states at once, by the argument that stands in any_delay_narrow.cpp.
#pragma once

#include <atomic>
#include <vector>

#include "analysis/bitmap_network.h"
#include "analysis/joint_moves.h"

namespace settle {

class BitmapMoves {
 public:
  struct Joint {
    std::uint64_t move;  ///< gates that fire, as bits
    Lanes lanes;         ///< states to do it in
  };

  /// `stop`, when set from outside, ends a search for sets as if `budget` were used up.
  BitmapMoves(const Subnetwork& subnetwork, const BitmapNetwork& network, const std::atomic<bool>* stop);

  /// Those of the states `within` of a block; good until the next call. `excited`: of the block. Each
  /// set tried costs one of `budget`; what is found is not all when it comes down to 0.
  const std::vector<Joint>& find(Block block, const BitmapNetwork::ByGate& excited, Lanes within,
                                 std::uint64_t& budget);

 private:
  struct Pair {
    std::uint32_t gate, reader;
  };
  bool find_core(Block block, const BitmapNetwork::ByGate& excited, Lanes within);
  void keep(std::uint64_t set, Lanes lanes);
  std::uint64_t loop_of(std::uint32_t gate, std::uint64_t gates) const;
  void try_subsets(std::uint64_t loop, std::uint64_t& budget);

  const BitmapNetwork& network_;
  const std::atomic<bool>* stop_;
  std::vector<std::uint64_t> sets_, loops_;       // of JointMoves
  std::vector<std::uint64_t> readers_, read_by_;  // by gate: those that read it, those that it reads
  std::vector<Pair> pairs_;                       // gate and reader in one loop, by gate
  std::vector<std::uint32_t> first_pair_;         // by gate
  // --- of the block in hand
  std::vector<Lanes> disturbs_;   // by pair: the gate takes the reader's excitation away
  BitmapNetwork::ByGate core_{};  // by gate: it is in the core of these states
  std::uint64_t core_gates_ = 0;  // in the core of any
  std::vector<Joint> found_;
};

}  // namespace settle
