#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <map>

#include <fmt/format.h>

#include "report/ink.h"
#include "report/margin_words.h"
#include "report/state_names.h"
#include "report/states_parts.h"
#include "settle/margin_report.h"

namespace settle {
namespace report {

std::string spread_text(double spread, const StepMargin& margin) {
  std::string text = fmt::format("{:.2f}", spread * 100);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  text += " %";
  if (margin.fraction && margin.fraction->second > 1 && margin.fraction->second < 1000 &&
      std::abs(spread - margin.least) < 1e-9) {
    text += fmt::format(" ({}/{})", margin.fraction->first, margin.fraction->second);
  }
  return text;
}

std::string race_text(const MarginRace& race, const Circuit& circuit) {
  const auto path = [&circuit](const std::vector<GateId>& gates) {
    std::string text;
    for (std::size_t i = 0; i < gates.size(); ++i) {
      if (i != 0) text += i + 1 == gates.size() ? " and " : ", ";
      text += circuit.gate_name(gates[i]);
    }
    if (gates.empty()) text = "the input itself";
    return gates.size() > 1 ? text + " together" : text;
  };
  return fmt::format("{} must be faster than {} ({} against {})", path(race.faster), path(race.slower),
                     to_text(race.faster_time, circuit.time_unit()),
                     to_text(race.slower_time, circuit.time_unit()));
}

const char* margin_kind_name(MarginKind kind) {
  switch (kind) {
    case MarginKind::exact: return "exact";
    case MarginKind::between: return "between";
    case MarginKind::unlimited: return "unlimited";
    case MarginKind::undecided: return "undecided";
    case MarginKind::unknown: break;
  }
  return "unknown";
}

}  // namespace report

namespace {

using report::counted;

constexpr std::size_t most_margins = 12;
constexpr std::size_t telling_outputs = 6;

class MarginText {
 public:
  MarginText(const MarginStudy& study, const Circuit& circuit, const TextStyle& style, bool all)
      : study_(study),
        space_(study.space),
        circuit_(circuit),
        style_(style),
        all_(all),
        width_(std::max(style.width, 40u)) {}

  std::string text() {
    std::string out =
        report::painted(circuit_.cell_name(), report::Ink::strong, style_.color) +
        fmt::format(": {}, {}, {}\n", counted(circuit_.gate_count(), "gate"),
                    counted(circuit_.loop_count(), "loop"), counted(circuit_.input_count(), "input"));
    out += lines(summary(), 2, 2);
    out += lines(counts(), 2, 2);
    if (!space_.incomplete_reason.empty() && !study_.complete)
      out += lines("Incomplete: " + space_.incomplete_reason + ".", 2, 2);
    std::size_t shown = 0;
    for (const StepMargin& margin : study_.steps) {
      if (!all_ && shown == most_margins) {
        out += fmt::format("  ... and {}; --all shows them\n",
                           counted(study_.steps.size() - shown, "more step"));
        break;
      }
      ++shown;
      out += step(margin);
    }
    return out;
  }

 private:
  static bool has_margin(const StepMargin& m) {
    return m.kind == MarginKind::exact || m.kind == MarginKind::between;
  }

  std::string lines(std::string_view text, std::size_t first, std::size_t rest) const {
    std::string out;
    bool start = true;
    for (const std::string& piece : report::wrapped(text, width_ - first, width_ - rest)) {
      out += std::string(start ? first : rest, ' ') + piece + '\n';
      start = false;
    }
    return out;
  }

  // What all steps together stand.
  std::string summary() const {
    const auto worst = std::find_if(study_.steps.begin(), study_.steps.end(), has_margin);
    const bool some_undecided =
        std::any_of(study_.steps.begin(), study_.steps.end(),
                    [](const StepMargin& m) { return m.kind == MarginKind::undecided; });
    const std::string limits = study_.complete ? "" : " as far as was looked";
    if (worst == study_.steps.end()) {
      if (study_.settled == 0 && study_.steps.empty()) {
        if (study_.never_rest != 0) return "No step has a right ending: none of those looked at comes to rest.";
        return study_.complete ? "Tolerance: any. There is no step from one stable state to another."
                               : "Tolerance: not known. No step from one stable state to another could be looked at.";
      }
      if (some_undecided)
        return "Some steps have no right ending: the nominal delays themselves leave them undecided.";
      return fmt::format(
          "Tolerance: any{}. No delays of the gates that stay what they are during a step spoil it.", limits);
    }
    std::string text =
        worst->least == 0
            ? std::string("Tolerance: none. The least deviation from nominal delays can spoil a step.")
            : fmt::format(
                  "Tolerance: less than {}{}. As long as every gate is nearer to its nominal delay than "
                  "that, "
                  "each step ends as with nominal delays.",
                  report::spread_text(worst->least, *worst), limits);
    if (some_undecided) text += " Left out are steps that nominal delays themselves leave undecided.";
    return text;
  }

  std::string counts() const {
    std::string text = fmt::format(
        "{} looked at: {} whatever the delays", counted(study_.settled + study_.steps.size() + study_.never_rest, "step"),
        study_.settled == 1 ? "1 settles" : fmt::format("{} settle", study_.settled));
    if (study_.never_rest != 0) text += study_.never_rest == 1 ? ", 1 never rests" : fmt::format(", {} never rest", study_.never_rest);
    return text + (study_.steps.empty() ? "." : ". The others, the least tolerance first:");
  }

  std::string head(const StepMargin& margin) const {
    const Transition& t = space_.transitions[margin.transition];
    const VectorIndex changed = space_.stable[t.from].inputs ^ t.inputs;
    std::string text = report::input_assignments(space_, circuit_, t.inputs, changed);
    if (std::popcount(changed) > 1) text += " at once";
    const std::string still = report::input_assignments(space_, circuit_, t.inputs, ~changed);
    if (!still.empty()) text += " with " + still;
    std::vector<NetId> nets = report::shown_outputs(circuit_);
    if (nets.size() > telling_outputs) nets.resize(telling_outputs);
    text += ", from " + report::assignments(space_, circuit_, t.from, nets) + ": ";
    switch (margin.kind) {
      case MarginKind::exact:
        if (margin.least == 0) return text + "nominal delays settle it, but the least deviation can spoil it";
        return text + "right with less than " + report::spread_text(margin.least, margin);
      case MarginKind::between:
        text += fmt::format("right with less than {}, proved; ", report::spread_text(margin.least, margin));
        return text + (margin.most < 1
                           ? fmt::format("wrong with {}, found by trial (a limit stopped the search)",
                                         report::spread_text(margin.most, margin))
                           : std::string("no wrong ending was found beyond (a limit stopped the search)"));
      case MarginKind::unlimited:
        return text + "right whatever the delays, as long as they stay what they are";
      case MarginKind::undecided: return text + "undecided with nominal delays";
      case MarginKind::unknown: break;
    }
    return text + "not analysed";
  }

  std::string step(const StepMargin& margin) const {
    std::string out = lines(head(margin), 2, 4);
    for (const MarginRace& race : margin.races) out += lines(report::race_text(race, circuit_), 4, 6);
    if (margin.witness) out += lines(witness(margin), 4, 6);
    return out;
  }

  std::string witness(const StepMargin& margin) const {
    std::string where = "never rests";
    std::string right = report::assignments(space_, circuit_, margin.right, report::shown_outputs(circuit_));
    if (margin.witness->state != no_state) {
      const std::vector<std::uint32_t> states{margin.right, margin.witness->state};
      const auto nets = report::telling_nets(space_, circuit_, states, telling_outputs);
      where = "ends in " + report::assignments(space_, circuit_, margin.witness->state, nets);
      right = report::assignments(space_, circuit_, margin.right, nets);
    }
    return fmt::format("with {} it {} instead of {} if {}",
                       report::spread_text(margin.witness_spread, margin), where, right, delays(margin));
  }

  // Delays of the gates that deviate, in nominal delays of their own.
  std::string delays(const StepMargin& margin) const {
    const auto scale = static_cast<double>(margin.scale);
    std::vector<GateId> moved;
    for (const Ending::Instant& instant : margin.witness->order)
      moved.insert(moved.end(), instant.gates.begin(), instant.gates.end());
    std::map<double, std::vector<GateId>, std::greater<>> by_factor;  // in thousandths
    for (const Ending::Delay& d : margin.witness->delays) {
      if (std::find(moved.begin(), moved.end(), d.gate) == moved.end()) continue;
      const std::uint64_t nominal = std::max<std::uint64_t>(circuit_.delay(d.gate).rise.typ, 1);
      const double factor =
          std::round(1000.0 * static_cast<double>(d.rise) / (scale * static_cast<double>(nominal)));
      if (factor != 1000) by_factor[factor].push_back(d.gate);
    }
    std::string text;
    for (const auto& [factor, gates] : by_factor) {
      if (!text.empty()) text += "; ";
      for (std::size_t i = 0; i < gates.size(); ++i) {
        if (i != 0) text += i + 1 == gates.size() ? " and " : ", ";
        text += circuit_.gate_name(gates[i]);
      }
      text += fmt::format(" {} {:.4g}", gates.size() == 1 ? "takes" : "take", factor / 1000);
    }
    return text.empty() ? std::string("the delays are those of the witness") : text + " times nominal";
  }

  const MarginStudy& study_;
  const StateSpace& space_;
  const Circuit& circuit_;
  const TextStyle& style_;
  bool all_;
  std::size_t width_;
};

}  // namespace

std::string margin_text(const MarginStudy& study, const Circuit& circuit, const TextStyle& style, bool all) {
  return MarginText(study, circuit, style, all).text();
}

}  // namespace settle
