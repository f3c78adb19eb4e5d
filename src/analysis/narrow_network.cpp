#include "analysis/narrow_network.h"

namespace settle {

NarrowNetwork::NarrowNetwork(const Subnetwork& network)
    : size_(network.size()), pattern_(network.size(), 0), mask_(network.size(), 0) {
  for (std::uint32_t i = 0; i < size_; ++i) {
    const Subnetwork::Gate& gate = network.gates[i];
    const std::uint64_t bit = std::uint64_t{1} << i;
    if (network.start[i]) start_ |= bit;
    std::uint64_t mask = 0;
    for (std::uint32_t k = 0; k < gate.count; ++k) {
      mask |= std::uint64_t{1} << network.inputs[gate.first + k];
    }
    if (gate.op == Subnetwork::Op::all || gate.op == Subnetwork::Op::none) {
      mask_[i] = mask;
      pattern_[i] = gate.op == Subnetwork::Op::all ? ~std::uint64_t{0} : 0;
      if (gate.inverts) inverts_ |= bit;
      if (gate.unknown_pin) unknown_pins_ |= bit;
      continue;
    }
    // An empty mask compares equal, and is inverted to 0: special() then sets the bit.
    inverts_ |= bit;
    Special special{i, mask, gate.op == Subnetwork::Op::parity, gate.inverts, {}, {}};
    if (gate.op == Subnetwork::Op::table) {
      special.table.assign(network.tables.begin() + gate.table,
                           network.tables.begin() + gate.table + (std::ptrdiff_t{1} << gate.count));
      special.inputs.assign(network.inputs.begin() + gate.first,
                            network.inputs.begin() + gate.first + gate.count);
      for (const std::uint8_t entry : special.table) has_unknown_ |= entry == 2;
    }
    special_.push_back(std::move(special));
  }
  has_special_ = !special_.empty();
  has_unknown_ |= unknown_pins_ != 0;
}

std::uint32_t NarrowNetwork::row_of(const Special& special, std::uint64_t state) {
  std::uint32_t row = 0;
  for (std::size_t k = 0; k < special.inputs.size(); ++k) {
    row |= static_cast<std::uint32_t>((state >> special.inputs[k]) & 1u) << k;
  }
  return row;
}

std::uint64_t NarrowNetwork::special(std::uint64_t state, std::uint64_t next) const {
  for (const Special& gate : special_) {
    const bool value = gate.parity ? ((std::popcount(state & gate.mask) & 1) != 0) != gate.inverts
                                   : gate.table[row_of(gate, state)] == 1;
    next |= std::uint64_t{value} << gate.gate;
  }
  return next;
}

bool NarrowNetwork::finds_unknown(std::uint64_t state) const {
  for (std::uint64_t left = unknown_pins_; left != 0; left &= left - 1) {
    const int i = std::countr_zero(left);
    if (((state ^ pattern_[static_cast<std::size_t>(i)]) & mask_[static_cast<std::size_t>(i)]) == 0)
      return true;
  }
  for (const Special& gate : special_) {
    if (!gate.parity && gate.table[row_of(gate, state)] == 2) return true;
  }
  return false;
}

}  // namespace settle
