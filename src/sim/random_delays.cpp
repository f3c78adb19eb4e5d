// Random delays: a counter-based generator, so that gates may be drawn in any order. Gate g of seed s has
// the number mix(mix(s) + g * odd) (SplitMix64's finaliser, see mix.h); its upper 32 bits place it.
#include "settle/random_delays.h"

#include <utility>
#include <vector>

#include "circuit/circuit_builder.h"
#include "sim/mix.h"

namespace settle {
namespace {

/// least + floor((span + 1) * place / 2^32), without leaving 64 bits.
std::uint64_t placed(const DelayTriple& range, std::uint64_t place) {
  const std::uint64_t count = range.max - range.min + 1;
  const std::uint64_t high = count >> 32, low = count & 0xffffffffu;
  return range.min + high * place + ((low * place) >> 32);
}

}  // namespace

GateDelay drawn_delay(const GateDelay& range, std::uint64_t seed, GateId gate) {
  const std::uint64_t place =
      mix(mix(seed + 0x9e3779b97f4a7c15u) + (std::uint64_t{gate} + 1) * 0x9e3779b97f4a7c15u) >> 32;
  const std::uint64_t rise = placed(range.rise, place), fall = placed(range.fall, place);
  return {{rise, rise, rise}, {fall, fall, fall}};
}

bool draw_delays(const Circuit& ranges, std::uint64_t seed, Circuit& target) {
  if (!ranges.has_delays()) return true;  // all alike, one tick
  std::vector<GateDelay> delays;
  delays.reserve(ranges.gate_count());
  for (GateId gate = 0; gate < ranges.gate_count(); ++gate)
    delays.push_back(drawn_delay(ranges.delay(gate), seed, gate));
  return CircuitBuilder::replace_delays(target, delays);
}

}  // namespace settle
