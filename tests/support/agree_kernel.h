// Checks of the event kernel against its twins, for tests and fuzz targets.
#pragma once

#include <algorithm>
#include <vector>

#include "settle/kernel.h"
#include "support/catch.h"
#include "support/random.h"
#include "support/reference_kernel.h"

namespace settle::testing {

// Nets that may be listed in changed(): all but the private outputs on shared wires.
inline std::vector<NetId> differing(const Circuit& c, const std::vector<Value>& a,
                                    const std::vector<Value>& b) {
  std::vector<NetId> nets;
  for (NetId net = 0; net < c.net_count(); ++net) {
    const bool is_private = c.is_gate_output(net) && c.shared_wire(c.gate_of(net)) != no_id;
    if (a[net] != b[net] && !is_private) nets.push_back(net);
  }
  return nets;
}

inline std::vector<NetId> sorted(std::span<const NetId> nets) {
  std::vector<NetId> result(nets.begin(), nets.end());
  std::sort(result.begin(), result.end());
  return result;
}

inline std::vector<Value> copy(std::span<const Value> values) { return {values.begin(), values.end()}; }

// Random input changes at random times; every tick must be as the twin has it.
inline void compare_with_reference(const Circuit& c, std::uint64_t seed, Time until) {
  Random random(seed + 1'000'000);
  Kernel kernel(c);
  ReferenceUnit reference(c);
  INFO("seed " << seed);
  std::vector<Value> inputs(c.input_count(), Value::x);
  std::vector<Value> before = reference.values;
  for (Time t = 0; t < until; ++t) {
    bool set = t == 0;
    if (t == 0 || random.chance(15)) {
      for (NetId i = 0; i < c.input_count(); ++i) {
        if (random.chance(40)) continue;
        inputs[i] = static_cast<Value>(random.chance(85) ? random.below(2) : 2 + random.below(2));
        kernel.set_input(i, inputs[i]);
        set = true;
      }
    }
    if (t == 0) {
      reference.inputs = inputs;
      reference.update();
    } else {
      reference.tick(inputs);
    }
    const auto next = kernel.next_time();
    if (set || (next && *next == t)) {
      kernel.run_instant(t);
      REQUIRE(sorted(kernel.changed()) == differing(c, before, reference.values));
    } else {
      REQUIRE((!next || *next > t));
      REQUIRE(differing(c, before, reference.values).empty());
    }
    REQUIRE(copy(kernel.values()) == reference.values);
    REQUIRE(kernel.is_stable() == reference.is_stable());
    before = reference.values;
  }
}

// Explicit delays: random input changes, `most_pause` apart at most; every instant must be as the map of
// pending changes has it.
inline void compare_with_pending_map(const Circuit& c, KernelOptions options, std::uint64_t seed,
                                     std::uint32_t most_pause, int steps) {
  Random random(seed);
  Kernel kernel(c, options);
  ReferenceDelays reference(c, options.delays, options.transport);
  std::vector<Value> inputs(c.input_count(), Value::x);
  Time input_time = 0;
  for (int step = 0; step < steps; ++step) {
    // The next thing that happens: an input change or a gate change, at times both.
    Time t = std::min(input_time, reference.next());
    if (t == input_time) {
      for (NetId i = 0; i < c.input_count(); ++i) {
        if (random.chance(50)) continue;
        inputs[i] = static_cast<Value>(random.chance(85) ? random.below(2) : 2 + random.below(2));
        kernel.set_input(i, inputs[i]);
      }
      input_time += random.between(1, most_pause);
    }
    kernel.run_instant(t);
    reference.instant(t, inputs);
    REQUIRE(std::vector<Value>(kernel.values().begin(), kernel.values().end()) == reference.values);
    REQUIRE(kernel.next_time().value_or(end_of_time) == reference.next());
    std::vector<GateId> pending;
    for (const auto& [gate, changes] : reference.pending) pending.push_back(gate);
    REQUIRE(kernel.pending_gates() == pending);
  }
}

}  // namespace settle::testing
