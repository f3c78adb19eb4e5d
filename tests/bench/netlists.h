// Seeded netlists and workloads for the benchmark, as text in the netlist language.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "settle/circuit.h"

namespace settle::bench {

/// Inputs that change together; the circuit then settles before the next step.
using InputStep = std::vector<std::pair<NetId, Value>>;

/// A circuit to measure and what to do to it.
struct Subject {
  std::string name;
  std::string text;
  /// The steps to apply; made once the circuit is known, since inputs are found by name.
  std::vector<InputStep> (*steps)(const Circuit& circuit, std::uint64_t seed, std::size_t count) = nullptr;
};

/// Rows of gated latches on common data lines, four gates a bit, flat; one row is written after
/// the other with random data.
Subject latch_memory(std::uint32_t gates);

/// n x n array multiplier from full adder cells, with random operands.
Subject multiplier(std::uint32_t gates);

/// A chain of master-slave flip-flops, eight NANDs each, through which random bits are clocked.
Subject shift_register(std::uint32_t gates);

/// The same with the gates of its last cell in another order.
Subject shuffled(Subject subject);

}  // namespace settle::bench
