// Delays from an order of firings: let the sets fire at times 1, 2, 3, ... A gate that fires at T and has
// been excited since E then has the delay T - E. Where a gate fires twice in the same direction after
// different times, or is excited for some time without firing in between, no choice may be right; the
// longest is taken and the caller sees by simulation what comes of it. Gates that are excited but never
// fire get a delay longer than the whole path.
#include "analysis/delay_race.h"

#include <algorithm>
#include <bit>
#include <map>
#include <unordered_map>

namespace settle {
namespace {

constexpr std::size_t most_instants = 2000;
constexpr int most_subset_gates = 8;   // all subsets are tried of this many excited gates

template <class Visit>
void for_each_bit(std::uint64_t set, const Visit& visit) {
  for (; set != 0; set &= set - 1) visit(static_cast<std::uint32_t>(std::countr_zero(set)));
}

}  // namespace

DelayRun run_with(const NarrowNetwork& network, const GateTimes& times) {
  DelayRun run;
  std::uint64_t state = network.start(), excited = network.excited(state);
  std::vector<Time> due(network.size(), 0);
  Time now = 0;
  const auto schedule = [&](std::uint32_t gate) {
    due[gate] = now + ((state >> gate & 1) != 0 ? times.fall[gate] : times.rise[gate]);
  };
  for_each_bit(excited, schedule);
  std::map<std::vector<Time>, std::size_t> seen;  // state and pending times -> instants before it
  while (excited != 0) {
    std::vector<Time> key{state};
    for_each_bit(excited, [&](std::uint32_t gate) { key.push_back(due[gate] - now); });
    const auto [at, fresh] = seen.try_emplace(std::move(key), run.instants.size());
    if (!fresh) {
      run.decided = run.repeats = true;
      run.round = at->second;
      const Time start = run.round == 0 ? 0 : run.instants[run.round - 1].time;
      run.period = now - start;
      run.end = state;
      return run;
    }
    if (run.instants.size() == most_instants) return run;
    Time next = end_of_time;
    for_each_bit(excited, [&](std::uint32_t gate) { next = std::min(next, due[gate]); });
    std::uint64_t fired = 0;
    for_each_bit(excited, [&](std::uint32_t gate) { fired |= std::uint64_t{due[gate] == next} << gate; });
    now = next;
    state ^= fired;
    run.instants.push_back({now, fired});
    const std::uint64_t before = excited & ~fired;
    excited = network.excited(state);
    for_each_bit(excited & ~before, schedule);
  }
  run.decided = true;
  run.end = state;
  return run;
}

std::vector<std::uint64_t> find_firings(const NarrowNetwork& network, std::uint64_t goal, std::size_t most_states) {
  for (const bool sets : {false, true}) {
    std::unordered_map<std::uint64_t, std::uint64_t> from;  // state -> state before
    std::vector<std::uint64_t> queue{network.start()};
    from.emplace(network.start(), network.start());
    for (std::size_t next = 0; next < queue.size() && from.size() < most_states; ++next) {
      const std::uint64_t state = queue[next];
      if (state == goal) {
        std::vector<std::uint64_t> firings;
        for (std::uint64_t at = goal; at != network.start(); at = from[at]) firings.push_back(at ^ from[at]);
        std::reverse(firings.begin(), firings.end());
        return firings;
      }
      const std::uint64_t excited = network.excited(state);
      const auto go = [&](std::uint64_t fired) {
        if (from.try_emplace(state ^ fired, state).second) queue.push_back(state ^ fired);
      };
      for_each_bit(excited, [&](std::uint32_t gate) { go(std::uint64_t{1} << gate); });
      if (!sets || excited == 0) continue;
      go(excited);
      if (std::popcount(excited) > most_subset_gates) continue;
      for (std::uint64_t fired = (excited - 1) & excited; fired != 0; fired = (fired - 1) & excited) go(fired);
    }
  }
  return {};
}

GateTimes times_for(const NarrowNetwork& network, const std::vector<std::uint64_t>& firings) {
  const Time never = firings.size() + 1;
  GateTimes times{std::vector<Time>(network.size(), 0), std::vector<Time>(network.size(), 0)};
  std::vector<Time> since(network.size(), 0);
  std::uint64_t state = network.start(), excited = network.excited(state);
  for (Time now = 1; now < never; ++now) {
    const std::uint64_t fired = firings[static_cast<std::size_t>(now - 1)];
    for_each_bit(fired, [&](std::uint32_t gate) {
      Time& delay = (state >> gate & 1) != 0 ? times.fall[gate] : times.rise[gate];
      delay = std::max(delay, now - since[gate]);
    });
    state ^= fired;
    const std::uint64_t kept = excited & ~fired;
    excited = network.excited(state);
    for_each_bit(excited & ~kept, [&](std::uint32_t gate) { since[gate] = now; });
  }
  for (std::uint32_t gate = 0; gate < network.size(); ++gate) {
    if (times.rise[gate] == 0) times.rise[gate] = never;
    if (times.fall[gate] == 0) times.fall[gate] = never;
  }
  return times;
}

}  // namespace settle
