// Limits that keep one run of a fuzz target short.
#pragma once

#include <algorithm>
#include <cstdint>

#include "settle/run.h"
#include "settle/stimulus.h"

namespace settle::fuzz {

inline RunOptions short_run() {
  RunOptions options;
  options.time_limit = 300;
  options.change_limit = 3000;
  options.lane_limit = 8;
  options.any_delay.states = 5000;
  options.any_delay.memory_bytes = std::uint64_t{16} << 20;
  return options;
}

/// Statements carried out with all repeats, and the edges that bounces make. What a stimulus asks for is
/// done, however long it takes; a fuzzer has no time for that.
inline std::uint64_t work_of(const Stimulus& stimulus) {
  constexpr std::uint64_t most = 1u << 30;
  struct Repeat {
    std::uint32_t end;
    std::uint64_t factor;
  };
  std::vector<Repeat> open;
  std::uint64_t factor = 1, work = 0;
  for (std::uint32_t i = 0; i < stimulus.statements.size(); ++i) {
    while (!open.empty() && open.back().end <= i) {
      factor = open.back().factor;
      open.pop_back();
    }
    const StimulusStatement& statement = stimulus.statements[i];
    std::uint64_t cost = 1;
    if (statement.kind == StimulusStatement::Kind::repeat) {
      open.push_back({statement.body_end, factor});
      factor = std::min(most, factor * std::min(most, statement.count));
    } else if (statement.kind == StimulusStatement::Kind::bounce) {
      cost = std::min(most, statement.count);
    }
    work = std::min(most, work + std::min(most, factor * cost));
  }
  return work;
}

}  // namespace settle::fuzz
