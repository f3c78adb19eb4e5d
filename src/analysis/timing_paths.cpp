// Propagation delays.
//
// Measured: from every stable state each input changes alone, and the time of the last change of each output
// that follows is taken; least and most over all states. Exact for the delays given.
// Bounded, for logic with too many inputs: the longest and shortest paths by dynamic programming over
// (net, edge) in topological order; and, or, nand and nor pass an edge on in one direction only, xor and
// three-state gates in both. Every change of an output is made by a change of one of its gate's inputs, so no
// last change comes later than the longest path or earlier than the shortest one. Cost: linear per input.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "analysis/timing_cell.h"

namespace settle {
namespace {

struct PathKey {
  NetId from;
  bool from_rises;
  std::uint32_t output;
  bool to_rises;
  auto operator<=>(const PathKey&) const = default;
};

std::vector<NetEdge> path_to(const Circuit& c, const OffsetOutcome& outcome, NetId net) {
  std::vector<NetEdge> path;
  const RunChange* change = outcome.last_change(net);
  while (change != nullptr) {
    path.push_back({c.net_name(change->net), change->value == Value::one});
    change = change->cause == no_id ? nullptr : &outcome.changes[change->cause];
  }
  std::reverse(path.begin(), path.end());
  return path;
}

// The edges that a gate can answer an edge of one of its inputs with.
struct Answers {
  bool same, opposite;
};
Answers answers_of(GateKind kind) {
  switch (kind) {
    case GateKind::buf:
    case GateKind::and_:
    case GateKind::or_: return {true, false};
    case GateKind::not_:
    case GateKind::nand:
    case GateKind::nor: return {false, true};
    default: return {true, true};
  }
}

struct Arrival {
  bool is_reached = false;
  std::uint64_t least = 0, most = 0;
  NetId before = no_id;  // on the longest path
  bool before_rises = false;
};

class PathBounds {
 public:
  PathBounds(const Circuit& circuit, const std::vector<OffsetRunner::Ticks>& delays)
      : c_(circuit), delays_(delays), arrivals_(circuit.net_count() * 2) {
    order();
  }

  void from(NetId input, bool rises, std::vector<Propagation>& rows) {
    std::fill(arrivals_.begin(), arrivals_.end(), Arrival{});
    arrivals_[index(input, rises)].is_reached = true;
    for (const GateId gate : order_) visit(gate);
    for (const NetId output : c_.outputs()) {
      for (const bool to_rises : {true, false}) {
        const Arrival& arrival = arrivals_[index(output, to_rises)];
        if (!arrival.is_reached || output == input) continue;
        Propagation row;
        row.from = {c_.net_name(input), rises};
        row.to = {c_.net_name(output), to_rises};
        row.least = arrival.least;
        row.most = arrival.most;
        row.is_bound = true;
        NetId net = output;
        for (bool edge = to_rises; net != no_id;) {
          row.path.push_back({c_.net_name(net), edge});
          const Arrival& here = arrivals_[index(net, edge)];
          net = here.before;
          edge = here.before_rises;
        }
        std::reverse(row.path.begin(), row.path.end());
        rows.push_back(std::move(row));
      }
    }
  }

 private:
  static std::size_t index(NetId net, bool rises) { return std::size_t{net} * 2 + (rises ? 1 : 0); }

  void order() {
    std::vector<std::uint32_t> missing(c_.gate_count(), 0);
    std::vector<std::uint32_t> drivers(c_.net_count(), 0);  // of a shared wire, still missing
    std::vector<NetId> ready;
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) {
      missing[gate] = static_cast<std::uint32_t>(c_.fan_in(gate).size());
      ++drivers[c_.visible_net(gate)];
    }
    for (NetId net = 0; net < c_.net_count(); ++net) {
      if (drivers[net] == 0) ready.push_back(net);
    }
    const auto done = [&](GateId gate) {
      order_.push_back(gate);
      if (--drivers[c_.visible_net(gate)] == 0) ready.push_back(c_.visible_net(gate));
    };
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) {
      if (missing[gate] == 0) done(gate);
    }
    for (std::size_t i = 0; i < ready.size(); ++i) {
      const NetId net = ready[i];
      for (const GateId gate : c_.fan_out(net)) {
        if (--missing[gate] == 0) done(gate);
      }
    }
  }

  void visit(GateId gate) {
    const Answers answers = answers_of(c_.kind(gate));
    const NetId output = c_.visible_net(gate);
    for (const NetId pin : c_.fan_in(gate)) {
      for (const bool edge : {true, false}) {
        const Arrival& before = arrivals_[index(pin, edge)];
        if (!before.is_reached) continue;
        if (answers.same) reach(output, edge, before, pin, edge, gate);
        if (answers.opposite) reach(output, !edge, before, pin, edge, gate);
      }
    }
  }

  void reach(NetId net, bool rises, const Arrival& before, NetId pin, bool edge, GateId gate) {
    const std::uint64_t delay = rises ? delays_[gate].rise : delays_[gate].fall;
    Arrival& arrival = arrivals_[index(net, rises)];
    if (!arrival.is_reached || before.most + delay > arrival.most) {
      arrival.most = before.most + delay;
      arrival.before = pin;
      arrival.before_rises = edge;
    }
    arrival.least = arrival.is_reached ? std::min(arrival.least, before.least + delay) : before.least + delay;
    arrival.is_reached = true;
  }

  const Circuit& c_;
  const std::vector<OffsetRunner::Ticks>& delays_;
  std::vector<GateId> order_;
  std::vector<Arrival> arrivals_;  // by net and edge
};

}  // namespace

std::string timing_inputs_text(const Circuit& circuit, std::span<const Value> inputs) {
  std::string text;
  for (NetId net = 0; net < inputs.size(); ++net) {
    text += fmt::format("{}{}={}", net == 0 ? "" : " ", circuit.net_name(net), to_char(inputs[net]));
  }
  return text;
}

bool measure_propagation(OffsetRunner& runner, const TimingStarts& starts, const TimingOptions& options,
                         std::vector<Propagation>& rows, std::uint64_t& restless) {
  const Circuit& c = runner.circuit();
  std::map<PathKey, Propagation> found;
  std::uint64_t runs = 0;
  bool complete = true;
  for (std::size_t s = 0; s < starts.size() && complete; ++s) {
    for (NetId input = 0; input < c.input_count(); ++input) {
      if (++runs > options.run_limit || is_set(options.stop)) {
        complete = false;
        break;
      }
      const bool rises = starts.inputs[s][input] == Value::zero;
      const TimedChange change{input, to_value(rises), {0, false}};
      const OffsetOutcome outcome = runner.run(starts.inputs[s], starts.gates[s], {&change, 1}, 0);
      if (outcome.kind != OffsetOutcome::Kind::rests) {
        ++restless;
        continue;
      }
      for (std::uint32_t o = 0; o < c.outputs().size(); ++o) {
        const NetId output = c.outputs()[o];
        const RunChange* last = outcome.last_change(output);
        if (last == nullptr || output == input || !is_binary(last->value)) continue;
        const auto time = static_cast<std::uint64_t>(last->when.base);
        Propagation& row = found[{input, rises, o, last->value == Value::one}];
        if (row.cases++ == 0 || time > row.most) {
          row.most = time;
          row.path = path_to(c, outcome, output);
          row.when = timing_inputs_text(c, starts.inputs[s]);
          if (row.cases == 1) row.least = time;
        }
        row.least = std::min(row.least, time);
      }
    }
  }
  for (auto& [key, row] : found) {
    row.from = {c.net_name(key.from), key.from_rises};
    row.to = {c.output_bit_name(key.output), key.to_rises};
    rows.push_back(std::move(row));
  }
  return complete;
}

std::vector<Propagation> bound_propagation(const Circuit& circuit,
                                           const std::vector<OffsetRunner::Ticks>& delays) {
  std::vector<Propagation> rows;
  PathBounds bounds(circuit, delays);
  for (NetId input = 0; input < circuit.input_count(); ++input) {
    for (const bool rises : {false, true}) bounds.from(input, rises, rows);
  }
  return rows;
}

}  // namespace settle
