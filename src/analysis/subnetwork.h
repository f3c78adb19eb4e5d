// A few gates of a circuit as a little circuit of their own, everything else folded in as constants.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// Gates numbered 0 .. size-1, each with a function of the others' outputs.
struct Subnetwork {
  enum class Op : std::uint8_t {
    all,     ///< 1 when all inputs are 1 (1 without inputs)
    none,    ///< 1 when all inputs are 0 (1 without inputs)
    parity,  ///< 1 when an odd number of inputs are 1
    table,   ///< entry of `tables` numbered by the inputs, first input lowest: 0, 1 or 2 = unknown
  };
  struct Gate {
    Op op = Op::all;
    bool inverts = false;      ///< the opposite of `op` (not for tables)
    bool unknown_pin = false;  ///< all, none: another input is unknown; matters when `op` would give 1
    std::uint32_t first = 0, count = 0;  ///< inputs, in `inputs`
    std::uint32_t table = 0;             ///< first entry in `tables`
  };
  std::vector<Gate> gates;
  std::vector<std::uint32_t> inputs;
  std::vector<std::uint8_t> tables;
  std::vector<bool> start;  ///< outputs in the start state
  bool known = true;        ///< false: a start value or a function is unknown in every state

  std::uint32_t size() const { return static_cast<std::uint32_t>(gates.size()); }
  /// Equal texts: the same little circuit in the same start state.
  std::string key() const;
};

/// Value of gate `i` where `bit(k)` is the output of gate k: 0, 1 or 2 = unknown.
template <class Bit>
int evaluate(const Subnetwork& network, std::uint32_t i, const Bit& bit) {
  const Subnetwork::Gate& gate = network.gates[i];
  const std::uint32_t* in = network.inputs.data() + gate.first;
  if (gate.op == Subnetwork::Op::table) {
    std::uint32_t row = 0;
    for (std::uint32_t k = 0; k < gate.count; ++k) row |= (bit(in[k]) ? 1u : 0u) << k;
    return network.tables[gate.table + row];
  }
  bool value = gate.op != Subnetwork::Op::parity;
  for (std::uint32_t k = 0; k < gate.count; ++k) {
    const bool v = bit(in[k]);
    if (gate.op == Subnetwork::Op::parity) {
      value ^= v;
    } else if (v != (gate.op == Subnetwork::Op::all)) {
      value = false;
      break;
    }
  }
  if (value && gate.unknown_pin) return 2;
  return value != gate.inverts ? 1 : 0;
}

/// Builds subnetworks of one circuit; keeps its arrays from call to call.
class SubnetworkBuilder {
 public:
  explicit SubnetworkBuilder(const Circuit& circuit)
      : circuit_(&circuit), local_(circuit.gate_count(), 0), stamp_(circuit.gate_count(), 0) {}

  /// `gates` in the order wanted, then one delay element for each net of `delayed` (an input), which
  /// starts at `delayed_from` and goes to the value that `values` has. `values`: all nets, the
  /// inputs at their new values.
  template <class Read>
  Subnetwork build(const std::vector<GateId>& gates, const std::vector<NetId>& delayed,
                   const std::vector<Value>& delayed_from, const Read& values);

 private:
  static constexpr std::size_t table_inputs = 10;  // most inputs of a gate kept as a table
  std::uint32_t local_of(NetId net) const;
  bool has_local_driver(NetId wire) const;
  template <class Read>
  void add_simple(Subnetwork& out, GateId gate, const Read& values);
  template <class Read>
  void add_table(Subnetwork& out, GateId gate, const Read& values);
  void finish(Subnetwork& out, Subnetwork::Gate gate);

  const Circuit* circuit_;
  const std::vector<NetId>* delayed_ = nullptr;
  std::uint32_t gates_in_ = 0;
  std::uint32_t epoch_ = 0;
  std::vector<std::uint32_t> local_, stamp_;  // by gate
  std::vector<std::uint32_t> pins_;           // of the gate in hand
};

}  // namespace settle

#include "analysis/subnetwork_build.h"
