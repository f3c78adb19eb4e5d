#include "sim/bound_stimulus.h"

#include <algorithm>
#include <charconv>
#include <unordered_map>

#include <fmt/format.h>

namespace settle {
namespace {

class Binder {
 public:
  Binder(const Stimulus& stimulus, const Circuit& circuit, Diagnostics& diagnostics)
      : stimulus_(stimulus), circuit_(circuit), diagnostics_(diagnostics) {}

  BoundStimulus bind() {
    BoundStimulus bound;
    bound.power_up = stimulus_.power_up.kind;
    bound.power_up_place = at(stimulus_.power_up.offset);
    bound.seed = stimulus_.power_up.seed;
    for (const Assignment& a : stimulus_.power_up.values) {
      bound.start.push_back(assignment(a));
      check_gate_outputs(bound.start.back());
    }
    bound.statements.reserve(stimulus_.statements.size());
    for (const StimulusStatement& s : stimulus_.statements) bound.statements.push_back(statement(s));
    return bound;
  }

 private:
  Place at(std::uint32_t offset) const { return {stimulus_.file, offset}; }

  BoundStatement statement(const StimulusStatement& s) {
    using Kind = StimulusStatement::Kind;
    BoundStatement b;
    b.kind = s.kind;
    b.place = at(s.offset);
    b.count = s.count;
    b.seed = s.seed;
    b.body_end = s.body_end;
    b.name = s.net;
    b.other_name = s.other_net;
    b.other_rises = s.other_rises;
    b.word = s.word;
    b.duration = ticks(s.duration, s.duration_offset);
    b.since = ticks(s.since, s.since_offset);
    if (s.kind == Kind::clock) {
      b.period = ticks(s.period, s.period_offset);
      b.high = ticks(s.high, s.high_offset);
      if (s.has_until) b.until = ticks(s.until, s.until_offset);
      if (b.period <= b.high && !diagnostics_.has_errors()) {
        diagnostics_.error(at(s.high_offset), "a clock must be high for less than its period");
      }
    }
    if (s.kind == Kind::bounce) check_edges(s, b.duration);
    for (const Assignment& a : s.assignments) b.assignments.push_back(assignment(a));
    const bool drives = s.kind == Kind::set || s.kind == Kind::pulse || s.kind == Kind::bounce;
    if (drives) {
      for (const BoundAssignment& a : b.assignments) check_inputs(a);
    }
    if (s.kind == Kind::bounce && !b.assignments.empty() && b.assignments[0].bits.size() > 1) {
      diagnostics_.error(b.assignments[0].place,
                         fmt::format("'{}' is {} bits wide; one contact bounces", s.assignments[0].net,
                                     b.assignments[0].bits.size()),
                         "name one bit of it");
    }
    if (s.kind == Kind::clock || s.kind == Kind::expect_changes || s.kind == Kind::expect_time) {
      b.net = single_net(s.net, s.net_offset);
      if (s.kind == Kind::clock && b.net != no_id && !circuit_.is_input(b.net)) not_an_input(s.net, at(s.net_offset));
    }
    if (s.kind == Kind::expect_time) b.other_net = single_net(s.other_net, s.other_offset);
    if (s.kind == Kind::expect_warning) {
      if (const auto kind = finding_kind_from(s.word)) b.warning = *kind;
    }
    return b;
  }

  // A net that is one bit wide; no_id after an error.
  NetId single_net(const std::string& name, std::uint32_t offset) {
    const std::vector<NetId> nets = look_up(name, offset);
    if (nets.size() > 1) {
      diagnostics_.error(at(offset), fmt::format("'{}' is {} bits wide; one net is meant here", name, nets.size()),
                         fmt::format("name one bit of it, such as '{}'", circuit_.net_name(nets[0])));
    }
    return nets.size() == 1 ? nets[0] : no_id;
  }

  // Edges fall at different times, and all of them are kept while the contact bounces.
  void check_edges(const StimulusStatement& s, Time duration) {
    constexpr std::uint64_t most_edges = 1'000'001;
    if (s.count > most_edges) {
      diagnostics_.error(at(s.offset), fmt::format("{} edges are too many for one bounce; {} is the limit", s.count,
                                                   most_edges));
    } else if (s.count - 1 > duration && !diagnostics_.has_errors()) {
      diagnostics_.error(at(s.duration_offset),
                         fmt::format("{} edges do not fit within {}", s.count, to_text(duration, circuit_.time_unit())),
                         "edges fall at different times; allow more time or fewer edges");
    }
  }

  Time ticks(Duration duration, std::uint32_t offset) {
    const auto result = to_ticks(duration, circuit_.time_unit());
    if (result) return *result;
    if (circuit_.time_unit() == TimeUnit::none) {
      diagnostics_.error(at(offset),
                         fmt::format("'{}{}' has a unit, but the gates have unit delays", duration.count,
                                     name_of(duration.unit)),
                         "give the gates delays with units in the netlist, or write bare numbers");
    } else {
      diagnostics_.error(at(offset), fmt::format("'{}{}' is no whole number of ticks of 1 {}, or too long",
                                                 duration.count, name_of(duration.unit),
                                                 name_of(circuit_.time_unit())));
    }
    return 0;
  }

  // Names repeat all over a stimulus; each is looked up once.
  const std::vector<NetId>& look_up(const std::string& written, std::uint32_t offset) {
    const auto [entry, is_new] = found_.try_emplace(written);
    if (is_new) entry->second = resolve_name(written, offset);
    return entry->second;
  }

  std::vector<NetId> resolve_name(const std::string& written, std::uint32_t offset) {
    std::vector<NetId> nets = circuit_.find_bus(written);
    if (!nets.empty()) return nets;
    const std::size_t bracket = written.rfind('[');
    const std::size_t colon = bracket == std::string::npos ? bracket : written.find(':', bracket);
    if (colon != std::string::npos) {
      const std::string base = written.substr(0, bracket);
      std::uint32_t msb = 0, lsb = 0;
      std::from_chars(written.data() + bracket + 1, written.data() + colon, msb);
      std::from_chars(written.data() + colon + 1, written.data() + written.size(), lsb);
      const std::uint32_t width = (msb > lsb ? msb - lsb : lsb - msb) + 1;
      if (circuit_.find_bus(base).size() >= width) {
        for (std::uint32_t i = 0; i < width; ++i) {
          const std::uint32_t bit = msb > lsb ? msb - i : msb + i;
          const auto net = circuit_.find_net(fmt::format("{}[{}]", base, bit));
          if (!net) break;
          nets.push_back(*net);
        }
        if (nets.size() == width) return nets;
        nets.clear();
      }
    }
    diagnostics_.error(at(offset), fmt::format("cell '{}' has no net '{}'", circuit_.cell_name(), written),
                       hint_for(written));
    return nets;
  }

  std::string hint_for(const std::string& written) const {
    std::vector<std::string> names;
    for (const Port& port : circuit_.input_ports()) names.push_back(port.name);
    for (const Port& port : circuit_.output_ports()) names.push_back(port.name);
    constexpr std::uint32_t enough = 2000;  // a long list costs time and gives worse guesses
    for (NetId net = circuit_.input_count(); net < circuit_.net_count() && net < enough; ++net) {
      names.push_back(circuit_.net_name(net));
    }
    const std::vector<std::string_view> views(names.begin(), names.end());
    const std::string_view near = nearest_name(written, views);
    return near.empty() ? std::string() : fmt::format("did you mean '{}'?", near);
  }

  BoundAssignment assignment(const Assignment& a) {
    BoundAssignment bound;
    bound.name = a.net;
    bound.place = at(a.offset);
    const std::vector<NetId>& nets = look_up(a.net, a.offset);
    if (nets.empty()) return bound;
    const std::optional<std::string> bits = fitted(a.value, static_cast<std::uint32_t>(nets.size()));
    if (!bits) {
      diagnostics_.error(at(a.value.offset), fmt::format("the value needs {} bits, but '{}' has {}",
                                                         significant_bits(a.value), a.net, nets.size()));
      return bound;
    }
    for (std::size_t i = 0; i < nets.size(); ++i) bound.bits.push_back({nets[i], *value_from_char((*bits)[i])});
    return bound;
  }

  void not_an_input(const std::string& name, Place place) {
    diagnostics_.error(place, fmt::format("'{}' is not an input of cell '{}'", name, circuit_.cell_name()),
                       "only inputs can be driven; use 'expect' to check other nets");
  }

  void check_inputs(const BoundAssignment& a) {
    for (const BitValue& bit : a.bits) {
      if (!circuit_.is_input(bit.net)) return not_an_input(a.name, a.place);
    }
  }

  void check_gate_outputs(const BoundAssignment& a) {
    for (const BitValue& bit : a.bits) {
      if (circuit_.is_input(bit.net)) {
        diagnostics_.error(a.place, fmt::format("'{}' is an input; power-up values are for gate outputs", a.name),
                           fmt::format("write 'set {}=...' before the first wait", a.name));
        return;
      }
      if (!circuit_.is_gate_output(bit.net)) {
        diagnostics_.error(a.place, fmt::format("'{}' has no single gate that could power up with a value", a.name));
        return;
      }
    }
  }

  const Stimulus& stimulus_;
  const Circuit& circuit_;
  Diagnostics& diagnostics_;
  std::unordered_map<std::string, std::vector<NetId>> found_;
};

}  // namespace

std::optional<BoundStimulus> bind(const Stimulus& stimulus, const Circuit& circuit,
                                  Diagnostics& diagnostics) {
  const std::size_t errors_before = diagnostics.error_count();
  BoundStimulus bound = Binder(stimulus, circuit, diagnostics).bind();
  if (diagnostics.error_count() != errors_before) return std::nullopt;
  return bound;
}

}  // namespace settle
