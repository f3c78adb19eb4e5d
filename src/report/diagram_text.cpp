// Strips one below the other. A strip has the ruler, then a row of marks where there are any, then
// two rows a signal with its name in front of the lower one; inputs, outputs and inner nets are
// set apart by a blank row. Grid lines hang from the numbers of the ruler through all of it.

#include "report/diagram_text.h"

#include <algorithm>
#include <deque>
#include <numeric>

#include <fmt/format.h>

#include "report/trace.h"

namespace settle::report {

namespace {

constexpr std::size_t least_width = 40;
constexpr std::size_t most_mark_rows = 3;

using Row = std::vector<Cell>;

void write(Row& row, std::size_t at, std::string_view text, Ink ink) {
  for (const char c : text) row[at++] = {static_glyph(c), ink};
}

bool is_free(const Row& row, std::size_t at, std::size_t length) {
  if (at + length > row.size()) return false;
  return std::all_of(row.begin() + static_cast<std::ptrdiff_t>(at),
                     row.begin() + static_cast<std::ptrdiff_t>(at + length),
                     [](const Cell& cell) { return cell.glyph == " "; });
}

/// 4930 as "4,930".
std::string grouped(Time number) {
  std::string text = fmt::format("{}", number);
  for (std::size_t i = text.size(); i > 3; i -= 3) text.insert(i - 3, ",");
  return text;
}

/// Ticks of 1 ps are numbered in nanoseconds, which is how fast gates are.
std::string axis_number(Time time, TimeUnit unit) {
  if (unit != TimeUnit::ps) return fmt::format("{}", time);
  std::string text = fmt::format("{}.{:03}", time / 1000, time % 1000);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string_view axis_unit(TimeUnit unit) {
  return unit == TimeUnit::none ? "time" : name_of(unit == TimeUnit::ps ? TimeUnit::ns : unit);
}

/// The largest of 1, 2, 5, 10, 20, ... that divides all times of what is shown.
Time common_tick(const Selection& selection, const std::vector<Mark>& marks) {
  Time divisor = std::gcd(selection.from, selection.last);
  for (const ShownSignal& shown : selection.shown) {
    for (const Signal* bit : shown.bits) {
      for (const Change& change : bit->changes) divisor = std::gcd(divisor, change.time);
    }
  }
  for (const Mark& mark : marks) divisor = std::gcd(divisor, mark.time);
  Time tick = 1;
  for (Time ten = 1; divisor != 0 && ten <= divisor && ten < end_of_time / 10; ten *= 10) {
    for (const Time round : {ten, 2 * ten, 5 * ten}) {
      if (divisor % round == 0) tick = round;
    }
  }
  return tick;
}

std::string unit_words(Time count, TimeUnit unit) {
  if (unit == TimeUnit::ps) return to_text(count, unit);
  if (unit != TimeUnit::none) return fmt::format("{} {}", grouped(count), name_of(unit));
  return count == 1 ? "1 unit" : grouped(count) + " units";
}

class Diagram {
 public:
  /// `tick`: ticks of the waveform that one of `selection` is.
  Diagram(const Selection& selection, const std::vector<Mark>& marks, const TextStyle& style, Time tick)
      : selection_(selection), tick_(tick), marks_(marks), style_(style), pen_(pen(style.ascii)),
        width_(std::max<std::size_t>(style.width, least_width)) {
    std::size_t longest = 0;
    for (const ShownSignal& signal : selection.shown) longest = std::max(longest, signal.name.size());
    gutter_ = std::min(longest, width_ / 3) + 1;
    std::vector<Time> times;
    for (const Mark& mark : marks) times.push_back(mark.time);
    axis_ = make_axis(selection, times, width_ - gutter_);
  }

  std::string draw() {
    traces_.reserve(selection_.shown.size());
    for (const ShownSignal& signal : selection_.shown) {
      traces_.push_back(report::draw(signal, axis_, selection_.from, pen_, used_));
    }
    for (std::size_t begin = 0; begin < axis_.columns.size(); begin += axis_.strip_columns) {
      if (begin > 0) out_ += '\n';
      draw_strip(begin, std::min(begin + axis_.strip_columns, axis_.columns.size()));
    }
    draw_key();
    return std::move(out_);
  }

 private:
  bool is_major(std::size_t column) const {
    const AxisColumn& c = axis_.columns[column];
    return c.kind == AxisColumn::Kind::start && c.begin % axis_.major == 0;
  }

  void emit(std::string_view name, const Row& row) {
    const std::string shown = cut_middle(name, gutter_ - 1, style_.ascii);
    Row line(gutter_ - 1 - columns_of(shown));
    if (!shown.empty()) line.push_back({shown, Ink::strong});
    line.emplace_back();
    line.insert(line.end(), row.begin(), row.end());
    append_cells(out_, line, style_.color);
  }

  void draw_strip(std::size_t begin, std::size_t end) {
    draw_ruler(begin, end);
    draw_marks(begin, end);
    for (std::size_t i = 0; i < traces_.size(); ++i) {
      const ShownSignal& signal = selection_.shown[i];
      // The upper row of a bus is blank anyhow.
      if (i > 0 && signal.role != selection_.shown[i - 1].role && !signal.is_bus) {
        emit("", with_grid(Row(end - begin), begin));
      }
      emit("", with_grid(part(traces_[i].upper, begin, end), begin));
      emit(signal.name, with_grid(part(traces_[i].lower, begin, end), begin));
    }
  }

  static Row part(const Row& row, std::size_t begin, std::size_t end) {
    return Row(row.begin() + static_cast<std::ptrdiff_t>(begin), row.begin() + static_cast<std::ptrdiff_t>(end));
  }

  Row with_grid(Row row, std::size_t begin) const {
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (row[i].glyph == " " && is_major(begin + i)) row[i] = {pen_.grid, Ink::faint};
      if (axis_.columns[begin + i].kind == AxisColumn::Kind::gap) row[i] = {pen_.gap, Ink::faint};
    }
    return row;
  }

  void draw_ruler(std::size_t begin, std::size_t end) {
    Row numbers(end - begin + 1), scale(end - begin);
    const auto label = [&](std::size_t i) {
      const std::string text = axis_number(axis_.columns[begin + i].begin * tick_, selection_.unit);
      const std::size_t start = i == 0 ? i : i - 1;  // a blank in front, unless at the left end
      if (is_free(numbers, start, text.size() + 1 + (i - start))) write(numbers, i, text, Ink::faint);
    };
    // The times that start a strip or follow a gap come first; round ones where there is room.
    for (std::size_t i = 0; i < scale.size(); ++i) {
      const bool after_gap = begin + i > 0 && axis_.columns[begin + i - 1].kind == AxisColumn::Kind::gap;
      if (axis_.columns[begin + i].kind != AxisColumn::Kind::gap && (i == 0 || after_gap)) label(i);
    }
    for (std::size_t i = 0; i < scale.size(); ++i) {
      const AxisColumn& column = axis_.columns[begin + i];
      const bool starts = column.kind == AxisColumn::Kind::start;
      if (is_major(begin + i)) label(i);
      const std::string_view glyph = column.kind == AxisColumn::Kind::gap      ? pen_.gap
                                     : is_major(begin + i)                     ? pen_.ruler_major
                                     : starts && column.begin % axis_.minor == 0 ? pen_.ruler_minor
                                                                               : pen_.ruler;
      scale[i] = {glyph, Ink::faint};
    }
    numbers.pop_back();
    emit(std::string(axis_unit(selection_.unit)), numbers);
    emit("", scale);
  }

  void draw_marks(std::size_t begin, std::size_t end) {
    std::vector<Row> rows;
    for (const Mark& mark : marks_) {
      const auto column = axis_.column_of(mark.time);
      if (!column || *column < begin || *column >= end) continue;
      place_mark(rows, mark, *column - begin, end - begin);
    }
    for (const Row& row : rows) emit("", with_grid(row, begin));
  }

  /// In the first row with room; when there is none, a '+' in one more row.
  void place_mark(std::vector<Row>& rows, const Mark& mark, std::size_t at, std::size_t width) {
    const Ink ink = mark.failure ? Ink::bad : Ink::mark;
    for (std::size_t r = 0; r < most_mark_rows; ++r) {
      if (rows.size() == r) rows.emplace_back(width);
      if (is_free(rows[r], at, mark.label.size()) && (at == 0 || is_free(rows[r], at - 1, 1))) {
        write(rows[r], at, mark.label, ink);
        return;
      }
    }
    rows.resize(most_mark_rows + 1, Row(width));
    rows.back()[at] = {"+", Ink::mark};
    marks_left_out_ = true;
  }

  void draw_key();
  std::string scale_words() const {
    if (axis_.ticks_per_column > 1) return "a column is " + unit_words(axis_.ticks_per_column * tick_, selection_.unit);
    const std::string tick = unit_words(tick_, selection_.unit);
    return axis_.columns_per_tick == 1 ? "a column is " + tick : fmt::format("{} columns are {}", axis_.columns_per_tick, tick);
  }

  const Selection& selection_;
  Time tick_;
  const std::vector<Mark>& marks_;
  const TextStyle& style_;
  const Pen& pen_;
  std::size_t width_, gutter_ = 0;
  TimeAxis axis_;
  std::vector<Trace> traces_;
  Used used_;
  bool marks_left_out_ = false;
  std::string out_;
};

void Diagram::draw_key() {
  const auto thrice = [](std::string_view glyph) { return fmt::format("{}{}{}", glyph, glyph, glyph); };
  std::vector<std::string> entries{scale_words()};
  if (used_.unknown) entries.push_back(thrice(pen_.bus_unknown) + " unknown");
  if (used_.loose) entries.push_back(thrice(pen_.bus_loose) + " high impedance");
  if (used_.dense) entries.push_back(std::string(pen_.bus_dense) + " several changes in one column");
  if (used_.cut) entries.push_back(std::string(pen_.ellipsis) + " value cut for want of room");
  if (marks_left_out_) entries.push_back("+ more marks than fit here");
  if (used_.gap) {
    std::vector<std::string> lengths;
    for (std::size_t i = 0; i < axis_.columns.size(); ++i) {
      const AxisColumn& column = axis_.columns[i];
      if (column.kind != AxisColumn::Kind::gap || (i > 0 && axis_.columns[i - 1].kind == column.kind)) continue;
      lengths.push_back(unit_words((column.end - column.begin) * tick_, selection_.unit));
    }
    std::string text = thrice(pen_.gap) + " nothing changes for ";
    constexpr std::size_t most = 4;
    for (std::size_t i = 0; i < lengths.size() && i < most; ++i) text += (i > 0 ? ", " : "") + lengths[i];
    if (lengths.size() > most) text += ", ...";
    entries.push_back(text + ", left out");
  }
  out_ += '\n';
  // Entries stay whole where they can; each goes on the line where it fits.
  std::string line;
  const auto flush = [&] {
    for (const std::string& piece : wrapped(line, width_, width_)) out_ += painted(piece, Ink::faint, style_.color) + '\n';
    line.clear();
  };
  for (const std::string& entry : entries) {
    if (!line.empty() && columns_of(line) + 4 + columns_of(entry) > width_) flush();
    if (!line.empty()) line += "    ";
    line += entry;
  }
  flush();
}

}  // namespace

std::string diagram_text(const Selection& selection, const std::vector<Mark>& marks, const TextStyle& style) {
  if (selection.shown.empty()) return {};
  const Time tick = selection.unit == TimeUnit::ps ? common_tick(selection, marks) : 1;
  if (tick == 1) return Diagram(selection, marks, style, 1).draw();
  // Nothing happens between such ticks: drawn with them, a column is a round number of picoseconds.
  Selection coarse = selection;
  std::deque<Signal> signals;
  for (ShownSignal& shown : coarse.shown) {
    for (const Signal*& bit : shown.bits) {
      signals.push_back(*bit);
      for (Change& change : signals.back().changes) change.time /= tick;
      bit = &signals.back();
    }
  }
  std::vector<Mark> coarse_marks = marks;
  for (Mark& mark : coarse_marks) mark.time /= tick;
  coarse.from /= tick;
  coarse.last /= tick;
  return Diagram(coarse, coarse_marks, style, tick).draw();
}

}  // namespace settle::report
