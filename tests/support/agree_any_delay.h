// Checks of the any-delay analysis against its twin and of its searches against each other, for tests and
// fuzz targets.
#pragma once

#include <algorithm>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "analysis/any_delay_search.h"
#include "analysis/subnetwork.h"
#include "settle/step_analysis.h"
#include "support/catch.h"
#include "support/naive_any_delay.h"
#include "support/step_cases.h"

namespace settle::testing {

/// Each reduction switched off in turn.
inline std::vector<std::pair<std::string, Reductions>> all_switches() {
  const bool on = true, off = false;
  return {{"all", {}},
          {"none", {off, off, off, off, off, off}},
          {"all gates", {off, on, on, on, on, on}},
          {"followers kept", {on, off, on, on, on, on}},
          {"not split", {on, on, off, off, on, on}},
          {"not split at fronts", {on, on, on, off, on, on}},
          {"no ternary", {on, on, on, on, off, on}},
          {"no ternary, no followers cut", {on, off, on, on, off, off}},
          {"no reuse", {on, on, on, on, on, off}}};
}

inline void compare_with_naive(const Circuit& circuit, const StepCase& c, bool skewed,
                               std::uint64_t& compared) {
  NaiveAnyDelay twin(circuit, c.values, c.changes, skewed);
  if (twin.variables() > 12) return;
  const NaiveOutcome want = twin.run(1u << 11);
  if (want.lub_of_reachable.empty()) return;
  ++compared;
  StepAnalyzer analyzer(circuit);
  for (const auto& [name, reductions] : all_switches()) {
    INFO(name << (skewed ? " skewed" : ""));
    const StepOutcome got = analyzer.any_delay(c.step(), {}, skewed, reductions);
    REQUIRE(got.complete);
    REQUIRE(got.known);
    REQUIRE(got.has_outcome() == !want.outcomes.empty());
    REQUIRE(got.may_cycle() == want.may_cycle);
    REQUIRE(got.settles() == (want.outcomes.size() == 1 && !want.may_cycle));
    const std::vector<GateId> differing(want.differing.begin(), want.differing.end());
    REQUIRE(differing == got.differing);
    if (got.has_outcome()) {
      REQUIRE(got.outcome_count() == want.outcomes.size());
      // Each stable state of the twin, cut down to the gates of a part, is an outcome of that part.
      for (const StepPart& part : got.parts) {
        std::set<std::vector<Value>> cut;
        for (const auto& outcome : want.outcomes) {
          std::vector<Value> values;
          for (const GateId gate : part.gates) values.push_back(outcome[gate]);
          cut.insert(values);
        }
        REQUIRE(std::vector<std::vector<Value>>(cut.begin(), cut.end()) == part.outcomes);
      }
    }
    for (const StepPart& part : got.parts) {
      REQUIRE(std::is_sorted(part.gates.begin(), part.gates.end()));
      REQUIRE(std::is_sorted(part.racing.begin(), part.racing.end()));
      REQUIRE(std::includes(part.gates.begin(), part.gates.end(), part.racing.begin(), part.racing.end()));
      if (part.outcomes.size() == 1 && !part.may_cycle) REQUIRE(part.racing.empty());
    }
  }
}

// All gates of a circuit, with the step's inputs applied.
inline Subnetwork whole(const Circuit& circuit, const StepCase& s) {
  std::vector<Value> values = s.values;
  for (const InputChange& change : s.changes) values[change.net] = change.value;
  std::vector<GateId> gates;
  for (GateId g = 0; g < circuit.gate_count(); ++g) gates.push_back(g);
  SubnetworkBuilder builder(circuit);
  return builder.build(gates, {}, {}, [&](NetId net) { return values[net]; });
}

inline void sort_outcomes(SearchResult& result) { std::sort(result.outcomes.begin(), result.outcomes.end()); }

inline void check_same(SearchResult a, SearchResult b) {
  sort_outcomes(a);
  sort_outcomes(b);
  REQUIRE(a.complete == b.complete);
  REQUIRE(a.known == b.known);
  if (!a.complete || !a.known) return;
  REQUIRE(a.states == b.states);
  REQUIRE(a.outcomes == b.outcomes);
  REQUIRE(a.may_cycle == b.may_cycle);
  REQUIRE(a.differing == b.differing);
}

}  // namespace settle::testing
