// Runs with an unknown offset against the event kernel, offset by offset.
#include "analysis/timing_run.h"

#include <algorithm>
#include <string>

#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/storage_cells.h"

namespace settle {
namespace {

using testing::circuit;

// Input changes at absolute times on the kernel, from a stable state; true when it came to rest.
struct KernelEnd {
  bool rests = false, repeats = false;
  std::vector<Value> values;
  std::vector<std::uint32_t> changes;  // by net
};

KernelEnd kernel_end(const Kernel& stable, std::vector<TimedChange> changes, std::int64_t offset,
                     Time limit) {
  Kernel kernel = stable;
  KernelEnd end;
  end.changes.assign(kernel.circuit().net_count(), 0);
  const Time start = kernel.now() + 1000;
  std::stable_sort(changes.begin(), changes.end(),
                   [&](const auto& a, const auto& b) { return a.when.at(offset) < b.when.at(offset); });
  const auto step = [&](Time t) {
    kernel.run_instant(t);
    for (const NetId net : kernel.changed()) ++end.changes[net];
  };
  for (std::size_t i = 0; i < changes.size();) {
    const Time due = start + static_cast<Time>(changes[i].when.at(offset));
    while (kernel.next_time() && *kernel.next_time() < due) step(*kernel.next_time());
    const std::int64_t at = changes[i].when.at(offset);
    for (; i < changes.size() && changes[i].when.at(offset) == at; ++i)
      kernel.set_input(changes[i].input, changes[i].value);
    step(due);
  }
  const Continuation rest = look_ahead(kernel, kernel.now() + limit);
  end.repeats = rest.kind == Continuation::Kind::repeats;
  while (kernel.next_time() && *kernel.next_time() <= start + limit) step(*kernel.next_time());
  end.rests = kernel.is_stable();
  end.values.assign(kernel.values().begin(), kernel.values().end());
  return end;
}

TEST_CASE("Runs with an offset agree with the kernel at every offset") {
  std::uint64_t compared = 0, moving = 0;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    testing::RandomCircuitOptions options;
    options.most_gates = 16;
    options.most_delay = seed % 3 == 0 ? 0 : seed % 3 == 1 ? 4 : 9;
    options.three_state = seed % 5 == 0;
    const std::string text = testing::random_circuit(seed, options);
    const Circuit c = circuit(text);
    testing::Random random(seed * 77);
    Kernel kernel(c);
    for (NetId i = 0; i < c.input_count(); ++i) kernel.set_input(i, to_value(random.chance(50)));
    kernel.run_instant(0);
    for (int i = 0; i < 500 && !kernel.is_stable(); ++i) kernel.run_instant(*kernel.next_time());
    if (!kernel.is_stable()) continue;
    const std::vector<Value> inputs(kernel.values().begin(), kernel.values().begin() + c.input_count());
    const std::vector<Value> gates(kernel.values().begin() + c.input_count(),
                                   kernel.values().begin() + c.input_count() + c.gate_count());
    if (c.resolved_count() != 0 &&
        std::any_of(gates.begin(), gates.end(), [](Value v) { return v == Value::x; }))
      continue;  // half-known drives have no value of their own
    std::vector<TimedChange> changes;
    const NetId a = random.below(c.input_count()), b = random.below(c.input_count());
    changes.push_back({a, inverted(inputs[a]), {0, false}});
    changes.push_back({b, a == b ? inputs[b] : inverted(inputs[b]), {0, true}});
    if (random.chance(30)) changes.push_back({a, inputs[a], {7, false}});
    OffsetRunner runner(c, DelayChoice::typ);
    const OffsetSweep sweep = sweep_offsets(runner, inputs, gates, changes, -60, 60, 1000);
    INFO(text << "seed " << seed);
    REQUIRE(sweep.complete);
    std::int64_t next = -60;
    for (const OffsetOutcome& outcome : sweep.outcomes) {
      REQUIRE(outcome.first == next);
      next = outcome.last + 1;
      for (std::int64_t o = outcome.first; o <= outcome.last; ++o) {
        const KernelEnd end = kernel_end(kernel, changes, o, 5000);
        CAPTURE(o, outcome.first, outcome.last);
        REQUIRE(outcome.kind != OffsetOutcome::Kind::unknown);
        REQUIRE(end.rests == (outcome.kind == OffsetOutcome::Kind::rests));
        ++compared;
        if (!end.rests) {
          REQUIRE(end.repeats);
          ++moving;
          continue;
        }
        REQUIRE(end.values == outcome.values);
        for (NetId net = 0; net < c.net_count(); ++net) {
          if (c.is_gate_output(net) && c.shared_wire(c.gate_of(net)) != no_id) continue;
          REQUIRE(end.changes[net] == outcome.count(net));
        }
      }
    }
    REQUIRE(next == 61);
  }
  CHECK(compared > 5000);
  CHECK(moving > 300);
}

TEST_CASE("The whole line of offsets falls into a few ranges") {
  const Circuit c = circuit(testing::cells::nor_latch);
  OffsetRunner runner(c, DelayChoice::typ);
  // Set and reset released, reset o later: s first leaves it reset, r first set, together undecided.
  const std::vector<Value> inputs = {Value::one, Value::one}, gates = {Value::zero, Value::zero};
  const std::vector<TimedChange> changes = {{0, Value::zero, {0, false}}, {1, Value::zero, {0, true}}};
  const OffsetSweep sweep = sweep_offsets(runner, inputs, gates, changes, lowest_offset, highest_offset, 100);
  REQUIRE(sweep.complete);
  CHECK(sweep.outcomes.front().first == lowest_offset);
  CHECK(sweep.outcomes.back().last == highest_offset);
  for (const OffsetOutcome& outcome : sweep.outcomes) {
    const bool together = outcome.first == 0 && outcome.last == 0;
    CHECK((outcome.kind == OffsetOutcome::Kind::repeats) == together);
    if (together) {
      CHECK(outcome.period == 2);
      continue;
    }
    CHECK(outcome.values[c.output_of(0)] == to_value(outcome.last < 0));
  }
}

}  // namespace
}  // namespace settle
