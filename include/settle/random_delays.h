// Delays drawn at random, the same on any machine.
#pragma once

#include <cstdint>

#include "settle/circuit.h"

namespace settle {

/// The place of each gate between its smallest and its largest delay is drawn uniformly and alone; its rise
/// and its fall lie at the same place. Whole ticks, both ends included; afterwards min, typ and max are
/// equal. `seed` and the number of a gate decide its delay, nothing else.
GateDelay drawn_delay(const GateDelay& range, std::uint64_t seed, GateId gate);

/// Gives every gate of `target` the delay drawn from that of the same gate of `ranges`, which has the same
/// gates and may be the same circuit. False, and nothing done, with more different delays than a circuit
/// holds (65,535), which takes as many gates.
bool draw_delays(const Circuit& ranges, std::uint64_t seed, Circuit& target);

}  // namespace settle
