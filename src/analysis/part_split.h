// A circuit as storage cells that can be understood one by one.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// Some gates of a circuit with their own inputs and outputs. Net and gate numbers are those of the
/// whole circuit.
struct CircuitPart {
  std::vector<GateId> gates;      ///< ascending
  std::vector<NetId> inputs;      ///< inputs of the circuit and stored nets of other parts
  std::vector<NetId> observed;    ///< output nets first, in the order of the pins, then nets that other parts read
  std::uint32_t output_count = 0; ///< of `observed`: output nets
  bool has_loop = false;
  std::string key;                ///< equal: the same circuit but for names
};

/// Every output net, and a net of each inverting ring in front of one, belongs to exactly one part. A part holds all gates with a path to its outputs, up
/// to the nets that come out of the loop of another part; parts that would share a loop are one.
/// Outputs that are inputs, constants or undriven belong to no part. `gate_limit` bounds the sum of
/// the gates of all parts (gates in front of several loops count once for each); nothing above.
bool split_into_parts(const Circuit& circuit, std::uint64_t gate_limit, std::vector<CircuitPart>& parts);

/// The part as a circuit of its own, with the flat names of the whole one; unit delays.
Circuit extract_part(const Circuit& circuit, const CircuitPart& part);

/// What to change in a copy.
struct CircuitChange {
  /// A new gate: `kind` of `pins`, read by gate `reader` as a further input.
  bool adds_gate = false;
  GateKind kind = GateKind::and_;
  std::vector<NetId> pins;
  GateId reader = 0;
  /// Three-state gates that drive always: plain buffers and inverters of their data.
  std::vector<GateId> always_on;
  /// Delay of each gate, in units; empty: one unit each.
  std::vector<std::uint64_t> delays;
};
/// A copy with changes; numbers of nets and gates stay, a new gate is the last one (so that numbers
/// of resolved nets, undriven nets and constants move by one).
Circuit changed_copy(const Circuit& circuit, const CircuitChange& change);

}  // namespace settle
