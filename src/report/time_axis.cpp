// Time on columns: try the scales from wide to narrow and take the first that is short enough.
//
// Quiet stretches are found on a bitmap of the shown time: 65,536 buckets, a tick each in short
// runs, so that the cost is one pass over the changes and the memory is constant. A bucket is only
// ever too careful: a stretch is cut inside buckets that hold no change at all.

#include "report/time_axis.h"

#include <algorithm>

namespace settle::report {

namespace {

constexpr std::size_t bucket_count = 65536;
constexpr std::size_t gap_columns = 3;
constexpr std::size_t most_strips_fine = 6;    // at one column a tick
constexpr std::size_t most_strips_coarse = 4;  // at several ticks a column
constexpr std::size_t margin_columns = 5;      // kept on both sides of a gap

struct Stretch {
  Time begin = 0, end = 0;  // end is exclusive
};

class Activity {
 public:
  Activity(const Selection& selection, const std::vector<Time>& marks)
      : from_(selection.from), length_(selection.last - selection.from), used_(bucket_count, false) {
    bucket_ = length_ / bucket_count + 1;
    note(selection.from);
    note(selection.last);
    for (const Time mark : marks) {
      if (mark >= selection.from && mark <= selection.last) note(mark);
    }
    for (const ShownSignal& shown : selection.shown) {
      for (const Signal* signal : shown.bits) {
        for (std::size_t i = first_change_after(*signal, selection.from);
             i < signal->changes.size() && signal->changes[i].time <= selection.last; ++i) {
          note(signal->changes[i].time);
        }
      }
    }
  }

  /// Longest stretches without activity of more than `least` ticks, in order.
  std::vector<Stretch> quiet(Time least) const {
    std::vector<Stretch> found;
    const std::size_t buckets = static_cast<std::size_t>(length_ / bucket_) + 1;
    for (std::size_t i = 0; i < buckets;) {
      if (used_[i]) {
        ++i;
        continue;
      }
      const std::size_t start = i;
      while (i < buckets && !used_[i]) ++i;
      if ((i - start) * bucket_ > least) found.push_back({from_ + start * bucket_, from_ + i * bucket_});
    }
    return found;
  }

 private:
  void note(Time time) { used_[static_cast<std::size_t>((time - from_) / bucket_)] = true; }
  Time from_, length_, bucket_ = 1;
  std::vector<bool> used_;
};

/// 1, 2, 5, 10, 20, ...
Time next_round(Time step) {
  Time power = 1;
  while (step / power >= 10) power *= 10;
  return step / power == 1 ? 2 * power : step / power == 2 ? 5 * power : 10 * power;
}

std::size_t digits(Time time) {
  std::size_t count = 1;
  for (; time >= 10; time /= 10) ++count;
  return count;
}

/// Sets the ruler and the length of a strip, a whole number of ruler steps where one fits.
void set_ruler(TimeAxis& axis, Time last, std::size_t width) {
  const std::size_t least = std::max<std::size_t>(digits(last) + 2, 8);
  const auto columns = [&](Time ticks) { return ticks * axis.columns_per_tick / axis.ticks_per_column; };
  axis.major = axis.ticks_per_column;
  while (columns(axis.major) < least) axis.major = next_round(axis.major);
  axis.minor = axis.major;
  for (const Time parts : {5, 2}) {
    if (axis.major % parts == 0 && columns(axis.major / parts) >= (axis.columns_per_tick > 1 ? 2 : 4) &&
        (axis.major / parts) % axis.ticks_per_column == 0) {
      axis.minor = axis.major / parts;
      break;
    }
  }
  const std::size_t step = static_cast<std::size_t>(columns(axis.major));
  axis.strip_columns = width < step ? width : width / step * step;
}

void append_ticks(TimeAxis& axis, Time begin, Time end) {
  for (Time time = begin; time < end;) {
    const Time next = end - time > axis.ticks_per_column ? time + axis.ticks_per_column : end;
    axis.columns.push_back({time, next, AxisColumn::Kind::start});
    for (unsigned i = 1; i < axis.columns_per_tick; ++i) {
      axis.columns.push_back({time, next, AxisColumn::Kind::rest});
    }
    time = next;
  }
}

Time rounded_down(Time time, Time step) { return time - time % step; }

/// Lays out the columns; false when they would take more than `most_strips`.
/// A drawing that needs only one strip may take the whole width.
bool lay_out(TimeAxis& axis, const Selection& selection, const Activity& activity, std::size_t width,
             std::size_t most_strips) {
  // Ticks in n columns, and not more than time has.
  const auto ticks = [&](std::size_t n) { return n * axis.ticks_per_column / axis.columns_per_tick; };
  const Time begin = rounded_down(selection.from, axis.ticks_per_column);
  std::vector<Stretch> gaps;
  Time shown = selection.last - begin + 1;
  // With several columns a tick all is shown or another scale is taken.
  const Time least_quiet = axis.columns_per_tick > 1 ? end_of_time : ticks(axis.strip_columns);
  for (Stretch gap : activity.quiet(least_quiet)) {
    gap.begin = rounded_down(gap.begin + ticks(margin_columns) + axis.minor - 1, axis.minor);
    gap.end = rounded_down(gap.end - ticks(margin_columns), axis.minor);
    if (gap.begin >= gap.end || gap.end - gap.begin < ticks(2 * gap_columns)) continue;
    gaps.push_back(gap);
    shown -= gap.end - gap.begin;
  }
  const std::size_t most_columns = std::max(width, most_strips * axis.strip_columns);
  if (shown > ticks(most_columns) || gaps.size() * gap_columns > most_columns) return false;
  axis.columns.clear();
  Time time = begin;
  for (const Stretch& gap : gaps) {
    append_ticks(axis, time, gap.begin);
    axis.columns.insert(axis.columns.end(), gap_columns, {gap.begin, gap.end, AxisColumn::Kind::gap});
    time = gap.end;
  }
  append_ticks(axis, time, selection.last + 1);
  if (axis.columns.size() <= width) axis.strip_columns = width;
  return axis.strip_count() <= most_strips;
}

}  // namespace

std::optional<std::size_t> TimeAxis::column_of(Time time) const {
  auto it = std::upper_bound(columns.begin(), columns.end(), time,
                             [](Time t, const AxisColumn& column) { return t < column.begin; });
  if (it == columns.begin()) return std::nullopt;
  --it;
  while (it->kind == AxisColumn::Kind::rest) --it;
  if (it->kind == AxisColumn::Kind::gap || time >= it->end) return std::nullopt;
  return static_cast<std::size_t>(it - columns.begin());
}

TimeAxis make_axis(const Selection& selection, const std::vector<Time>& marks, std::size_t width) {
  const Activity activity(selection, marks);
  TimeAxis axis;
  for (axis.columns_per_tick = 4; axis.columns_per_tick >= 1; --axis.columns_per_tick) {
    set_ruler(axis, selection.last, width);
    if (lay_out(axis, selection, activity, width, axis.columns_per_tick > 1 ? 1 : most_strips_fine)) return axis;
  }
  axis.columns_per_tick = 1;
  for (;;) {
    axis.ticks_per_column = next_round(axis.ticks_per_column);
    set_ruler(axis, selection.last, width);
    if (lay_out(axis, selection, activity, width, most_strips_coarse)) return axis;
  }
}

}  // namespace settle::report
