// Comma-separated values: quoting as in RFC 4180, lines end with a line feed.

#include <iterator>

#include <fmt/format.h>

#include "report/csv_field.h"
#include "report/signal_view.h"
#include "settle/report.h"

namespace settle {

namespace {

void append_row(std::string& out, Time time, const std::vector<std::string>& values) {
  fmt::format_to(std::back_inserter(out), "{}", time);
  for (const std::string& value : values) {
    out += ',';
    out += value;
  }
  out += '\n';
}

}  // namespace

std::string run_csv(const RunResult& result, const Circuit&, const WaveformView& view) {
  const report::Selection selection = report::select_signals(result.waveform, view);
  std::string out = "time";
  std::vector<std::string> values;
  values.reserve(selection.shown.size());
  for (const report::ShownSignal& signal : selection.shown) {
    out += ',';
    report::append_csv_field(out, signal.name);
    values.push_back(bits_at(signal, selection.from));
  }
  out += '\n';
  append_row(out, selection.from, values);
  report::ChangeStream stream(selection);
  for (auto changes = stream.next(); !changes.empty(); changes = stream.next()) {
    for (const report::BitChange& change : changes) values[change.shown][change.bit] = to_char(change.value);
    append_row(out, changes.front().time, values);
  }
  return out;
}

}  // namespace settle
