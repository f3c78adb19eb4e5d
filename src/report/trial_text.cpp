#include <algorithm>

#include <fmt/format.h>

#include "report/diagram_text.h"
#include "report/ink.h"
#include "report/signal_view.h"
#include "settle/trial_report.h"

namespace settle {
namespace {

using namespace report;

WaveformView pins_only(const Waveform& waveform, bool with_inputs) {
  WaveformView view;
  for (const SignalGroup& group : waveform.groups) {
    if (group.role == SignalGroup::Role::output || (with_inputs && group.role == SignalGroup::Role::input))
      view.patterns.push_back(group.name);
  }
  return view;
}

std::string group_value(const Waveform& waveform, const SignalGroup& group) {
  std::string bits;
  for (const std::uint32_t bit : group.bits) {
    const Signal& signal = waveform.signals[bit];
    bits += signal.changes.empty() ? 'x' : to_char(signal.changes.back().value);
  }
  return group.bits.size() > 1 ? "0b" + bits : bits;
}

}  // namespace

std::string trial_findings(const Trial& trial, const TextStyle& style) {
  std::string out;
  for (const Finding* finding : trial.new_findings()) {
    const bool warns = finding->severity == FindingSeverity::warning;
    const std::string head = fmt::format("{} {}: ", warns ? "warning" : "note", name_of(finding->kind));
    bool is_first = true;
    for (const std::string& line :
         wrapped(head + finding->message, style.width, std::max(style.width, 3u) - 2)) {
      out += painted((is_first ? "" : "  ") + line, warns ? Ink::mark : Ink::plain, style.color) + "\n";
      is_first = false;
    }
  }
  return out;
}

std::string trial_state(const Trial& trial, const TextStyle& style) {
  const Waveform& waveform = trial.result().waveform;
  std::string inputs, outputs;
  for (const SignalGroup& group : waveform.groups) {
    if (group.role == SignalGroup::Role::inner) continue;
    std::string& side = group.role == SignalGroup::Role::input ? inputs : outputs;
    side += fmt::format(" {}={}", group.name, group_value(waveform, group));
  }
  return to_text(waveform.end, waveform.time_unit) + " " + inputs + " ->" + outputs + "\n" +
         trial_findings(trial, style);
}

std::string trial_waveform(const Trial& trial, std::size_t instants, const TextStyle& style,
                           bool with_inputs) {
  const Waveform& waveform = trial.result().waveform;
  WaveformView view = pins_only(waveform, with_inputs);
  std::vector<Time> times;
  for (const SignalGroup& group : waveform.groups) {
    if (group.role == SignalGroup::Role::inner) continue;
    for (const std::uint32_t bit : group.bits) {
      for (const Change& change : waveform.signals[bit].changes) times.push_back(change.time);
    }
  }
  std::ranges::sort(times);
  times.erase(std::unique(times.begin(), times.end()), times.end());
  if (times.size() > instants) view.from = times[times.size() - instants];
  return diagram_text(select_signals(waveform, view), {}, style);
}

}  // namespace settle
