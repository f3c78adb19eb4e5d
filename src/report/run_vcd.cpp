// Value change dump, IEEE 1364-2005 clause 18 (four-state form).
//
// Dotted names become nested module scopes; a bus becomes one vector variable. Within a time
// stamp every variable is written once, after all its bits have changed.

#include <algorithm>
#include <iterator>
#include <numeric>

#include <fmt/format.h>

#include "report/signal_view.h"
#include "settle/report.h"

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
    write_initial_values();
    write_changes();
    return std::move(out_);
  }

 private:
  void write_header(const Circuit& circuit);
  void write_variables();
  void write_initial_values();
  void write_changes();
  void write_value(std::size_t shown) {
    if (selection_.shown[shown].is_bus) {
      out_ += 'b';
      out_ += shortened(values_[shown]);
      out_ += ' ';
    } else {
      out_ += values_[shown][0];
    }
    out_ += codes_[shown];
  }
  void write_time(Time time) {
    const fmt::format_int digits(time);
    out_ += '#';
    out_.append(digits.data(), digits.size());
    out_ += '\n';
    written_time_ = time;
  }

  const Selection& selection_;
  std::string out_;
  std::vector<std::string> codes_;   // from write_variables() on with the line end behind
  std::vector<std::string> values_;
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

void Writer::write_initial_values() {
  write_time(selection_.from);
  out_ += "$dumpvars\n";
  values_.reserve(selection_.shown.size());
  for (std::size_t shown = 0; shown < selection_.shown.size(); ++shown) {
    values_.push_back(bits_at(selection_.shown[shown], selection_.from));
    write_value(shown);
  }
  out_ += "$end\n";
}

void Writer::write_changes() {
  report::ChangeStream stream(selection_);
  for (auto changes = stream.next(); !changes.empty(); changes = stream.next()) {
    write_time(changes.front().time);
    for (std::size_t i = 0; i < changes.size(); ++i) {
      const BitChange& change = changes[i];
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
