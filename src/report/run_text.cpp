// The text form of a run, put together from its parts.

#include <algorithm>

#include <fmt/format.h>

#include "report/diagram_text.h"
#include "report/finding_list.h"
#include "report/ink.h"

namespace settle {

namespace {

std::string head_line(const RunResult& result, const Circuit& circuit, const report::Selection& selection,
                      const TextStyle& style) {
  std::string line = circuit.cell_name();
  if (!line.empty()) line += ", ";
  line += fmt::format("time {} to {}", selection.from, to_text(selection.last, selection.unit));
  if (result.lanes > 1) line += fmt::format(", the first of {} start states", result.lanes);
  std::string out;
  const std::size_t width = std::max<std::size_t>(style.width, 40);
  for (const std::string& piece : report::wrapped(line, width, width)) {
    out += report::painted(piece, report::Ink::strong, style.color) + '\n';
  }
  return out;
}

void append_block(std::string& out, const std::string& block) {
  if (block.empty()) return;
  if (!out.empty()) out += '\n';
  out += block;
}

}  // namespace

std::string run_text(const RunResult& result, const Circuit& circuit, const Sources& sources,
                     const TextStyle& style, const WaveformView& view) {
  std::string out;
  if (!style.quiet && view.diagram) {
    const report::Selection selection = report::select_signals(result.waveform, view);
    out = head_line(result, circuit, selection, style);
    append_block(out, report::diagram_text(selection, report::marks_of(result), style));
  }
  append_block(out, report::finding_list(result, style));
  append_block(out, report::failure_list(result, sources, style));
  // Quiet runs only speak up when something is wrong.
  if (!style.quiet || !result.passes() || !result.complete) append_block(out, report::run_summary(result, style));
  return out;
}

}  // namespace settle
