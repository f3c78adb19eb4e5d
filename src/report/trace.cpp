// A trace, column by column: no change in a column continues the level, one draws its edge, more
// are shown as dense. Linear in columns and changes.

#include "report/trace.h"

#include <algorithm>

namespace settle::report {

namespace {

constexpr Pen unicode_pen = {
    .high = "━", .low = "─",
    .rise_upper = "┍", .rise_lower = "┘", .fall_upper = "┑", .fall_lower = "└",
    .unknown_upper = "▗", .unknown_lower = "▘",
    .loose_upper = ".", .loose_lower = " ",
    .to_loose_high = "┑", .to_loose_low = "┘",
    .from_loose_high = "┍", .from_loose_low = "└",
    .from_unknown_high = "╵", .from_unknown_low = "╷",
    .dense_upper = "▄", .dense_lower = "▀",
    .bus = "═", .bus_change = "╳", .bus_dense = "■", .bus_unknown = "▚", .bus_loose = ".", .ellipsis = "…",
    .gap = "╎", .grid = "┊",
    .ruler = "─", .ruler_major = "┬", .ruler_minor = "┴",
};

constexpr Pen ascii_pen = {
    .high = "_", .low = "_",
    .rise_upper = "_", .rise_lower = "|", .fall_upper = " ", .fall_lower = "|",
    .unknown_upper = "/", .unknown_lower = "/",
    .loose_upper = " ", .loose_lower = "~",
    .to_loose_high = " ", .to_loose_low = "~",
    .from_loose_high = "_", .from_loose_low = "|",
    .from_unknown_high = "|", .from_unknown_low = " ",
    .dense_upper = "#", .dense_lower = "#",
    .bus = "=", .bus_change = "X", .bus_dense = "#", .bus_unknown = "/", .bus_loose = "~", .ellipsis = "*",
    .gap = ":", .grid = ".",
    .ruler = "-", .ruler_major = "+", .ruler_minor = "'",
};

class SignalPen {
 public:
  SignalPen(const Pen& pen, Trace& trace, Used& used) : pen_(pen), trace_(trace), used_(used) {}

  void level(Value value) {
    switch (value) {
      case Value::zero: put(" ", pen_.low, Ink::low); break;
      case Value::one: put(pen_.high, " ", Ink::high); break;
      case Value::x: put(pen_.unknown_upper, pen_.unknown_lower, Ink::unknown); break;
      case Value::z: put(pen_.loose_upper, pen_.loose_lower, Ink::loose); break;
    }
    used_.unknown |= value == Value::x;
    used_.loose |= value == Value::z;
  }

  void edge(Value before, Value after) {
    const Ink ink = after == Value::one ? Ink::high : Ink::low;
    if (after == Value::x) return level(after);
    if (after == Value::z) {
      if (before == Value::one) put(pen_.to_loose_high, pen_.loose_lower, Ink::loose);
      if (before == Value::zero) put(pen_.loose_upper, pen_.to_loose_low, Ink::loose);
      if (before == Value::x) level(after);
      used_.loose = true;
    } else if (before == Value::x) {
      if (after == Value::one) put(pen_.rise_upper, pen_.from_unknown_high, ink);
      if (after == Value::zero) put(pen_.from_unknown_low, pen_.fall_lower, ink);
    } else if (before == Value::z) {
      if (after == Value::one) put(pen_.from_loose_high, " ", ink);
      if (after == Value::zero) put(" ", pen_.from_loose_low, ink);
    } else if (after == Value::one) {
      put(pen_.rise_upper, pen_.rise_lower, ink);
    } else {
      put(pen_.fall_upper, pen_.fall_lower, ink);
    }
  }

  void dense() {
    put(pen_.dense_upper, pen_.dense_lower, Ink::plain);
    used_.dense = true;
  }

  void gap() {
    put(pen_.gap, pen_.gap, Ink::faint);
    used_.gap = true;
  }

 private:
  void put(std::string_view upper, std::string_view lower, Ink ink) {
    trace_.upper.push_back({upper, ink});
    trace_.lower.push_back({lower, ink});
  }
  const Pen& pen_;
  Trace& trace_;
  Used& used_;
};

Trace draw_single(const Signal& signal, const TimeAxis& axis, Time from, const Pen& pen, Used& used) {
  Trace trace;
  SignalPen write(pen, trace, used);
  std::size_t cursor = first_change_after(signal, from);
  Value value = value_at(signal, from);
  for (const AxisColumn& column : axis.columns) {
    if (column.kind == AxisColumn::Kind::gap) {
      write.gap();
      continue;
    }
    const Value before = value;
    std::size_t changes = 0;
    for (; cursor < signal.changes.size() && signal.changes[cursor].time < column.end; ++cursor, ++changes) {
      value = signal.changes[cursor].value;
    }
    if (changes == 0) write.level(value);
    if (changes == 1) write.edge(before, value);
    if (changes > 1) write.dense();
  }
  return trace;
}

// --- buses

class BusPen {
 public:
  BusPen(const ShownSignal& signal, const TimeAxis& axis, Time from, const Pen& pen, Used& used)
      : axis_(axis), pen_(pen), used_(used), bits_(bits_at(signal, from)) {
    for (std::uint32_t bit = 0; bit < signal.bits.size(); ++bit) {
      const auto& changes = signal.bits[bit]->changes;
      for (std::size_t i = first_change_after(*signal.bits[bit], from); i < changes.size(); ++i) {
        if (changes[i].time >= axis.columns.back().end) break;
        changes_.push_back({changes[i].time, 0, bit, changes[i].value});
      }
    }
    std::sort(changes_.begin(), changes_.end(),
              [](const BitChange& a, const BitChange& b) { return a.time < b.time; });
  }

  Trace draw() {
    trace_.upper.resize(axis_.columns.size());
    trace_.lower.resize(axis_.columns.size());
    used_.bus = true;
    for (std::size_t i = 0; i < axis_.columns.size(); ++i) draw_column(i);
    finish_run(axis_.columns.size());
    return std::move(trace_);
  }

 private:
  void draw_column(std::size_t i) {
    // Each strip repeats the value, so that it can be read by itself.
    if (i % axis_.strip_columns == 0) finish_run(i);
    const AxisColumn& column = axis_.columns[i];
    if (column.kind == AxisColumn::Kind::gap) {
      finish_run(i);
      trace_.upper[i] = trace_.lower[i] = {pen_.gap, Ink::faint};
      used_.gap = true;
      run_ = i + 1;
      return;
    }
    if (cursor_ == changes_.size() || changes_[cursor_].time >= column.end) return;
    finish_run(i);
    const std::size_t times = apply(column.end);
    trace_.lower[i] = {times == 1 ? pen_.bus_change : pen_.bus_dense, Ink::plain};
    used_.dense |= times > 1;
    run_ = i + 1;
  }

  /// Takes over all changes before `end`; the number of different times.
  std::size_t apply(Time end) {
    std::size_t times = 0;
    for (std::size_t first = cursor_; cursor_ < changes_.size() && changes_[cursor_].time < end; ++cursor_) {
      if (cursor_ == first || changes_[cursor_].time != changes_[cursor_ - 1].time) ++times;
      bits_[changes_[cursor_].bit] = to_char(changes_[cursor_].value);
    }
    return times;
  }

  /// Draws the steady columns from run_ up to `end`, the value in their middle.
  void finish_run(std::size_t end) {
    if (end <= run_) return;
    const std::size_t width = end - run_;
    const bool all_x = bits_.find_first_not_of('x') == std::string::npos;
    const bool all_z = bits_.find_first_not_of('z') == std::string::npos;
    used_.unknown |= all_x;
    used_.loose |= all_z;
    const Ink ink = all_x ? Ink::unknown : all_z ? Ink::loose : Ink::plain;
    const std::string_view body = all_x ? pen_.bus_unknown : all_z ? pen_.bus_loose : pen_.bus;
    std::fill_n(trace_.lower.begin() + static_cast<std::ptrdiff_t>(run_), width, Cell{body, ink});
    if (!all_x && !all_z) write_value(width);
    run_ = end;
  }

  void write_value(std::size_t width) {
    const std::vector<std::string> texts = bus_texts(bits_);
    for (const std::string& text : texts) {
      if (text.size() > width) continue;
      const std::size_t blanks = text.size() + 2 <= width ? 1 : 0;
      std::size_t at = run_ + (width - text.size()) / 2;
      if (blanks) trace_.lower[at - 1] = trace_.lower[at + text.size()] = {};
      for (const char c : text) trace_.lower[at++] = {static_glyph(c), Ink::strong};
      return;
    }
    // No room: as many leading digits as fit before the ellipsis.
    used_.cut = true;
    const std::size_t dots = columns_of(pen_.ellipsis);
    std::size_t at = run_;
    if (width < dots) return;
    for (std::size_t i = 0; i + dots < width; ++i) trace_.lower[at++] = {static_glyph(texts.back()[i]), Ink::strong};
    for (std::size_t i = 0, length = pen_.ellipsis.size() / dots; i < dots; ++i) {
      trace_.lower[at++] = {pen_.ellipsis.substr(i * length, length), Ink::strong};
    }
  }

  const TimeAxis& axis_;
  const Pen& pen_;
  Used& used_;
  std::string bits_;
  std::vector<BitChange> changes_;
  std::size_t cursor_ = 0, run_ = 0;
  Trace trace_;
};

}  // namespace

const Pen& pen(bool ascii) { return ascii ? ascii_pen : unicode_pen; }

std::vector<std::string> bus_texts(std::string_view bits) {
  std::string hexadecimal;
  for (std::size_t end = bits.size(); end > 0; end -= std::min<std::size_t>(end, 4)) {
    const std::string_view nibble = bits.substr(end - std::min<std::size_t>(end, 4), std::min<std::size_t>(end, 4));
    char digit = nibble[0];
    if (nibble.find_first_not_of("01") == std::string_view::npos) {
      unsigned number = 0;
      for (const char bit : nibble) number = number * 2 + static_cast<unsigned>(bit - '0');
      digit = "0123456789ABCDEF"[number];
    } else if (nibble.find_first_not_of(nibble[0]) != std::string_view::npos) {
      hexadecimal.clear();
      break;
    }
    hexadecimal += digit;
  }
  std::reverse(hexadecimal.begin(), hexadecimal.end());
  if (bits.size() <= 4 || hexadecimal.empty()) return {"0b" + std::string(bits), std::string(bits)};
  return {"0x" + hexadecimal, hexadecimal};
}

Trace draw(const ShownSignal& signal, const TimeAxis& axis, Time from, const Pen& pen, Used& used) {
  if (signal.is_bus) return BusPen(signal, axis, from, pen, used).draw();
  return draw_single(*signal.bits[0], axis, from, pen, used);
}

}  // namespace settle::report
