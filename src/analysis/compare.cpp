// The order of the methods, and the pins.
#include "settle/compare.h"

#include <algorithm>

#include <fmt/format.h>

#include "analysis/compare_steps.h"

namespace settle {
namespace {

const Port* port_named(const std::vector<Port>& ports, std::string_view name) {
  const auto found = std::find_if(ports.begin(), ports.end(), [&](const Port& p) { return p.name == name; });
  return found == ports.end() ? nullptr : &*found;
}

class PinMatcher {
 public:
  PinMatcher(const CompareOptions& options, Diagnostics& diagnostics) : options_(options), diagnostics_(diagnostics) {}

  bool match(const std::vector<Port>& a, const std::vector<Port>& b, const char* side, std::vector<std::uint32_t>& bits) {
    std::vector<bool> taken(b.size(), false);
    for (const Port& port : a) {
      const Port* other = port_named(b, name_in_b(port.name));
      if (other == nullptr) {
        fail(fmt::format("the second circuit has no {} '{}'", side, name_in_b(port.name)), nearest(name_in_b(port.name), b));
        continue;
      }
      if (other->width != port.width) {
        fail(fmt::format("{} '{}' has {} bit{} in the first circuit and {} in the second", side, port.name, port.width,
                         port.width == 1 ? "" : "s", other->width), "");
        continue;
      }
      taken[static_cast<std::size_t>(other - b.data())] = true;
      if (bits.size() < port.first + port.width) bits.resize(port.first + port.width);
      for (std::uint32_t i = 0; i < port.width; ++i) bits[port.first + i] = other->first + i;
    }
    for (std::size_t i = 0; i < b.size(); ++i) {
      if (!taken[i]) fail(fmt::format("the first circuit has no {} '{}'", side, b[i].name), nearest(b[i].name, a));
    }
    return good_;
  }

  void check_names(const Circuit& a, const Circuit& b) {
    for (const auto& [first, second] : options_.pins) {
      const bool in_a = port_named(a.input_ports(), first) != nullptr || port_named(a.output_ports(), first) != nullptr;
      const bool in_b = port_named(b.input_ports(), second) != nullptr || port_named(b.output_ports(), second) != nullptr;
      if (!in_a) fail(fmt::format("the first circuit has no pin '{}'", first), nearest(first, a.input_ports(), a.output_ports()));
      if (!in_b) fail(fmt::format("the second circuit has no pin '{}'", second), nearest(second, b.input_ports(), b.output_ports()));
    }
  }

  bool good() const { return good_; }

 private:
  std::string_view name_in_b(std::string_view name) const {
    for (const auto& [first, second] : options_.pins) {
      if (first == name) return second;
    }
    return name;
  }

  template <typename... Lists>
  std::string nearest(std::string_view name, const Lists&... lists) const {
    std::vector<std::string_view> names;
    const auto add = [&](const std::vector<Port>& ports) {
      for (const Port& p : ports) names.push_back(p.name);
    };
    (add(lists), ...);
    const auto found = nearest_name(name, names);
    return found.empty() ? "say which pins belong together: --pins NAME_IN_FIRST=NAME_IN_SECOND,..."
                         : fmt::format("did you mean '{}'? Say which pins belong together: --pins NAME_IN_FIRST=NAME_IN_SECOND,...", found);
  }

  void fail(std::string text, std::string hint) {
    good_ = false;
    diagnostics_.error({}, std::move(text), std::move(hint));
  }

  const CompareOptions& options_;
  Diagnostics& diagnostics_;
  bool good_ = true;
};

}  // namespace

bool match_pins(const Circuit& a, const Circuit& b, const CompareOptions& options, PinMatch& match,
                Diagnostics& diagnostics) {
  PinMatcher matcher(options, diagnostics);
  matcher.check_names(a, b);
  if (!matcher.good()) return false;
  matcher.match(a.input_ports(), b.input_ports(), "input", match.inputs);
  matcher.match(a.output_ports(), b.output_ports(), "output", match.outputs);
  return matcher.good();
}

namespace {

bool ends_unknown(const Comparison& difference) {
  if (difference.found.empty() || difference.output >= difference.found.back().size()) return false;
  return !is_binary(difference.found.back()[difference.output]);
}

}  // namespace

Comparison compare(const Circuit& a, const Circuit& b, const PinMatch& match, const CompareOptions& options) {
  Comparison result;
  if (same_gates(a, b, match)) {
    result.answer = Comparison::Answer::equal;
    result.proof = Comparison::Proof::gates;
    return result;
  }
  if (a.loop_count() == 0 && b.loop_count() == 0) {
    compare_by_inputs(a, b, match, options, result);
    if (result.answer != Comparison::Answer::undecided) return result;
  }
  // A short search first: most differences show soon, and only it changes several inputs at once.
  CompareOptions brief = options;
  brief.search_nodes = std::min<std::uint64_t>(options.search_nodes, 500);
  brief.walk_steps = 0;
  search_difference(a, b, match, brief, result);
  // Known here and unknown there may be the caution of the simulation: a proof over all states outweighs it.
  if (result.answer == Comparison::Answer::different && ends_unknown(result)) {
    Comparison proved;
    compare_by_states(a, b, match, options, proved);
    if (proved.answer == Comparison::Answer::equal) return proved;
  }
  if (result.answer != Comparison::Answer::undecided) return result;
  compare_by_states(a, b, match, options, result);
  if (result.answer != Comparison::Answer::equal) search_difference(a, b, match, options, result);
  return result;
}

}  // namespace settle
