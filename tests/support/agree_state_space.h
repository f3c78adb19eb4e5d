// Checks of a state space against its twin, for tests and fuzz targets.
#pragma once

#include <algorithm>
#include <cstddef>
#include <set>
#include <vector>

#include "settle/state_space.h"
#include "support/catch.h"
#include "support/naive_state_space.h"

namespace settle::testing {

inline NaiveStateSpace::State named(const StateSpace& space, std::uint32_t s) {
  NaiveStateSpace::State state{vector_text(space.stable[s].inputs, space.input_bits), ""};
  for (const Value v : space.nodes_of(s)) state.gates += to_char(v);
  return state;
}

inline void compare_classes(const StateSpace& space, const NaiveStateSpace& twin) {
  std::size_t held = 0;
  for (const VectorIndex vector : space.vectors) {
    const auto [first, last] = space.states_with(vector);
    std::set<std::uint32_t> classes;
    for (std::uint32_t a = first; a < last; ++a) {
      classes.insert(space.stable[a].alike);
      for (std::uint32_t b = first; b < last; ++b) {
        REQUIRE((space.stable[a].alike == space.stable[b].alike) ==
                twin.alike(named(space, a), named(space, b)));
      }
    }
    held = std::max(held, classes.size());
  }
  REQUIRE(space.states_held == held);
  std::uint32_t bits = 0;
  while (std::size_t{1} << bits < held) ++bits;
  REQUIRE(space.bits_stored == bits);
}

// Every state is in one row, a row has one stable state a column at most, and its entries are where
// each of its states goes.
inline void check_flow_table(const StateSpace& space) {
  std::vector<std::uint32_t> row_of(space.stable.size(), no_state);
  for (std::uint32_t r = 0; r < space.flow.rows.size(); ++r) {
    for (std::size_t c = 0; c < space.flow.columns.size(); ++c) {
      const FlowTable::Entry& entry = space.flow.rows[r][c];
      if (!entry.stable) continue;
      REQUIRE(space.stable[entry.state].inputs == space.flow.columns[c]);
      REQUIRE(row_of[entry.state] == no_state);
      REQUIRE(entry.rows == std::vector<std::uint32_t>{r});
      row_of[entry.state] = r;
    }
  }
  for (std::uint32_t s = 0; s < row_of.size(); ++s) REQUIRE(row_of[s] != no_state);
  std::set<std::vector<std::vector<std::uint32_t>>> distinct;
  for (const auto& row : space.flow.rows) {
    std::vector<std::vector<std::uint32_t>> entries;
    for (const FlowTable::Entry& entry : row) {
      entries.push_back(entry.rows);
      entries.back().push_back(entry.may_cycle ? 1 : 0);
    }
    distinct.insert(entries);
  }
  REQUIRE(distinct.size() == space.flow.rows.size());  // none left to merge
  for (const Transition& t : space.transitions) {
    const std::size_t c =
        static_cast<std::size_t>(std::find(space.flow.columns.begin(), space.flow.columns.end(), t.inputs) -
                                 space.flow.columns.begin());
    const FlowTable::Entry& entry = space.flow.rows[row_of[t.from]][c];
    std::set<std::uint32_t> rows;
    for (const std::uint32_t to : t.to) rows.insert(row_of[to]);
    REQUIRE(entry.rows == std::vector<std::uint32_t>(rows.begin(), rows.end()));
    REQUIRE(entry.may_cycle == t.may_cycle);
  }
}

inline void compare_with_naive(const StateSpace& space, const NaiveStateSpace& twin) {
  REQUIRE(space.complete);
  REQUIRE(space.stable.size() == twin.states.size());
  std::uint32_t s = 0;
  for (const auto& state : twin.states) REQUIRE(named(space, s++) == state);
  REQUIRE(space.transitions.size() == twin.steps.size());
  auto at = space.transitions.begin();
  for (const auto& [key, want] : twin.steps) {
    const Transition& got = *at++;
    REQUIRE(named(space, got.from) == key.first);
    REQUIRE(vector_text(got.inputs, space.input_bits) == key.second);
    REQUIRE(got.judged);
    std::set<NaiveStateSpace::State> to;
    for (const std::uint32_t end : got.to) to.insert(named(space, end));
    REQUIRE(to == want.to);
    REQUIRE(std::is_sorted(got.to.begin(), got.to.end()));
    REQUIRE(got.may_cycle == want.may_cycle);
    REQUIRE((got.equal_delay != no_state) == (want.equal_delay != nullptr));
    if (want.equal_delay != nullptr) REQUIRE(named(space, got.equal_delay) == *want.equal_delay);
    REQUIRE(got.period == want.period);
    REQUIRE(name_of(got.verdict) == want.verdict);
  }
  compare_classes(space, twin);
  check_flow_table(space);
  const int length = twin.synchronising_length();
  REQUIRE(space.synchronising_known);
  if (length == -1) REQUIRE_FALSE(space.synchronising_sequence);
  if (length >= 0) REQUIRE(space.synchronising_sequence->size() == static_cast<std::size_t>(length));
}

}  // namespace settle::testing
