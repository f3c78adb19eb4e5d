// Texts in the languages of settle from any bytes.
#pragma once

#include <cstdint>
#include <string>

#include "fuzz/byte_source.h"

namespace settle::fuzz {

struct SmallCircuit {
  std::uint32_t most_gates = 10, most_inputs = 4, most_fan_in = 4;
  bool three_state = false;      ///< shared wires, some with a pull gate
  std::uint32_t most_delay = 0;  ///< not 0: a rise and a fall of 1 to this
};

/// `cell small` with inputs i0, i1, ... and nets n0, n1, ...; gate gK drives net nK. Always valid.
std::string small_circuit(ByteSource& bytes, const SmallCircuit& options);

/// A netlist with up to two cells used in a third, `top`: buses, arrays, delays, shared wires, open
/// outputs. Always valid, though not free of warnings. And a stimulus for it, mostly valid.
struct Pair {
  std::string netlist, stimulus;
};
Pair generate_pair(ByteSource& bytes);

}  // namespace settle::fuzz
