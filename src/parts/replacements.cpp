// The ways are laws of two-valued logic, one rule a law, and has_function() tries each on all inputs:
//
//   tied   inputs joined: nand(a,a) = nor(a,a) = not a, and(a,a) = or(a,a) = a; a neutral constant on
//          spare inputs: 1 for and, nand, 0 for or, nor, xor
//   full   the inverse and an inverter; De Morgan's laws; xor from four nands and xnor from four nors; a
//          wide gate from smaller ones; a three-state buffer with its data or its control inverted
#include "parts/replacements.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle {
namespace {

using enum GateKind;

/// Wider gates are only halved: more ways would fill pages, and no package is near.
constexpr std::uint32_t most_listed_inputs = 16;

bool takes_many(GateKind kind) { return kind >= and_ && kind <= xnor; }

/// The value that does not matter on a spare input.
int neutral_of(GateKind kind) { return kind == and_ || kind == nand ? WayGate::one : WayGate::zero; }

GateKind inverse_of(GateKind kind) {
  switch (kind) {
    case and_: return nand;
    case nand: return and_;
    case or_: return nor;
    case nor: return or_;
    case xor_: return xnor;
    case xnor: return xor_;
    case buf: return not_;
    case not_: return buf;
    case notif0: return bufif0;
    case notif1: return bufif1;
    default: return kind;
  }
}

/// The gate that equals `kind` when each of its inputs is inverted.
GateKind dual_of(GateKind kind) {
  switch (kind) {
    case and_: return nor;
    case nor: return and_;
    case or_: return nand;
    case nand: return or_;
    default: return kind;
  }
}

/// The gate without inversion: a wide nor is a nor of ors.
GateKind base_of(GateKind kind) {
  switch (kind) {
    case nand: return and_;
    case nor: return or_;
    case xnor: return xor_;
    default: return kind;
  }
}

int step(std::size_t gate) { return WayGate::first_step + static_cast<int>(gate); }

std::vector<int> all_inputs(std::uint32_t count) {
  std::vector<int> inputs;
  for (std::uint32_t i = 0; i < count; ++i) inputs.push_back(static_cast<int>(i));
  return inputs;
}

class Ways {
 public:
  Ways(const GateNeed& need, const std::vector<GateNeed>& packages) : need_(need), packages_(packages) {}

  std::vector<Way> list(Substitute level) {
    for (const GateNeed& package : packages_) {
      if (package == need_) add(Substitute::none, {{package, all_inputs(need_.inputs)}}, "");
    }
    if (level >= Substitute::tied) {
      for (const GateNeed& package : packages_) add_tied(package);
    }
    if (level >= Substitute::full) add_several();
    return std::move(ways_);
  }

 private:
  void add(Substitute level, std::vector<WayGate> gates, std::string text) {
    ways_.push_back({level, std::move(gates), std::move(text), false});
  }

  void add_tied(const GateNeed& package) {
    if (package == need_) return;
    const auto m = package.inputs;
    const bool joins = (need_.kind == not_ && (package.kind == nand || package.kind == nor)) ||
                       (need_.kind == buf && (package.kind == and_ || package.kind == or_));
    if (joins) {
      add(Substitute::tied, {{package, std::vector<int>(m, 0)}},
          fmt::format("from a {} with its inputs tied", text_of(package)));
      return;
    }
    if (need_.kind == package.kind && takes_many(need_.kind) && m > need_.inputs && need_.kind != xnor) {
      auto inputs = all_inputs(need_.inputs);
      inputs.resize(m, neutral_of(need_.kind));
      add(Substitute::tied, {{package, std::move(inputs)}},
          fmt::format("from a {}, the spare input at rest", text_of(package)));
      return;
    }
    const bool by_xor =
        m == 2 && (need_.kind == not_ || need_.kind == buf) && (package.kind == xor_ || package.kind == xnor);
    const bool by_buffer = need_.kind == buf && (package.kind == bufif0 || package.kind == bufif1);
    if (by_xor) {
      const bool one = (need_.kind == not_) == (package.kind == xor_);
      add(Substitute::tied, {{package, {0, one ? WayGate::one : WayGate::zero}}},
          fmt::format("from a {} with one input at {}", text_of(package), one ? 1 : 0));
    } else if (by_buffer) {
      add(Substitute::tied, {{package, {0, package.kind == bufif1 ? WayGate::one : WayGate::zero}}},
          fmt::format("from a {} that is always enabled", text_of(package)));
    }
  }

  void add_several() {
    const auto n = need_.inputs;
    const GateNeed inverter{not_, 1};
    if (is_three_state(need_.kind)) {
      if (need_.kind == notif0 || need_.kind == notif1) {
        add(Substitute::full, {{inverter, {0}}, {{inverse_of(need_.kind), 2}, {step(0), 1}}},
            fmt::format("from a {} behind a not", name_of(inverse_of(need_.kind))));
      } else {
        const GateKind other = need_.kind == bufif0 ? bufif1 : bufif0;
        add(Substitute::full, {{inverter, {1}}, {{other, 2}, {0, step(0)}}},
            fmt::format("from a {} with its control inverted", name_of(other)));
      }
      return;
    }
    if (need_.kind == buf) {
      add(Substitute::full, {{inverter, {0}}, {inverter, {step(0)}}}, "from two nots");
      return;
    }
    if (!takes_many(need_.kind) || n < 2) return;
    if (n > most_listed_inputs) return add_split((n + 1) / 2, n / 2);
    const GateNeed inverse{inverse_of(need_.kind), n};
    add(Substitute::full, {{inverse, all_inputs(n)}, {inverter, {step(0)}}},
        fmt::format("from a {} and a not", text_of(inverse)));
    if (const GateNeed dual{dual_of(need_.kind), n}; dual != need_) {
      std::vector<WayGate> gates;
      WayGate last{dual, {}};
      for (std::uint32_t i = 0; i < n; ++i) {
        gates.push_back({inverter, {static_cast<int>(i)}});
        last.inputs.push_back(step(i));
      }
      gates.push_back(last);
      add(Substitute::full, std::move(gates),
          fmt::format("from a {} behind nots (De Morgan)", text_of(dual)));
    }
    if (n == 2 && (need_.kind == xor_ || need_.kind == xnor)) {
      const GateNeed small{need_.kind == xor_ ? nand : nor, 2};
      add(Substitute::full,
          {{small, {0, 1}}, {small, {0, step(0)}}, {small, {1, step(0)}}, {small, {step(1), step(2)}}},
          fmt::format("from four {} gates", text_of(small)));
    }
    if (n >= 3) add_splits();
  }

  /// The first `count` inputs go through a gate of their own.
  void add_split(std::uint32_t front, std::uint32_t back) {
    const auto n = need_.inputs;
    const GateKind base = base_of(need_.kind);
    std::vector<WayGate> gates;
    WayGate last{{need_.kind, 0}, {}};
    const auto part = [&](std::uint32_t begin, std::uint32_t end) {
      if (end - begin == 1) return last.inputs.push_back(static_cast<int>(begin));
      WayGate gate{{base, end - begin}, {}};
      for (auto i = begin; i < end; ++i) gate.inputs.push_back(static_cast<int>(i));
      last.inputs.push_back(step(gates.size()));
      gates.push_back(std::move(gate));
    };
    part(0, front);
    if (back > 0) part(front, front + back);
    for (auto i = front + back; i < n; ++i) last.inputs.push_back(static_cast<int>(i));
    last.need.inputs = static_cast<std::uint32_t>(last.inputs.size());
    const std::string text = fmt::format("from a {} behind smaller gates", text_of(last.need));
    gates.push_back(std::move(last));
    add(Substitute::full, std::move(gates), text);
  }

  void add_splits() {
    const auto n = need_.inputs;
    add_split(n - 1, 0);                       // two inputs at the end
    if (n > 3) add_split(2, 0);                // one fewer
    if (n > 3) add_split((n + 1) / 2, n / 2);  // halves
  }

  const GateNeed need_;
  const std::vector<GateNeed>& packages_;
  std::vector<Way> ways_;
};

}  // namespace

std::string_view name_of(Substitute level) {
  static constexpr std::string_view names[] = {"none", "tied", "full"};
  return names[static_cast<std::size_t>(level)];
}

std::string text_of(const GateNeed& need) {
  if (is_three_state(need.kind) || need.inputs < 2) return std::string(name_of(need.kind));
  return fmt::format("{}-input {}", need.inputs, name_of(need.kind));
}

std::vector<Way> ways_of(const GateNeed& need, const std::vector<GateNeed>& packages, Substitute level) {
  return Ways(need, packages).list(level);
}

GateNeed without_repeats(const GateNeed& need, std::vector<WireNetId>& inputs) {
  if (need.kind < and_ || need.kind > nor) return need;
  const WireNetId neutral = neutral_of(need.kind) == WayGate::one ? supply_net : ground_net;
  std::vector<WireNetId> kept;
  for (const WireNetId net : inputs) {
    if (net != neutral && std::find(kept.begin(), kept.end(), net) == kept.end()) kept.push_back(net);
  }
  if (kept.empty() || kept.size() == inputs.size()) return need;
  inputs = kept;
  const auto count = static_cast<std::uint32_t>(kept.size());
  if (count > 1) return {need.kind, count};
  return {need.kind == nand || need.kind == nor ? not_ : buf, 1};
}

bool has_function(const Way& way, const GateNeed& need) {
  if (need.inputs > most_listed_inputs) return false;
  std::vector<Value> inputs(need.inputs), steps(way.gates.size()), pins;
  for (std::uint64_t vector = 0; vector < (std::uint64_t{1} << need.inputs); ++vector) {
    for (std::uint32_t i = 0; i < need.inputs; ++i)
      inputs[i] = (vector >> i & 1) != 0 ? Value::one : Value::zero;
    for (std::size_t g = 0; g < way.gates.size(); ++g) {
      pins.clear();
      for (const int from : way.gates[g].inputs) {
        pins.push_back(from == WayGate::zero  ? Value::zero
                       : from == WayGate::one ? Value::one
                       : from >= WayGate::first_step
                           ? steps[static_cast<std::size_t>(from - WayGate::first_step)]
                           : inputs[static_cast<std::size_t>(from)]);
      }
      steps[g] = evaluate(way.gates[g].need.kind, pins);
    }
    if (steps.back() != evaluate(need.kind, inputs)) return false;
  }
  return true;
}

}  // namespace settle
