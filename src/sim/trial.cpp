#include "settle/trial.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "settle/text_reader.h"

namespace settle {
namespace {

constexpr std::string_view place_name = "(typed)";

std::string_view without_blanks(std::string_view text) {
  constexpr std::string_view blanks = " \t\r\n;";
  const std::size_t first = text.find_first_not_of(blanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blanks) + 1 - first);
}

/// Value of a signal at the end of the run.
char last_value(const Signal& signal) {
  return signal.changes.empty() ? 'x' : to_char(signal.changes.back().value);
}

}  // namespace

Trial::Trial(const Circuit& circuit, RunOptions options, std::string head)
    : circuit_(circuit), options_(std::move(options)), head_(std::move(head)) {
  options_.record_all = true;
  std::string messages;
  std::optional<RunResult> start = run_all("", messages);
  steps_.push_back({"", start ? std::move(*start) : RunResult{}});
}

std::optional<RunResult> Trial::run_all(std::string_view more, std::string& messages) const {
  std::string text;
  for (const Step& step : steps_) text += step.text.empty() ? "" : step.text + "\n";
  const std::size_t old_length = text.size();
  text += more;
  Sources sources;
  Diagnostics diagnostics;
  TextReader reader(text);
  const Stimulus stimulus = parse_stimulus(std::string(place_name), reader, sources, diagnostics);
  if (stimulus.power_up.kind == PowerUp::Kind::every) {
    diagnostics.error({stimulus.file, stimulus.power_up.offset},
                      "'power-up every' has many start states, and here one is tried",
                      "'power-up random', or write it into the stimulus that is saved");
  }
  std::optional<RunResult> result;
  if (!diagnostics.has_errors()) result = run(circuit_, stimulus, options_, diagnostics);
  if (diagnostics.has_errors()) {
    messages = render(diagnostics, sources);
    return std::nullopt;
  }
  for (const ExpectationFailure& failure : result->failures) {
    if (failure.place.offset < old_length) continue;
    messages +=
        fmt::format("not so at {}: {}wanted {}, got {}\n", to_text(failure.time, circuit_.time_unit()),
                    failure.net.empty() ? "" : failure.net + " ", failure.want, failure.got);
  }
  return result;
}

bool Trial::act(std::string_view statements, std::string& messages) {
  messages.clear();
  const std::string_view text = without_blanks(statements);
  if (text.empty()) return true;
  std::optional<RunResult> result = run_all(text, messages);
  if (!result || !messages.empty()) return false;
  if (!result->complete) {
    messages = "the run ended early: " + result->incomplete_reason + "\n";
    return false;
  }
  steps_.push_back({std::string(text), std::move(*result)});
  return true;
}

bool Trial::undo() {
  if (count() == 0) return false;
  steps_.pop_back();
  return true;
}

Value Trial::value(NetId net) const {
  const std::vector<Signal>& signals = result().waveform.signals;
  const auto found = std::ranges::find(signals, net, &Signal::net);
  return found == signals.end() || found->changes.empty() ? Value::x : found->changes.back().value;
}

std::vector<const Finding*> Trial::new_findings() const {
  const std::vector<Finding>& now = result().findings;
  std::size_t before = count() == 0 ? 0 : steps_[steps_.size() - 2].result.findings.size();
  std::vector<const Finding*> fresh;
  for (std::size_t i = std::min(before, now.size()); i < now.size(); ++i) fresh.push_back(&now[i]);
  return fresh;
}

// By a statement that was typed, maybe later: a second one would find nothing.
bool Trial::is_claimed(const Finding& finding) const {
  return std::ranges::any_of(result().findings, [&](const Finding& last) {
    return last.expected && last.kind == finding.kind && last.time == finding.time && last.gates == finding.gates;
  });
}

std::string Trial::expectations(const Step& before, const Step& after) const {
  std::string out;
  // Warnings first: `expect warning` claims those up to the end of the next statement that lets time go on.
  for (std::size_t i = before.result.findings.size(); i < after.result.findings.size(); ++i) {
    const Finding& finding = after.result.findings[i];
    if (finding.severity != FindingSeverity::warning || is_claimed(finding)) continue;
    const std::string line = fmt::format("expect warning {}\n", name_of(finding.kind));
    if (out.find(line) == std::string::npos) out += line;
  }
  const Waveform& waveform = after.result.waveform;
  if (waveform.end == before.result.waveform.end) return out;
  std::string values;
  for (const SignalGroup& group : waveform.groups) {
    if (group.role != SignalGroup::Role::output) continue;
    std::string bits;
    for (const std::uint32_t bit : group.bits) bits += last_value(waveform.signals[bit]);
    values += fmt::format(" {}={}{}", group.name, group.bits.size() > 1 ? "0b" : "", bits);
  }
  if (!values.empty()) out += "expect" + values + "\n";
  return out;
}

std::string Trial::stimulus() const {
  std::string out = head_;
  for (std::size_t i = 1; i < steps_.size(); ++i) {
    out += steps_[i].text + "\n" + expectations(steps_[i - 1], steps_[i]);
  }
  return out;
}

}  // namespace settle
