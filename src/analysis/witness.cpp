// Witnesses of a step: which delays lead to which ending.
//
// The gates that decide (all parts of the step that any-delay analysis keeps) are put into one little
// circuit, which is simulated with many sets of delays, simple ones first: equal; one gate slower; one gate
// faster than all others; two gates slower; then delays made from a shortest order of firings that leads
// to the ending; then some thousand at random from a fixed seed. The first set that leads to an ending is
// its witness, made simpler where that keeps the ending. Every witness is confirmed by running the
// kernel on the whole circuit, read back from the very text that is written for a replay; one that were
// not confirmed would be dropped. An ending may have no constant delays at all (a gate may have to be
// slow at one firing and fast at the next): then only the order of firings is given.
#include "settle/witness.h"

#include <algorithm>
#include <array>
#include <map>

#include "analysis/delay_race.h"
#include "analysis/space_steps.h"
#include "analysis/subnetwork.h"
#include "analysis/witness_check.h"

namespace settle {
namespace {

constexpr std::uint32_t most_gates = 64;
constexpr std::uint32_t most_gates_for_pairs = 24;
constexpr int random_tries = 3000;
constexpr std::size_t most_walk_states = 300'000;
constexpr std::array<Time, 5> slow_delays{2, 3, 4, 6, 9};
constexpr std::array<Time, 3> pair_delays{2, 3, 5};

class WitnessSearch {
 public:
  WitnessSearch(const Circuit& circuit, const StateSpace& space, std::uint32_t transition,
                const AnyDelayLimits& limits)
      : circuit_(circuit), space_(space), stop_(limits.stop), step_(space.transitions[transition]) {
    result_.transition = transition;
    values_ = net_values_of(circuit, space, step_.from);
    const auto changes = changes_between(space.input_bits, space.stable[step_.from].inputs, step_.inputs);
    StepAnalyzer analyzer(circuit);
    const StepOutcome outcome = analyzer.any_delay({values_, changes, std::span<const GateId>()}, limits);
    for (const StepPart& part : outcome.parts) gates_.insert(gates_.end(), part.gates.begin(), part.gates.end());
    std::sort(gates_.begin(), gates_.end());
    gates_.erase(std::unique(gates_.begin(), gates_.end()), gates_.end());
    for (const InputChange& change : changes) values_[change.net] = change.value;
  }

  StepWitness run() {
    if (gates_.empty() || gates_.size() > most_gates) return std::move(result_);
    SubnetworkBuilder builder(circuit_);
    const Subnetwork subnetwork = builder.build(gates_, {}, {}, [this](NetId net) { return values_[net]; });
    if (!subnetwork.known) return std::move(result_);
    const NarrowNetwork network(subnetwork);
    network_ = &network;
    name_endings();
    try_simple_delays();
    for (std::size_t e = 0; e < result_.endings.size(); ++e) {
      if (!result_.endings[e].has_delays && result_.endings[e].state != no_state) follow_order(e);
    }
    try_random_delays();
    return std::move(result_);
  }

 private:
  void name_endings() {
    for (const std::uint32_t state : step_.to) {
      std::uint64_t word = 0;
      for (std::size_t i = 0; i < gates_.size(); ++i) {
        word |= std::uint64_t{space_.nodes_of(state)[gates_[i]] == Value::one} << i;
      }
      goals_.push_back(word);
      result_.endings.emplace_back().state = state;
    }
    if (step_.may_cycle) result_.endings.emplace_back();
  }

  std::size_t ending_of(const DelayRun& run) const {
    if (!run.decided) return result_.endings.size();
    if (run.repeats) return step_.may_cycle ? goals_.size() : result_.endings.size();
    return static_cast<std::size_t>(std::find(goals_.begin(), goals_.end(), run.end) - goals_.begin());
  }

  bool all_found() const {
    if (is_set(stop_)) return true;  // whatever is missing stays missing
    return std::all_of(result_.endings.begin(), result_.endings.end(), [](const Ending& e) { return e.has_delays; });
  }

  // Runs with these delays; a new ending takes them over.
  void attempt(const GateTimes& times, bool simple) {
    const DelayRun run = run_with(*network_, times);
    const std::size_t e = ending_of(run);
    if (e >= result_.endings.size() || result_.endings[e].has_delays) return;
    if (simple) {
      take(e, times, run);
    } else {
      const GateTimes simpler = simplified(times, e);
      take(e, simpler, run_with(*network_, simpler));
    }
  }

  void take(std::size_t e, const GateTimes& times, const DelayRun& run) {
    Ending ending;
    ending.state = result_.endings[e].state;
    ending.has_delays = true;
    ending.round = run.round;
    ending.period = run.period;
    for (const DelayRun::Instant& instant : run.instants) {
      ending.order.push_back({instant.time, gates_in(instant.fired)});
    }
    for (std::size_t i = 0; i < gates_.size(); ++i) {
      if (times.rise[i] != 1 || times.fall[i] != 1) ending.delays.push_back({gates_[i], times.rise[i], times.fall[i]});
    }
    if (confirm_ending(circuit_, space_, step_, ending)) result_.endings[e] = std::move(ending);
  }

  std::vector<GateId> gates_in(std::uint64_t fired) const {
    std::vector<GateId> gates;
    for (std::size_t i = 0; i < gates_.size(); ++i) {
      if ((fired >> i & 1) != 0) gates.push_back(gates_[i]);
    }
    return gates;
  }

  GateTimes equal_times(Time delay) const {
    return {std::vector<Time>(gates_.size(), delay), std::vector<Time>(gates_.size(), delay)};
  }

  void try_simple_delays() {
    attempt(equal_times(1), true);
    const std::size_t count = gates_.size();
    for (const Time delay : slow_delays) {
      for (std::size_t g = 0; g < count && !all_found(); ++g) {
        GateTimes times = equal_times(1);
        times.rise[g] = times.fall[g] = delay;
        attempt(times, true);
      }
    }
    for (const Time delay : slow_delays) {
      for (std::size_t g = 0; g < count && !all_found(); ++g) {
        GateTimes times = equal_times(delay);
        times.rise[g] = times.fall[g] = 1;
        attempt(times, false);
      }
    }
    if (count > most_gates_for_pairs) return;
    for (const Time first : pair_delays) {
      for (const Time second : pair_delays) {
        for (std::size_t a = 0; a < count; ++a) {
          for (std::size_t b = a + 1; b < count && !all_found(); ++b) {
            GateTimes times = equal_times(1);
            times.rise[a] = times.fall[a] = first;
            times.rise[b] = times.fall[b] = second;
            attempt(times, true);
          }
        }
      }
    }
  }

  void follow_order(std::size_t e) {
    const auto firings = find_firings(*network_, goals_[e], most_walk_states);
    for (const std::uint64_t fired : firings) result_.endings[e].order.push_back({0, gates_in(fired)});
    if (!firings.empty()) attempt(times_for(*network_, firings), false);
  }

  void try_random_delays() {
    std::uint64_t state = 0x5e771e;
    const auto random = [&state](Time below) {  // a linear congruential generator after Knuth (MMIX)
      state = state * 6364136223846793005u + 1442695040888963407u;
      return static_cast<Time>((state >> 33) % below);
    };
    for (int i = 0; i < random_tries && !all_found(); ++i) {
      GateTimes times = equal_times(1);
      const Time most = 2 + random(12);
      for (std::size_t g = 0; g < gates_.size(); ++g) {
        times.rise[g] = 1 + random(most);
        times.fall[g] = i % 2 == 0 ? times.rise[g] : 1 + random(most);
      }
      attempt(times, false);
    }
  }

  // Brings delays down to 1, or rise and fall to one value, or a value by one, as long as the ending stays.
  GateTimes simplified(GateTimes times, std::size_t e) const {
    const auto keeps = [&](std::size_t g, Time rise, Time fall) {
      if (rise == times.rise[g] && fall == times.fall[g]) return false;
      GateTimes trial = times;
      trial.rise[g] = rise;
      trial.fall[g] = fall;
      if (ending_of(run_with(*network_, trial)) != e) return false;
      times = std::move(trial);
      return true;
    };
    for (std::size_t g = 0; g < gates_.size(); ++g) {
      if (keeps(g, 1, 1)) continue;
      const Time low = std::min(times.rise[g], times.fall[g]), high = std::max(times.rise[g], times.fall[g]);
      if (!keeps(g, low, low)) keeps(g, high, high);
      while (times.rise[g] > 1 && times.fall[g] > 1 && keeps(g, times.rise[g] - 1, times.fall[g] - 1)) {
      }
      while (times.rise[g] > 1 && keeps(g, times.rise[g] - 1, times.fall[g])) {
      }
      while (times.fall[g] > 1 && keeps(g, times.rise[g], times.fall[g] - 1)) {
      }
    }
    return times;
  }

  const Circuit& circuit_;
  const StateSpace& space_;
  const std::atomic<bool>* stop_;
  const Transition& step_;
  const NarrowNetwork* network_ = nullptr;
  std::vector<Value> values_;          // inputs new, gates as at the start
  std::vector<GateId> gates_;          // that decide, ascending
  std::vector<std::uint64_t> goals_;   // stable endings as words over gates_
  StepWitness result_;
};

}  // namespace

StepWitness find_witness(const Circuit& circuit, const StateSpace& space, std::uint32_t transition,
                         const AnyDelayLimits& limits) {
  return WitnessSearch(circuit, space, transition, limits).run();
}

}  // namespace settle
