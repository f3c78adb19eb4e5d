// Value change dump, IEEE 1364-2005 clause 18 (four-state form).
//
// Dotted names become nested module scopes; a bus becomes one vector variable. Within a time
// stamp every variable is written once, after all its bits have changed.
//
// The changes are nearly all of a dump, and nearly all of them are of single nets: their line is made
// ready once, eight bytes at the most, and is put into a block by one store that is longer than the
// line. Full blocks go to the text, whose room is estimated before, so that it is not moved about.

#include <algorithm>
#include <array>
#include <charconv>
#include <cstring>
#include <iterator>
#include <numeric>

#include <fmt/format.h>

#include "report/signal_view.h"
#include "settle/report.h"
#include "text/large_pages.h"

namespace settle {

namespace {

using report::BitChange;
using report::Selection;
using report::ShownSignal;

/// Identifier codes count through the 94 characters from ! to ~, the shortest first.
std::string identifier_code(std::size_t index) {
  std::string code;
  for (;; index = index / 94 - 1) {
    code += static_cast<char>('!' + index % 94);
    if (index < 94) return code;
  }
}

/// A vector value as short as the left-extension rule (clause 18.2.2) can restore: a leading 0 may
/// go before 0 or 1, a leading x before x, a leading z before z; a leading 1 never.
std::string_view shortened(std::string_view bits) {
  std::size_t start = 0;
  while (start + 1 < bits.size()) {
    const char first = bits[start], second = bits[start + 1];
    const bool restored = first == '0' ? second == '0' || second == '1' : first != '1' && first == second;
    if (!restored) break;
    ++start;
  }
  return bits.substr(start);
}

struct Variable {
  std::vector<std::string_view> scopes;
  std::string_view reference;  // views into ShownSignal::name
};

Variable split_name(std::string_view name) {
  Variable variable;
  for (std::size_t dot; (dot = name.find('.')) != std::string_view::npos; name.remove_prefix(dot + 1)) {
    variable.scopes.push_back(name.substr(0, dot));
  }
  variable.reference = name;
  return variable;
}

class Writer {
 public:
  Writer(const Selection& selection, const Circuit& circuit) : selection_(selection) {
    write_header(circuit);
  }

  std::string finish() {
    make_lines();
    write_initial_values();
    write_changes();
    close_block();
    return std::move(out_);
  }

 private:
  void write_header(const Circuit& circuit);
  void write_variables();
  void write_initial_values();
  void write_changes();
  /// A net by itself: "0!" and the line end, with room for a code of six characters, which is enough
  /// for any number of signals.
  struct Line {
    std::array<char, 8> text{};
    std::uint32_t length = 0;  // 0: a bus
  };
  void make_lines();
  void make_room(std::size_t bytes) {
    if (block_.size() - used_ >= bytes) return;
    close_block();
    block_.resize(std::max({block_.size(), bytes, least_block}));
  }
  void close_block() {
    out_.append(block_.data(), used_);
    used_ = 0;
  }
  void write(std::string_view text) {
    std::memcpy(block_.data() + used_, text.data(), text.size());
    used_ += text.size();
  }
  void write_value(std::size_t shown) {
    make_room(longest_line_);
    const Line& line = lines_[shown];
    if (line.length == 0) {
      write_bus(shown);
      return;
    }
    std::memcpy(block_.data() + used_, line.text.data(), line.text.size());
    used_ += line.length;
  }
  void write_bus(std::size_t shown) {
    block_[used_++] = 'b';
    write(shortened(values_[shown]));
    block_[used_++] = ' ';
    write(codes_[shown]);
  }
  void write_time(Time time) {
    constexpr std::size_t longest = 24;
    make_room(longest);
    char* at = block_.data() + used_;
    *at++ = '#';
    at = std::to_chars(at, at + 20, time).ptr;
    *at++ = '\n';
    used_ = static_cast<std::size_t>(at - block_.data());
    written_time_ = time;
  }

  static constexpr std::size_t most_room = std::size_t{1} << 30;
  static constexpr std::size_t least_block = std::size_t{1} << 16;
  const Selection& selection_;
  std::string out_;
  std::string block_;                // what comes next in out_, and room
  std::size_t used_ = 0;             // of block_
  std::vector<std::string> codes_;   // from write_variables() on with the line end behind
  std::vector<std::string> values_;
  std::vector<Line> lines_;          // by shown signal, each with the last value
  std::size_t longest_line_ = 0;
  Time written_time_ = 0;
};

void Writer::write_header(const Circuit& circuit) {
  const auto to = std::back_inserter(out_);
  fmt::format_to(to, "$version settle {} $end\n", version());
  if (selection_.unit == TimeUnit::none) {
    out_ += "$comment one tick is one unit of gate delay $end\n";
  }
  fmt::format_to(to, "$timescale 1 {} $end\n",
                 selection_.unit == TimeUnit::none ? "ns" : name_of(selection_.unit));
  fmt::format_to(to, "$scope module {} $end\n",
                 circuit.cell_name().empty() ? std::string_view("circuit") : circuit.cell_name());
  write_variables();
  out_ += "$upscope $end\n$enddefinitions $end\n";
}

void Writer::write_variables() {
  const std::size_t count = selection_.shown.size();
  std::vector<Variable> variables;
  variables.reserve(count);
  for (const ShownSignal& signal : selection_.shown) variables.push_back(split_name(signal.name));
  // Sorted by scope, a scope opens once; the order of the run is kept within each.
  std::vector<std::size_t> order(count);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return variables[a].scopes < variables[b].scopes;
  });
  codes_.resize(count);
  std::vector<std::string_view> open;
  std::size_t number = 0;
  for (const std::size_t shown : order) {
    const auto& scopes = variables[shown].scopes;
    const auto shared = static_cast<std::size_t>(
        std::mismatch(open.begin(), open.end(), scopes.begin(), scopes.end()).first - open.begin());
    for (; open.size() > shared; open.pop_back()) out_ += "$upscope $end\n";
    for (; open.size() < scopes.size(); open.push_back(scopes[open.size()])) {
      fmt::format_to(std::back_inserter(out_), "$scope module {} $end\n", scopes[open.size()]);
    }
    codes_[shown] = identifier_code(number++);
    fmt::format_to(std::back_inserter(out_), "$var wire {} {} {} $end\n", selection_.shown[shown].bits.size(),
                   codes_[shown], variables[shown].reference);
    codes_[shown] += '\n';  // as values are written
  }
  for (; !open.empty(); open.pop_back()) out_ += "$upscope $end\n";
}

void Writer::make_lines() {
  longest_line_ = sizeof(Line::text);
  std::size_t room = out_.size();
  lines_.resize(selection_.shown.size());
  for (std::size_t shown = 0; shown < lines_.size(); ++shown) {
    const ShownSignal& signal = selection_.shown[shown];
    const std::string& code = codes_[shown];
    const std::size_t longest = signal.bits.size() + code.size() + 2;
    longest_line_ = std::max(longest_line_, longest);
    for (const Signal* bit : signal.bits) room += bit->changes.size() * longest;
    if (signal.is_bus || code.size() >= sizeof(Line::text)) continue;
    lines_[shown].length = static_cast<std::uint32_t>(code.size() + 1);
    std::copy(code.begin(), code.end(), lines_[shown].text.begin() + 1);
  }
  // Room that stays unused costs no memory, within reason.
  reserve_large(out_, std::min(room + room / 16, most_room));
}

void Writer::write_initial_values() {
  write_time(selection_.from);
  constexpr std::string_view start = "$dumpvars\n", end = "$end\n";
  make_room(start.size());
  write(start);
  values_.reserve(selection_.shown.size());
  for (std::size_t shown = 0; shown < selection_.shown.size(); ++shown) {
    values_.push_back(bits_at(selection_.shown[shown], selection_.from));
    lines_[shown].text[0] = values_.back()[0];
    write_value(shown);
  }
  make_room(end.size());
  write(end);
}

void Writer::write_changes() {
  report::ChangeStream stream(selection_);
  for (auto changes = stream.next(); !changes.empty(); changes = stream.next()) {
    write_time(changes.front().time);
    for (std::size_t i = 0; i < changes.size(); ++i) {
      const BitChange& change = changes[i];
      if (Line& line = lines_[change.shown]; line.length != 0) {
        line.text[0] = to_char(change.value);
        write_value(change.shown);
        continue;
      }
      values_[change.shown][change.bit] = to_char(change.value);
      if (i + 1 == changes.size() || changes[i + 1].shown != change.shown) write_value(change.shown);
    }
  }
  if (written_time_ != selection_.last) write_time(selection_.last);
}

}  // namespace

std::string run_vcd(const RunResult& result, const Circuit& circuit, const WaveformView& view) {
  const Selection selection = report::select_signals(result.waveform, view);
  return Writer(selection, circuit).finish();
}

}  // namespace settle
