#include "analysis/bitmap_moves.h"

#include "settle/progress.h"

namespace settle {
namespace {

std::uint32_t lowest_gate(std::uint64_t set) { return static_cast<std::uint32_t>(std::countr_zero(set)); }

}  // namespace

BitmapMoves::BitmapMoves(const Subnetwork& subnetwork, const BitmapNetwork& network, const std::atomic<bool>* stop)
    : network_(network), stop_(stop), readers_(subnetwork.size(), 0), read_by_(subnetwork.size(), 0) {
  std::vector<std::uint64_t> together(subnetwork.size(), 0);  // by gate: gates in a set with it
  const auto mask = [&](const std::vector<std::uint32_t>& gates) {
    std::uint64_t m = 0;
    for (const std::uint32_t gate : gates) m |= std::uint64_t{1} << gate;
    for (const std::uint32_t gate : gates) together[gate] |= m;
    return m;
  };
  const JointMoves joint = find_joint_moves(subnetwork);
  for (const auto& set : joint.sets) sets_.push_back(mask(set));
  for (const auto& loop : joint.any_subset_of) loops_.push_back(mask(loop));
  for (std::uint32_t i = 0; i < subnetwork.size(); ++i) {
    const Subnetwork::Gate& gate = subnetwork.gates[i];
    for (std::uint32_t k = 0; k < gate.count; ++k) {
      const std::uint32_t from = subnetwork.inputs[gate.first + k];
      readers_[from] |= std::uint64_t{1} << i;
      read_by_[i] |= std::uint64_t{1} << from;
    }
  }
  for (std::uint32_t gate = 0; gate < subnetwork.size(); ++gate) {
    first_pair_.push_back(static_cast<std::uint32_t>(pairs_.size()));
    const std::uint64_t others = readers_[gate] & together[gate] & ~(std::uint64_t{1} << gate);
    for (std::uint64_t left = others; left != 0; left &= left - 1)
      pairs_.push_back({gate, lowest_gate(left)});
  }
  first_pair_.push_back(static_cast<std::uint32_t>(pairs_.size()));
  disturbs_.assign(pairs_.size(), 0);
}

bool BitmapMoves::find_core(Block block, const BitmapNetwork::ByGate& excited, Lanes within) {
  core_gates_ = 0;
  for (std::uint32_t gate = 0; gate < network_.size(); ++gate) {
    core_[gate] = 0;
    const Lanes here = excited[gate] & within;
    if (here == 0) continue;
    const std::uint64_t fired = std::uint64_t{1} << gate;
    for (std::uint32_t p = first_pair_[gate]; p < first_pair_[gate + 1]; ++p) {
      const std::uint32_t reader = pairs_[p].reader;
      disturbs_[p] = 0;
      const Lanes both = here & excited[reader];
      if (both == 0) continue;
      const Lanes after = BitmapNetwork::lanes_after(
          network_.function(reader, BitmapNetwork::block_after(block, fired)), fired);
      disturbs_[p] = both & ~(after ^ BitmapNetwork::value(reader, block));
      core_[gate] |= disturbs_[p];
    }
    if (core_[gate] != 0) core_gates_ |= fired;
  }
  for (bool smaller = true; smaller && core_gates_ != 0;) {
    smaller = false;
    for (std::uint64_t left = core_gates_; left != 0; left &= left - 1) {
      const std::uint32_t gate = lowest_gate(left);
      Lanes stays = 0;
      for (std::uint32_t p = first_pair_[gate]; p < first_pair_[gate + 1]; ++p) {
        stays |= disturbs_[p] & core_[pairs_[p].reader];
      }
      if ((core_[gate] & ~stays) == 0) continue;
      smaller = true;
      core_[gate] &= stays;
      if (core_[gate] == 0) core_gates_ &= ~(std::uint64_t{1} << gate);
    }
  }
  return core_gates_ != 0;
}

// In which of the states each gate of the set takes the excitation of another one of it away.
void BitmapMoves::keep(std::uint64_t set, Lanes lanes) {
  for (std::uint64_t left = set; left != 0 && lanes != 0; left &= left - 1) {
    const std::uint32_t gate = lowest_gate(left);
    Lanes disturbing = 0;
    for (std::uint32_t p = first_pair_[gate]; p < first_pair_[gate + 1]; ++p) {
      if (((set >> pairs_[p].reader) & 1u) != 0) disturbing |= disturbs_[p];
    }
    lanes &= disturbing;
  }
  if (lanes != 0) found_.push_back({set, lanes});
}

// The gates that a gate is strongly connected with by the wires among `gates`.
std::uint64_t BitmapMoves::loop_of(std::uint32_t gate, std::uint64_t gates) const {
  const auto closure = [gate, gates](const std::vector<std::uint64_t>& next) {
    std::uint64_t all = std::uint64_t{1} << gate;
    for (std::uint64_t fresh = all; fresh != 0;) {
      const std::uint64_t more = next[lowest_gate(fresh)] & gates & ~all;
      fresh = (fresh & (fresh - 1)) | more;
      all |= more;
    }
    return all;
  };
  const std::uint64_t after = closure(readers_);
  return after == std::uint64_t{1} << gate ? after : after & closure(read_by_);
}

// Strongly connected subsets of the core of one state at least, in the order of a walk that adds a higher
// gate each time. It leaves out the gates that are in no loop with those chosen.
void BitmapMoves::try_subsets(std::uint64_t loop, std::uint64_t& budget) {
  struct Frame {
    std::uint64_t set, left;  // gates still to add
    Lanes lanes;
  };
  std::array<Frame, BitmapNetwork::most_gates + 1> path{};
  std::size_t depth = 0;
  path[0] = {0, core_gates_ & loop, ~Lanes{0}};
  for (;;) {
    Frame& frame = path[depth];
    if (frame.left == 0) {
      if (depth-- == 0) return;
      continue;
    }
    const std::uint32_t gate = lowest_gate(frame.left);
    frame.left &= frame.left - 1;
    const Lanes lanes = frame.lanes & core_[gate];
    if (lanes == 0) continue;
    if (budget == 0 || --budget == 0) return;
    if (budget % 65536 == 0 && is_set(stop_)) budget = 0;
    const std::uint64_t set = frame.set | std::uint64_t{1} << gate;
    std::uint64_t left = 0;
    for (std::uint64_t rest = frame.left; rest != 0; rest &= rest - 1) {
      if ((core_[lowest_gate(rest)] & lanes) != 0) left |= rest & (~rest + 1);
    }
    const std::uint64_t possible = loop_of(gate, set | left);
    if ((set & ~possible) != 0) continue;
    left &= possible;
    if (loop_of(gate, set) == set) keep(set, lanes);
    if (left == 0) continue;
    path[++depth] = {set, left, lanes};
  }
}

const std::vector<BitmapMoves::Joint>& BitmapMoves::find(Block block, const BitmapNetwork::ByGate& excited,
                                                         Lanes within, std::uint64_t& budget) {
  found_.clear();
  if (pairs_.empty() || !find_core(block, excited, within)) return found_;
  for (const std::uint64_t set : sets_) {
    if ((set & ~core_gates_) != 0) continue;
    Lanes lanes = ~Lanes{0};
    for (std::uint64_t left = set; left != 0 && lanes != 0; left &= left - 1)
      lanes &= core_[lowest_gate(left)];
    if (lanes != 0) keep(set, lanes);
  }
  for (const std::uint64_t loop : loops_) try_subsets(loop, budget);
  return found_;
}

}  // namespace settle
