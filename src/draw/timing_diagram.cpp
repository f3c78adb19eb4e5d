// A timing diagram: time runs to the right in proportion, one row a signal, inputs before outputs.
//
// Causes: a change of a gate's output was brought by the latest change before it on one of the gate's inputs,
// all of them when several came together. Nets that are not shown are passed through, so an arrow leads from
// a shown change to a shown one. Cost: linear in shown changes times the gates passed through.
#include "settle/timing_diagram.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "draw/measured_intervals.h"
#include "draw/svg.h"
#include "report/finding_list.h"
#include "report/ink.h"
#include "report/signal_view.h"
#include "report/trace.h"

namespace settle {
namespace {

using report::ShownSignal;

constexpr double wave_row_height = 34, level_height = 18, waves_top = 62, edge_margin = 16, most_width = 1100,
                 measure_row_height = 30;
constexpr std::size_t most_said = 20;  // lengths in the description of one measured pair
constexpr double least_step = 7;       // pixels from one instant to the next, where there is room

/// 1, 2, 5, 10, 20, ...: the least of these that makes at most `most` marks.
Time round_step(Time length, Time most) {
  Time step = 1;
  for (int i = 0; length / step > most; ++i) step = i % 3 == 1 ? step / 2 * 5 : step * 2;
  return step;
}

class TimingWriter {
 public:
  TimingWriter(const RunResult& result, const Circuit& circuit, const TimingDiagramOptions& options)
      : result_(result),
        circuit_(circuit),
        options_(options),
        selection_(report::select_signals(result.waveform, options.view)),
        picture_("Timing diagram of " + circuit.cell_name(), description()) {}

  std::size_t change_count() const {
    std::size_t count = 0;
    for (const ShownSignal& signal : selection_.shown) {
      for (const Signal* bit : signal.bits) count += bit->changes.size();
    }
    return count;
  }

  bool is_empty() const { return selection_.shown.empty(); }

  /// The first name to measure that is not shown; empty when all are.
  std::string unknown_name() const {
    for (const MeasuredPair& pair : options_.measures) {
      if (!row_of(pair.from)) return pair.from;
      if (!row_of(pair.to)) return pair.to;
    }
    return {};
  }
  std::string near_name(const std::string& name) const {
    std::vector<std::string_view> names;
    for (const ShownSignal& signal : selection_.shown) names.push_back(signal.base);
    return std::string(nearest_name(name, names));
  }

  std::string write() {
    for (const ShownSignal& signal : selection_.shown) {
      gutter_ = std::max(gutter_, draw::text_width(signal.name, 12, true) + edge_margin + 10);
    }
    for (const MeasuredPair& pair : options_.measures)
      gutter_ = std::max(gutter_, draw::text_width(title_of(pair), 12, true) + edge_margin + 10);
    gutter_ = std::min(gutter_, 260.0);
    const double length = static_cast<double>(selection_.last - selection_.from) + 1;
    scale_ =
        std::clamp(640 / length, std::min(least_step, (most_width - gutter_ - edge_margin) / length), 28.0);
    right_ = gutter_ + length * scale_;
    add_styles();
    measures_top_ = waves_top + wave_row_height * static_cast<double>(selection_.shown.size());
    bottom_ = measures_top_ + measure_row_height * static_cast<double>(options_.measures.size());
    picture_.text(edge_margin, 24, circuit_.cell_name(), "h");
    draw_ruler();
    for (std::size_t row = 0; row < selection_.shown.size(); ++row) draw_signal(row);
    for (std::size_t i = 0; i < options_.measures.size(); ++i) draw_measure(i);
    if (options_.causes) draw_causes();
    const double legend = draw_findings();
    return picture_.finish(std::max(right_ + edge_margin, 420.0), legend + edge_margin);
  }

 private:
  std::string description() const {
    std::string text =
        fmt::format("Waveforms of {} from {} to {}:", circuit_.cell_name(), selection_.from, selection_.last);
    for (const ShownSignal& signal : selection_.shown) text += " " + signal.name;
    for (const MeasuredPair& pair : options_.measures) {
      if (!row_of(pair.from) || !row_of(pair.to)) continue;
      text += fmt::format("; from {} to {}", pair.from, pair.to);
      std::size_t said = 0;
      for (const draw::Interval& interval :
           draw::measured_intervals(edges(*row_of(pair.from)), edges(*row_of(pair.to)))) {
        if (++said <= most_said) text += " " + to_text(interval.end - interval.begin, selection_.unit);
      }
      if (said > most_said) text += " and so on";
    }
    return text + fmt::format(". {} findings.", result_.findings.size());
  }

  void add_styles() {
    draw::StyleSheet& style = picture_.style();
    style.rule(".w", "fill:none;stroke-width:1.8;stroke-linejoin:round");
    style.colour(".w", "stroke", draw::Hue::blue);
    style.rule(".o", "stroke-width:1.8");
    style.colour(".o", "stroke", draw::Hue::ink);
    style.rule(".u", "fill:none;stroke-width:1.1");
    style.colour(".u", "stroke", draw::Hue::purple);
    style.rule(".z", "fill:none;stroke-width:1.6;stroke-dasharray:2 4");
    style.colour(".z", "stroke", draw::Hue::faint);
    style.rule(".g", "stroke-width:0.6");
    style.colour(".g", "stroke", draw::Hue::faint);
    style.rule(".m", "stroke-width:1.2;stroke-dasharray:6 3");
    style.colour(".m", "stroke", draw::Hue::orange);
    style.rule(".d", "fill:none;stroke-width:1");
    style.colour(".d", "stroke", draw::Hue::ink);
    style.rule(".e", "stroke-width:0.8;stroke-dasharray:1 3");
    style.colour(".e", "stroke", draw::Hue::ink);
    style.rule(".c", "fill:none;stroke-width:1");
    style.colour(".c", "stroke", draw::Hue::ink);
    style.rule(".k", "stroke:none");
    style.colour(".k", "fill", draw::Hue::ink);
    style.rule("text.h", "font-size:15px;font-weight:bold");
    style.rule("text.n", "font-size:12px;font-weight:bold");
    style.rule("text.t", "font-size:10px");
    style.colour("text.t", "fill", draw::Hue::faint);
    style.rule("text.v", "font-size:10px");
    style.rule("text.f", "font-size:12px");
    style.rule("text.l", "font-size:12px;font-weight:bold");
  }

  double x_of(Time time) const { return gutter_ + static_cast<double>(time - selection_.from) * scale_; }
  double high(std::size_t row) const { return waves_top + wave_row_height * static_cast<double>(row) + 8; }
  double low(std::size_t row) const { return high(row) + level_height; }
  double level(std::size_t row, Value value) const {
    return value == Value::one ? high(row) : value == Value::zero ? low(row) : (high(row) + low(row)) / 2;
  }

  void line(double x1, double y1, double x2, double y2, std::string_view classes) {
    picture_.element("path", fmt::format(R"(class="{}" d="M{} {}L{} {}")", classes, draw::number(x1),
                                         draw::number(y1), draw::number(x2), draw::number(y2)));
  }

  void draw_ruler() {
    const Time length = selection_.last - selection_.from + 1;
    const double label = draw::text_width(fmt::format("{}", selection_.last), 10) + 14;
    const Time step = round_step(length, std::max<Time>(1, static_cast<Time>((right_ - gutter_) / label)));
    for (Time time = (selection_.from + step - 1) / step * step; time <= selection_.last; time += step) {
      const double x = x_of(time);
      line(x, waves_top - 4, x, bottom_, "g");
      picture_.text(x, waves_top - 8, fmt::format("{}", time), "t", draw::Picture::Align::middle);
      if (step > end_of_time - time) break;
    }
    const std::string unit = selection_.unit == TimeUnit::none
                                 ? "time in units"
                                 : fmt::format("time in {}", name_of(selection_.unit));
    picture_.text(edge_margin, waves_top - 8, unit, "t");
  }

  /// Stretches of equal values of a signal: begin, end (exclusive), value of all bits.
  struct Stretch {
    Time begin, end;
    std::string bits;
  };
  std::vector<Stretch> stretches(const ShownSignal& signal) const {
    std::set<Time> times{selection_.from};
    for (const Signal* bit : signal.bits) {
      for (const Change& change : bit->changes) {
        if (change.time > selection_.from && change.time <= selection_.last) times.insert(change.time);
      }
    }
    std::vector<Stretch> parts;
    for (const Time time : times) {
      std::string bits = report::bits_at(signal, time);
      if (!parts.empty() && parts.back().bits == bits) continue;
      if (!parts.empty()) parts.back().end = time;
      parts.push_back({time, selection_.last + 1, std::move(bits)});
    }
    return parts;
  }

  void draw_signal(std::size_t row) {
    const ShownSignal& signal = selection_.shown[row];
    picture_.text(gutter_ - 10, low(row) - 4, draw::fitted(signal.name, 12, gutter_ - edge_margin - 10), "n",
                  draw::Picture::Align::end);
    if (signal.is_bus) return draw_bus(row, signal);
    const std::string_view line_class = signal.role == SignalGroup::Role::input ? "w" : "w o";
    std::string path;
    char before = 0;
    for (const Stretch& part : stretches(signal)) {
      const double from = x_of(part.begin), to = x_of(part.end);
      const char value = part.bits[0];
      if (value == 'x') {
        hatch(row, from, to);
      } else if (value == 'z') {
        line(from, (high(row) + low(row)) / 2, to, (high(row) + low(row)) / 2, "z");
      } else {
        const double y = level(row, *value_from_char(value));
        const bool joined = before == '0' || before == '1';
        path += fmt::format("{}{} {}H{}", joined ? "L" : "M", draw::number(from), draw::number(y),
                            draw::number(to));
      }
      before = value;
    }
    if (!path.empty()) picture_.element("path", fmt::format(R"(class="{}" d="{}")", line_class, path));
  }

  /// Slanted strokes between two lines: unknown also without colour.
  void hatch(std::size_t row, double from, double to) {
    const double y1 = high(row), y2 = low(row);
    std::string path = fmt::format("M{0} {1}H{2}M{0} {3}H{2}", draw::number(from), draw::number(y1),
                                   draw::number(to), draw::number(y2));
    const double lean = std::min(level_height / 2, to - from);
    for (double x = from; x + lean <= to + 0.01; x += 6) {
      path += fmt::format("M{} {}L{} {}", draw::number(x), draw::number(y2), draw::number(x + lean),
                          draw::number(y1));
    }
    picture_.element("path", fmt::format(R"(class="u" d="{}")", path));
  }

  void draw_bus(std::size_t row, const ShownSignal& signal) {
    const double y1 = high(row), y2 = low(row), middle = (y1 + y2) / 2;
    for (const Stretch& part : stretches(signal)) {
      const double from = x_of(part.begin), to = x_of(part.end), tip = std::min(4.0, (to - from) / 2);
      if (part.bits.find_first_not_of('x') == std::string::npos) {
        hatch(row, from, to);
        continue;
      }
      picture_.element(
          "path",
          fmt::format(R"(class="w" d="M{0} {1}L{2} {3}H{4}L{5} {1}L{4} {6}H{2}Z")", draw::number(from),
                      draw::number(middle), draw::number(from + tip), draw::number(y1),
                      draw::number(to - tip), draw::number(to), draw::number(y2)),
          fmt::format("{} = {}", signal.name, part.bits));
      for (const std::string& words : report::bus_texts(part.bits)) {
        if (draw::text_width(words, 10) > to - from - 2 * tip) continue;
        picture_.text((from + to) / 2, middle + 3.5, words, "v", draw::Picture::Align::middle);
        break;
      }
    }
  }

  // --- measured intervals
  std::optional<std::size_t> row_of(const std::string& name) const {
    for (std::size_t row = 0; row < selection_.shown.size(); ++row) {
      if (selection_.shown[row].name == name || selection_.shown[row].base == name) return row;
    }
    return std::nullopt;
  }

  static std::string title_of(const MeasuredPair& pair) { return pair.from + " \u2192 " + pair.to; }

  /// Changes from one known value to another.
  std::vector<Time> edges(std::size_t row) const {
    const std::vector<Stretch> parts = stretches(selection_.shown[row]);
    const auto is_known = [](const Stretch& part) { return part.bits.find('x') == std::string::npos; };
    std::vector<Time> times;
    for (std::size_t i = 1; i < parts.size(); ++i) {
      if (is_known(parts[i - 1]) && is_known(parts[i])) times.push_back(parts[i].begin);
    }
    return times;
  }

  void draw_measure(std::size_t index) {
    const MeasuredPair& pair = options_.measures[index];
    const std::size_t from = *row_of(pair.from), to = *row_of(pair.to);
    const double y = measures_top_ + measure_row_height * static_cast<double>(index) + 20;
    picture_.text(gutter_ - 10, y + 4, draw::fitted(title_of(pair), 12, gutter_ - edge_margin - 10), "n",
                  draw::Picture::Align::end);
    const auto intervals = draw::measured_intervals(edges(from), edges(to));
    double taken = gutter_;
    for (std::size_t i = 0; i < intervals.size(); ++i) {
      const double x1 = x_of(intervals[i].begin), x2 = x_of(intervals[i].end);
      line(x1, high(from), x1, y + 4, "e");
      line(x2, high(to), x2, y + 4, "e");
      const std::string words = to_text(intervals[i].end - intervals[i].begin, selection_.unit);
      // Arrow heads as long as there is room for both.
      const double head = std::min(5.0, (x2 - x1) / 3);
      picture_.element(
          "path",
          fmt::format(R"(class="d" d="M{0} {1}H{2}M{3} {4}L{0} {1}L{3} {5}M{6} {4}L{2} {1}L{6} {5}")",
                      draw::number(x1), draw::number(y), draw::number(x2), draw::number(x1 + head),
                      draw::number(y - 3), draw::number(y + 3), draw::number(x2 - head)),
          fmt::format("{}: {}", title_of(pair), words));
      const double width = draw::text_width(words, 10), middle = (x1 + x2) / 2;
      if (middle - width / 2 < taken) continue;
      picture_.text(middle, y - 5, words, "v", draw::Picture::Align::middle);
      taken = middle + width / 2 + 2;
    }
  }

  // --- causes
  struct Point {
    std::size_t row;
    Time time;
    auto operator<=>(const Point&) const = default;
  };

  void draw_causes() {
    for (const Signal& signal : result_.waveform.signals) signals_.emplace(signal.net, &signal);
    for (std::size_t row = 0; row < selection_.shown.size(); ++row) {
      for (const Signal* bit : selection_.shown[row].bits) rows_.emplace(bit->net, row);
    }
    std::set<std::pair<Point, Point>> arrows;
    for (const auto& [net, row] : rows_) {
      const auto found = signals_.find(net);
      if (found == signals_.end()) continue;
      for (const Change& change : found->second->changes) {
        if (change.time <= selection_.from || change.time > selection_.last) continue;
        for (const Point& cause : causes_of(net, change.time)) arrows.insert({cause, {row, change.time}});
      }
    }
    for (const auto& [from, to] : arrows) arrow(from, to);
  }

  /// Shown changes that led to the change of a net at a time.
  std::vector<Point> causes_of(NetId net, Time time) const {
    std::vector<Point> found;
    std::vector<std::pair<NetId, Time>> open{{net, time}};
    std::set<std::pair<NetId, Time>> seen;
    while (!open.empty()) {
      const auto [effect, when] = open.back();
      open.pop_back();
      std::vector<NetId> inputs;
      if (circuit_.is_resolved(effect)) {
        for (const NetId driver : circuit_.drivers_of(effect)) {
          const auto pins = circuit_.fan_in(circuit_.gate_of(driver));
          inputs.insert(inputs.end(), pins.begin(), pins.end());
        }
      } else if (circuit_.is_gate_output(effect)) {
        inputs.assign(circuit_.fan_in(circuit_.gate_of(effect)).begin(),
                      circuit_.fan_in(circuit_.gate_of(effect)).end());
      }
      Time latest = 0;
      for (const NetId input : inputs) latest = std::max(latest, last_change_before(input, when));
      if (latest == 0) continue;  // the start is no cause
      for (const NetId input : inputs) {
        if (last_change_before(input, when) != latest || !seen.insert({input, latest}).second) continue;
        const auto row = rows_.find(input);
        if (row != rows_.end()) {
          if (latest >= selection_.from) found.push_back({row->second, latest});
        } else {
          open.emplace_back(input, latest);
        }
      }
    }
    return found;
  }

  Time last_change_before(NetId net, Time time) const {
    const auto found = signals_.find(net);
    if (found == signals_.end()) return 0;
    const auto& changes = found->second->changes;
    const auto after = std::ranges::lower_bound(changes, time, {}, &Change::time);
    return after == changes.begin() ? 0 : std::prev(after)->time;
  }

  void arrow(const Point& from, const Point& to) {
    const double x1 = x_of(from.time), x2 = x_of(to.time);
    const bool down = to.row >= from.row;
    const double y1 = (high(from.row) + low(from.row)) / 2, y2 = down ? high(to.row) - 1 : low(to.row) + 1;
    const double bend = (y2 - y1) * 0.5;
    picture_.element(
        "path", fmt::format(R"(class="c" d="M{} {}C{} {} {} {} {} {}")", draw::number(x1), draw::number(y1),
                            draw::number(x1 + 2), draw::number(y1 + bend), draw::number(x2),
                            draw::number(y2 - bend), draw::number(x2), draw::number(y2)));
    const double side = down ? -5 : 5;
    picture_.element("path", fmt::format(R"(class="k" d="M{} {}l-3 {}h6Z")", draw::number(x2),
                                         draw::number(y2), draw::number(side)));
  }

  // --- findings
  double draw_findings() {
    double y = bottom_ + 24;
    const double room = std::max(right_, 420.0) - edge_margin - 40;
    std::map<Time, std::string> letters_at;
    for (std::size_t i = 0; i < result_.findings.size(); ++i) {
      std::string& letters = letters_at[result_.findings[i].time];
      letters += (letters.empty() ? "" : " ") + report::letters(i);
    }
    for (const auto& [time, letters] : letters_at) {
      if (time < selection_.from || time > selection_.last) continue;
      const double x = x_of(time);
      line(x, waves_top - 4, x, bottom_, "m");  // below the times, which it would cross
      picture_.text(x, waves_top - 21, letters, "l", draw::Picture::Align::middle);
    }
    for (std::size_t i = 0; i < result_.findings.size(); ++i) {
      const Finding& finding = result_.findings[i];
      const std::string letter = report::letters(i);
      picture_.text(edge_margin, y, letter, "l");
      const std::string words = fmt::format("at {}, {}: {}", to_text(finding.time, circuit_.time_unit()),
                                            name_of(finding.kind), finding.message);
      const auto columns = static_cast<std::size_t>(std::max(20.0, room / 7.2));
      for (const std::string& text : report::wrapped(words, columns, columns)) {
        picture_.text(edge_margin + 24, y, text, "f");
        y += 16;
      }
      y += 4;
    }
    return result_.findings.empty() ? bottom_ : y - 12;
  }

  const RunResult& result_;
  const Circuit& circuit_;
  const TimingDiagramOptions& options_;
  report::Selection selection_;
  draw::Picture picture_;
  double gutter_ = 90, scale_ = 1, right_ = 0, measures_top_ = 0, bottom_ = 0;
  std::map<NetId, const Signal*> signals_;
  std::map<NetId, std::size_t> rows_;
};

}  // namespace

TimingDiagram draw_timing(const RunResult& result, const Circuit& circuit,
                          const TimingDiagramOptions& options) {
  TimingWriter writer(result, circuit, options);
  if (writer.is_empty()) return {"", "no signal is chosen", "choose names with --nets"};
  const std::size_t changes = writer.change_count();
  if (changes > options.change_limit) {
    return {"",
            fmt::format("{} changes are too many for one picture, {} are the limit", changes,
                        options.change_limit),
            "choose signals with --nets, or a stretch with a shorter stimulus"};
  }
  if (const std::string name = writer.unknown_name(); !name.empty()) {
    const std::string near = writer.near_name(name);
    return {"", fmt::format("no signal '{}' is shown, so it cannot be measured", name),
            near.empty() ? "--nets shows inner nets" : fmt::format("did you mean '{}'?", near), true};
  }
  return {writer.write(), "", ""};
}

}  // namespace settle
