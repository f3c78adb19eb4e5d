// The timing diagram of a run as a picture (SVG).
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/report.h"
#include "settle/run.h"

namespace settle {

/// From changes of one shown signal to the changes of another, or the same, that follow: names as shown, the
/// range of a bus may be left out.
struct MeasuredPair {
  std::string from, to;
};

struct TimingDiagramOptions {
  WaveformView view;
  /// A row each below the waveforms, with the lengths of the intervals from each change of the first signal
  /// to the next change of the second, unless the first one changes again before. Changes from and to unknown
  /// values are passed over.
  std::vector<MeasuredPair> measures;
  /// Arrows from each change to the changes of shown nets that it brought, through nets that are not shown.
  /// Needs a run that recorded all nets.
  bool causes = false;
  std::size_t change_limit = 5'000;  ///< changes that one picture may have
};

/// The picture, or why there is none.
struct TimingDiagram {
  std::string svg;
  std::string error, hint;     ///< a sentence as in messages; empty when there is a picture
  bool is_wrong_name = false;  ///< why there is none: a measured signal is not shown
};

/// Ruler, one row a signal, unknown values hatched, buses as lozenges with their values, findings marked by
/// letters with their messages below. The same run always gives the same bytes.
TimingDiagram draw_timing(const RunResult& result, const Circuit& circuit,
                          const TimingDiagramOptions& options = {});

}  // namespace settle
