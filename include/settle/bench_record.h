// What was done and seen at a bench, as a stimulus states it.
#pragma once

#include <optional>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/stimulus.h"

namespace settle {

struct BenchLook {
  NetId net = 0;
  Value value = Value::x;   ///< x: no clear level
  Place place;              ///< of the statement's NET
};

struct BenchStep {
  std::vector<Value> inputs;     ///< all of them, set at once, followed by rest
  std::vector<BenchLook> looks;  ///< at rest
};

struct BenchRecord {
  std::vector<Value> gates;      ///< power-up values that the stimulus states; empty: unknown
  std::vector<BenchLook> looks;  ///< before any input was set
  std::vector<BenchStep> steps;
};

/// Someone at a bench is slower than any gate: between two statements that let time go on all is at rest,
/// whatever the time written, and so it is before a value is looked at. Expectations do not count. A clock in
/// the background is an error; `power-up random` and `every` are unknown. Nothing after errors.
std::optional<BenchRecord> bench_record(const Stimulus& stimulus, const Circuit& circuit, Diagnostics& diagnostics);

}  // namespace settle
