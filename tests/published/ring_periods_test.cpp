// Rings of N inverters under unit delay: how many of the 2^N start states have which period.
// Source: derived from the equations (each inverter is the complement of the one before it, all
// switch together). That an odd ring of one wave front has period 2N is also the textbook's ring
// oscillator (Harris and Harris, Digital Design and Computer Architecture, section 3.3, from memory).
#include <map>
#include <string>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/circuit_text.h"

namespace settle {
namespace {

Circuit ring(unsigned size) {
  std::string text = "cell ring\n out q0\n";
  for (unsigned i = 0; i < size; ++i) {
    text += " not g" + std::to_string(i) + ": q" + std::to_string((i + size - 1) % size) + " -> q" +
            std::to_string(i) + "\n";
  }
  return testing::circuit(text + "end\n");
}

std::vector<Value> pattern_bits(unsigned size, unsigned pattern) {
  std::vector<Value> result;
  for (unsigned i = 0; i < size; ++i) result.push_back(to_value((pattern >> i & 1) != 0));
  return result;
}

// Period 1: stable from the start. No state of a ring leads to another cycle: each has one predecessor.
Time period_of(const Circuit& circuit, unsigned pattern) {
  Kernel kernel(circuit);
  kernel.power_up({}, pattern_bits(circuit.gate_count(), pattern));
  const Continuation found = look_ahead(kernel, 1000);
  if (found.kind == Continuation::Kind::settles) {
    CHECK(found.end == 0);
    return 1;
  }
  CHECK(found.kind == Continuation::Kind::repeats);
  CHECK(found.end == found.period);
  CHECK(found.moving.size() == circuit.gate_count());
  return found.period;
}

TEST_CASE("states of inverter rings by period") {
  const std::map<unsigned, std::map<Time, int>> table = {
      {1, {{2, 2}}},
      {2, {{1, 2}, {2, 2}}},
      {3, {{2, 2}, {6, 6}}},
      {4, {{1, 2}, {2, 2}, {4, 12}}},
      {5, {{2, 2}, {10, 30}}},
      {6, {{1, 2}, {2, 2}, {3, 6}, {6, 54}}},
      {7, {{2, 2}, {14, 126}}},
  };
  for (const auto& [size, want] : table) {
    const Circuit circuit = ring(size);
    std::map<Time, int> periods;
    for (unsigned pattern = 0; pattern < 1u << size; ++pattern) ++periods[period_of(circuit, pattern)];
    CAPTURE(size);
    CHECK(periods == want);
  }
}

TEST_CASE("rings with one wave front, with all equal and with alternating values") {
  for (unsigned size = 1; size <= 9; ++size) {
    const Circuit circuit = ring(size);
    CAPTURE(size);
    const unsigned alternating = 0x155u & ((1u << size) - 1);
    if (size % 2 == 1) {
      // Alternating values round an odd ring leave one place where neighbours agree.
      CHECK(period_of(circuit, alternating) == 2 * size);
      CHECK(period_of(circuit, 0) == 2);
    } else {
      CHECK(period_of(circuit, alternating) == 1);
      CHECK(period_of(circuit, ~alternating & ((1u << size) - 1)) == 1);
      CHECK(period_of(circuit, 0) == 2);
    }
  }
}

}  // namespace
}  // namespace settle
