#include "analysis/bitmap_network.h"

#include <algorithm>

namespace settle {

bool BitmapNetwork::suits(const Subnetwork& network) {
  if (network.size() <= lane_gates || network.size() > most_gates) return false;
  if (std::find(network.tables.begin(), network.tables.end(), 2) != network.tables.end()) return false;
  return std::none_of(network.gates.begin(), network.gates.end(),
                      [](const auto& g) { return g.unknown_pin; });
}

BitmapNetwork::BitmapNetwork(const Subnetwork& network) : size_(network.size()) {
  for (std::uint32_t i = 0; i < size_; ++i) {
    const Subnetwork::Gate& gate = network.gates[i];
    if (network.start[i]) start_ |= std::uint64_t{1} << i;
    if (gate.op == Subnetwork::Op::table) {
      functions_.push_back(table_of(network, gate));
      continue;
    }
    Function f;
    f.op = gate.op;
    const bool parity = gate.op == Subnetwork::Op::parity, zeros = gate.op == Subnetwork::Op::none;
    f.low = parity ? 0 : ~Lanes{0};
    f.pattern = zeros ? 0 : ~Block{0};
    f.inverts = gate.inverts ? ~Lanes{0} : 0;
    for (std::uint32_t k = 0; k < gate.count; ++k) {
      const std::uint32_t input = network.inputs[gate.first + k];
      if (input >= lane_gates) {
        f.mask |= Block{1} << (input - lane_gates);
      } else if (parity) {
        f.low ^= lanes_with[input];
      } else {
        f.low &= zeros ? ~lanes_with[input] : lanes_with[input];
      }
    }
    functions_.push_back(std::move(f));
  }
}

BitmapNetwork::Function BitmapNetwork::table_of(const Subnetwork& network, const Subnetwork::Gate& gate) {
  Function f;
  f.op = gate.op;
  std::vector<std::uint32_t> places;  // of the inputs in `high` among all
  for (std::uint32_t k = 0; k < gate.count; ++k) {
    const std::uint32_t input = network.inputs[gate.first + k];
    if (input < lane_gates) continue;
    f.high.push_back(Block{1} << (input - lane_gates));
    places.push_back(k);
  }
  f.entries.assign(std::size_t{1} << f.high.size(), 0);
  for (std::size_t row = 0; row < f.entries.size(); ++row) {
    for (std::uint32_t lane = 0; lane < 64; ++lane) {
      std::uint32_t at = 0;
      for (std::uint32_t k = 0; k < gate.count; ++k) {
        const std::uint32_t input = network.inputs[gate.first + k];
        if (input < lane_gates) at |= ((lane >> input) & 1u) << k;
      }
      for (std::size_t k = 0; k < places.size(); ++k) {
        at |= static_cast<std::uint32_t>((row >> k) & 1u) << places[k];
      }
      f.entries[row] |= Lanes{network.tables[gate.table + at]} << lane;
    }
  }
  return f;
}

}  // namespace settle
