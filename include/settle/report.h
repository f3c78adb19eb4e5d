// Results -> texts. Computes nothing, decides nothing.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "settle/circuit.h"
#include "settle/run.h"
#include "settle/table.h"

namespace settle {

/// The version of this library, "0.1.0".
std::string_view version();

struct TextStyle {
  unsigned width = 80;      ///< columns of the terminal
  bool ascii = false;       ///< only ASCII characters
  bool color = false;       ///< ANSI escapes, colours from the palette of Okabe and Ito (2008)
  bool quiet = false;       ///< no waveform, only findings and failures
};

/// Which part of a run to show.
struct WaveformView {
  Time from = 0;
  Time to = end_of_time;              ///< shown up to here, or the end of the run
  std::vector<std::string> patterns;  ///< signal names to show (* and ?); empty: all recorded
  bool diagram = true;                ///< false: run_text() gives only what follows the diagram
};

/// Timing diagram in characters, warnings marked at their time, then findings, expectations and
/// the verdict. `circuit` is named in the head line.
std::string run_text(const RunResult& result, const Circuit& circuit, const Sources& sources,
                     const TextStyle& style, const WaveformView& view = {});

/// The `most` signals with the most changes in the part shown, and totals, one line a signal: for long
/// runs. A bus counts the changes of all its bits.
std::string run_activity(const RunResult& result, std::size_t most, const WaveformView& view = {});

/// Document run/1.
std::string run_json(const RunResult& result, const Circuit& circuit, const Sources& sources,
                     const WaveformView& view = {});

/// Value change dump, IEEE 1364-2005 clause 18 (four-state). No date, so that equal runs give
/// equal files.
std::string run_vcd(const RunResult& result, const Circuit& circuit, const WaveformView& view = {});

/// One row for each time at which something shown changes, one column a signal. Fields are quoted as
/// in RFC 4180; lines end with a line feed.
std::string run_csv(const RunResult& result, const Circuit& circuit, const WaveformView& view = {});

/// Table in characters, what its symbols mean, and notes.
std::string table_text(const Table& table, const Circuit& circuit, const TextStyle& style);

/// The same as a pipe table for pages in Markdown.
std::string table_markdown(const Table& table, const Circuit& circuit);

/// A column for each input and output bit, a line for each row; notes are left out.
std::string table_csv(const Table& table);

/// Document table/1.
std::string table_json(const Table& table, const Circuit& circuit);

}  // namespace settle
