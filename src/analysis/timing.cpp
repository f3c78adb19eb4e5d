// Timing of a whole circuit: split into cells as explain() does, each measured once, equal ones (delays
// included) told together. Setup and the like hold at the pins of the cell, gates in front of it included.
#include "settle/timing.h"

#include <algorithm>
#include <unordered_map>

#include <fmt/format.h>

#include "analysis/timing_cell.h"
#include "settle/stable_states.h"

namespace settle {
namespace {

constexpr std::uint32_t most_whole_inputs = 10;  // of a circuit measured across its cells
constexpr std::uint64_t most_whole_runs = 50'000;

std::vector<OffsetRunner::Ticks> delays_of_part(const std::vector<OffsetRunner::Ticks>& all,
                                                const CircuitPart& part) {
  std::vector<OffsetRunner::Ticks> delays;
  for (const GateId gate : part.gates) delays.push_back(all[gate]);
  return delays;
}

class TimingMeter {
 public:
  TimingMeter(const Circuit& circuit, const TimingOptions& options)
      : circuit_(circuit), options_(options), delays_(OffsetRunner(circuit, options.delays).delays()) {}

  Timing run() {
    result_.circuit = circuit_.cell_name();
    result_.delays = circuit_.has_delays() ? options_.delays : DelayChoice::unit;
    result_.unit = result_.delays == DelayChoice::unit ? TimeUnit::none : circuit_.time_unit();
    if (!split_into_parts(circuit_, options_.gate_limit, parts_)) {
      leave(fmt::format("the cells have more than {} gates together", options_.gate_limit));
      return std::move(result_);
    }
    std::unordered_map<std::string, std::size_t> known;
    start_progress(options_.progress, "measuring cells", "cells", parts_.size());
    for (const CircuitPart& part : parts_) {
      advance_progress(options_.progress);
      const std::vector<OffsetRunner::Ticks> delays = delays_of_part(delays_, part);
      std::string key = part.key;
      for (const auto& delay : delays) key += fmt::format(" {}/{}", delay.rise, delay.fall);
      const auto [at, is_new] = known.emplace(std::move(key), result_.cells.size());
      if (is_new) {
        measure(part, delays);
        continue;
      }
      std::vector<std::string> outputs;
      for (std::size_t o = 0; o < part.output_count; ++o)
        outputs.push_back(circuit_.net_name(part.observed[o]));
      result_.cells[at->second].copies.push_back(std::move(outputs));
    }
    const bool is_chained = std::any_of(parts_.begin(), parts_.end(), [&](const CircuitPart& part) {
      return std::any_of(part.inputs.begin(), part.inputs.end(),
                         [&](NetId net) { return !circuit_.is_input(net); });
    });
    if (is_chained) measure_whole();
    return std::move(result_);
  }

 private:
  void leave(const std::string& reason) {
    result_.complete = false;
    if (result_.incomplete_reason.empty()) result_.incomplete_reason = reason;
  }

  std::string stopped(const TimedCell& cell) const {
    return is_set(options_.stop)
               ? std::string("it was interrupted")
               : fmt::format("{} needs more than {} simulations",
                             cell.outputs.empty() ? cell.kind : cell.outputs[0], options_.run_limit);
  }

  void measure(const CircuitPart& part, std::vector<OffsetRunner::Ticks> delays) {
    TimedCell& cell = result_.cells.emplace_back();
    for (std::size_t o = 0; o < part.output_count; ++o)
      cell.outputs.push_back(circuit_.net_name(part.observed[o]));
    Circuit own = extract_part(circuit_, part);
    if (!part.has_loop) {
      cell.kind = "logic";
      measure_logic(own, std::move(delays), cell);
      return;
    }
    ExplainOptions explain_options;
    explain_options.any_delay = options_.any_delay;
    explain_options.any_delay.stop = options_.stop;
    explain_options.stable_limit = options_.stable_limit;
    explain_options.input_limit = options_.input_limit;
    explain_options.jobs = options_.jobs;
    explain_options.stop = options_.stop;
    const CellStudy study = study_cell(std::move(own), part.output_count, explain_options);
    cell.kind = study.facts.kind;
    cell.stable_states = study.space.stable.size();
    cell.is_storage = study.behaviour.states_held > 1;
    if (!study.space.all_listed) {
      cell.note = "its stable states were not all listed, so nothing was measured";
      leave(study.space.incomplete_reason);
      return;
    }
    OffsetRunner runner(study.circuit, std::move(delays));
    TimingStarts starts;
    for (std::uint32_t s = 0; s < study.space.stable.size(); ++s) {
      std::vector<Value> inputs;
      for (NetId net = 0; net < study.circuit.input_count(); ++net)
        inputs.push_back(study.space.value(study.circuit, s, net));
      starts.inputs.push_back(std::move(inputs));
      const auto nodes = study.space.nodes_of(s);
      starts.gates.emplace_back(nodes.begin(), nodes.end());
    }
    bool complete = measure_propagation(runner, starts, options_, cell.propagation, cell.restless);
    if (!study.behaviour.is_usable) {
      cell.note = "what its inputs are for was not found out, so only propagation was measured";
      leave(study.space.complete ? "a storage cell was not understood" : study.space.incomplete_reason);
    } else {
      complete = measure_constraints(runner, study, options_, cell.constraints) && complete;
      if (study.facts.is_pulse_triggered) {
        cell.note =
            "setup is counted to the leading edge of the pulse, hold from its trailing edge, and between "
            "them the data must rest";
      }
      if (cell.is_storage && cell.constraints.empty()) {
        cell.note = "no input of it is a clock, a gate or a direct control: there is nothing to keep apart";
      }
    }
    if (!complete) leave(stopped(cell));
  }

  void measure_logic(const Circuit& own, std::vector<OffsetRunner::Ticks> delays, TimedCell& cell) {
    if (own.input_count() > options_.input_limit) {
      cell.propagation = bound_propagation(own, delays);
      cell.note =
          fmt::format("{} inputs are too many to try: the longest and the shortest path bound the delay",
                      own.input_count());
      return;
    }
    OffsetRunner runner(own, std::move(delays));
    TimingStarts starts;
    add_starts(own, starts);
    cell.stable_states = starts.size();
    if (!measure_propagation(runner, starts, options_, cell.propagation, cell.restless)) leave(stopped(cell));
  }

  // All stable states for all inputs, as long as they are no more than the limit. False: more, or stopped.
  bool add_starts(const Circuit& c, TimingStarts& starts, std::uint64_t limit = ~std::uint64_t{0}) const {
    for (std::uint64_t x = 0; x < (std::uint64_t{1} << c.input_count()); ++x) {
      std::vector<Value> inputs;
      for (NetId net = 0; net < c.input_count(); ++net) inputs.push_back(to_value((x >> net & 1u) != 0));
      StableSearch search;
      search.limit = limit - starts.size();
      search.stop = options_.stop;
      StableList list = find_stable_states(c, inputs, search);
      for (auto& state : list.states) {
        starts.inputs.push_back(inputs);
        starts.gates.push_back(std::move(state));
      }
      if (!list.complete || starts.size() >= limit || is_set(options_.stop)) return false;
    }
    return true;
  }

  void measure_whole() {
    if (circuit_.input_count() > std::min(most_whole_inputs, options_.input_limit)) return;
    TimingStarts starts;
    if (!add_starts(circuit_, starts, most_whole_runs / std::max(circuit_.input_count(), 1u))) return;
    OffsetRunner runner(circuit_, delays_);
    std::uint64_t restless = 0;
    if (!measure_propagation(runner, starts, options_, result_.through, restless)) result_.through.clear();
    // Of cells on their own it was said before.
    std::erase_if(result_.through, [&](const Propagation& row) {
      return std::any_of(result_.cells.begin(), result_.cells.end(), [&](const TimedCell& cell) {
        return std::any_of(cell.propagation.begin(), cell.propagation.end(), [&](const Propagation& known) {
          return known.from == row.from && known.to == row.to && known.least == row.least &&
                 known.most == row.most;
        });
      });
    });
  }

  const Circuit& circuit_;
  const TimingOptions& options_;
  const std::vector<OffsetRunner::Ticks> delays_;
  std::vector<CircuitPart> parts_;
  Timing result_;
};

}  // namespace

Timing measure_timing(const Circuit& circuit, const TimingOptions& options) {
  return TimingMeter(circuit, options).run();
}

}  // namespace settle
