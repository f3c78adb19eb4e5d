// How time lies on the columns of a diagram in text.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "report/signal_view.h"

namespace settle::report {

/// One column of the drawing, before it is folded into strips.
struct AxisColumn {
  enum class Kind : std::uint8_t {
    start,  ///< changes at begin <= time < end are drawn here
    rest,   ///< a further column of the tick before
    gap,    ///< stands for a quiet stretch that is left out
  };
  Time begin = 0, end = 0;  ///< end is exclusive
  Kind kind = Kind::start;
};

struct TimeAxis {
  /// One of the two is 1.
  unsigned columns_per_tick = 1;
  Time ticks_per_column = 1;
  Time major = 10;                ///< ruler marks with a number at multiples of this
  Time minor = 5;                 ///< small marks
  std::size_t strip_columns = 0;  ///< the drawing is folded after so many
  std::vector<AxisColumn> columns;

  /// The column that draws changes at `time`; nothing when it is not shown.
  std::optional<std::size_t> column_of(Time time) const;
  std::size_t strip_count() const { return (columns.size() + strip_columns - 1) / strip_columns; }
};

/// The widest scale that keeps the drawing short: several columns a tick while all fits into one
/// strip, then one, then 2, 5, 10 ... ticks a column. Stretches longer than a strip in which
/// nothing shown changes are cut out. `marks` are times to be kept; `width` is at least 8.
TimeAxis make_axis(const Selection& selection, const std::vector<Time>& marks, std::size_t width);

}  // namespace settle::report
