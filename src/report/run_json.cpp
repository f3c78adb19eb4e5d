// Document run/1. The frame is built as a JSON value; the changes, which can be many millions, are
// appended as text, a signal a line.

#include <iterator>

#include <fmt/format.h>

#include "report/json_text.h"
#include "report/signal_view.h"
#include "settle/report.h"

namespace settle {

namespace {

using report::dump;
using report::Json;

std::string text_of(Value value) { return std::string(1, to_char(value)); }

template <typename T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json to_json(const Finding& finding) {
  Json causes = Json::array();
  for (const Finding::Cause& cause : finding.causes) {
    causes.push_back({{"net", cause.net},
                      {"time", cause.time},
                      {"from", text_of(cause.from)},
                      {"to", text_of(cause.to)}});
  }
  Json outcomes = Json::array();
  for (const std::vector<Value>& values : finding.outcomes) {
    Json outcome = Json::object();
    for (std::size_t i = 0; i < values.size() && i < finding.nets.size(); ++i) {
      outcome[finding.nets[i]] = text_of(values[i]);
    }
    outcomes.push_back(std::move(outcome));
  }
  Json json;
  json["kind"] = name_of(finding.kind);
  json["severity"] = finding.severity == FindingSeverity::warning ? "warning" : "note";
  json["time"] = finding.time;
  json["since"] = or_null(finding.since);
  json["nets"] = finding.nets;
  json["gates"] = finding.gates;
  json["cause"] = std::move(causes);
  json["period"] = or_null(finding.period);
  json["outcomes"] = std::move(outcomes);
  json["outcome_count"] = finding.outcome_count;
  json["may_hang"] = finding.may_hang;
  json["expected"] = finding.expected;
  json["skewed_verdict"] = finding.skewed_verdict ? Json(name_of(*finding.skewed_verdict)) : Json(nullptr);
  json["repeats"] = finding.repeats;
  json["message"] = finding.message;
  return json;
}

Json to_json(const ExpectationFailure& failure, const Sources& sources) {
  Json json;
  if (failure.place.exists()) {
    const Sources::LineColumn where = sources.locate(failure.place);
    json["file"] = sources.path(failure.place.file);
    json["line"] = where.line;
    json["column"] = where.column;
  } else {
    json["file"] = json["line"] = json["column"] = nullptr;
  }
  json["time"] = failure.time;
  json["net"] = failure.net;
  json["want"] = failure.want;
  json["got"] = failure.got;
  json["lane"] = failure.lane;
  json["history"] = failure.history;
  return json;
}

void append_signal(std::string& out, const Signal& signal, const report::Selection& selection) {
  fmt::format_to(std::back_inserter(out), "    {{\"name\": {}, \"changes\": [[{}, \"{}\"]",
                 dump(Json(signal.name), -1), selection.from, to_char(report::value_at(signal, selection.from)));
  for (std::size_t i = report::first_change_after(signal, selection.from);
       i < signal.changes.size() && signal.changes[i].time <= selection.last; ++i) {
    fmt::format_to(std::back_inserter(out), ", [{}, \"{}\"]", signal.changes[i].time,
                   to_char(signal.changes[i].value));
  }
  out += "]}";
}

void append_signals(std::string& out, const report::Selection& selection) {
  out += "  \"signals\": [";
  std::string_view separator = "\n";
  for (const report::ShownSignal& shown : selection.shown) {
    for (const Signal* bit : shown.bits) {
      out += separator;
      append_signal(out, *bit, selection);
      separator = ",\n";
    }
  }
  out += selection.shown.empty() ? "]" : "\n  ]";
}

/// Members of an object, indented as part of the document, with a comma after each but the last.
void append_members(std::string& out, const Json& object, bool more_follow) {
  const std::string text = dump(object, 2);  // "{\n  ...\n}"
  out.append(text, 2, text.size() - 4);
  if (more_follow) out += ',';
  out += '\n';
}

}  // namespace

std::string run_json(const RunResult& result, const Circuit& circuit, const Sources& sources,
                     const WaveformView& view) {
  const report::Selection selection = report::select_signals(result.waveform, view);
  Json head;
  head["schema"] = "run/1";
  head["settle"] = version();
  head["circuit"] = circuit.cell_name();
  head["complete"] = result.complete;
  head["incomplete_reason"] = result.complete ? Json(nullptr) : Json(result.incomplete_reason);
  head["time_unit"] = selection.unit == TimeUnit::none ? std::string_view("unit") : name_of(selection.unit);
  head["end_time"] = result.waveform.end;
  head["lanes"] = result.lanes;

  Json warnings = Json::array();
  for (const Finding& finding : result.findings) warnings.push_back(to_json(finding));
  Json failures = Json::array();
  for (const ExpectationFailure& failure : result.failures) failures.push_back(to_json(failure, sources));
  Json tail;
  tail["warnings"] = std::move(warnings);
  tail["expectations"] = {
      {"passed", result.passed}, {"failed", result.failed}, {"failures", std::move(failures)}};
  tail["verdict"] = result.complete && result.passes() ? "pass" : "fail";

  std::string out = "{\n";
  append_members(out, head, true);
  append_signals(out, selection);
  out += ",\n";
  append_members(out, tail, false);
  out += "}\n";
  return out;
}

}  // namespace settle
