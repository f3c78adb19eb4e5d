// The pen: draws one signal into the columns of a time axis.
#pragma once

#include <string_view>
#include <vector>

#include "report/ink.h"
#include "report/time_axis.h"

namespace settle::report {

/// The shapes of a drawing. A trace is two rows high: a high level runs along the upper row, a
/// low one along the lower, and an edge joins them in the column of the change.
struct Pen {
  std::string_view high, low;
  std::string_view rise_upper, rise_lower, fall_upper, fall_lower;
  std::string_view unknown_upper, unknown_lower;  ///< a hatched band
  std::string_view loose_upper, loose_lower;      ///< high impedance, half-way
  std::string_view to_loose_high, to_loose_low;   ///< an edge that ends half-way: from high, from low
  std::string_view from_loose_high, from_loose_low;
  std::string_view from_unknown_high, from_unknown_low;  ///< the other row of a level after a band
  std::string_view dense_upper, dense_lower;      ///< more than one change in the column
  std::string_view bus, bus_change, bus_dense, bus_unknown, bus_loose;  ///< a bus has one row
  std::string_view ellipsis;
  std::string_view gap, grid;
  std::string_view ruler, ruler_major, ruler_minor;
};

const Pen& pen(bool ascii);

/// Shapes that were used, for the key below the drawing.
struct Used {
  bool unknown = false, loose = false, dense = false, bus = false, cut = false, gap = false;
};

struct Trace {
  std::vector<Cell> upper, lower;  ///< one cell for each column of the axis
};

Trace draw(const ShownSignal& signal, const TimeAxis& axis, Time from, const Pen& pen, Used& used);

/// How a bus value is written, the best first: as in stimuli, 0b1x0 up to four bits and 0xB1
/// beyond, then without the prefix. A value with a half-known hexadecimal digit is written in
/// binary.
std::vector<std::string> bus_texts(std::string_view bits);

}  // namespace settle::report
