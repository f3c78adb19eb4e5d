// Timing as a page.
#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "report/ink.h"
#include "report/timing_words.h"
#include "settle/timing_report.h"

namespace settle {
namespace {

using Kind = TimingConstraint::Kind;
using report::columns_of;
using report::constraint_text;
using report::edge_text;
using report::offsets_text;
using report::ticks_text;

constexpr std::size_t most_rows = 40;  // of one table; the document has them all
constexpr std::size_t most_names = 8;

// Rows of cells under a headline; the first column and the last are flush left, those between flush right.
class TimingTable {
 public:
  explicit TimingTable(std::vector<std::string> head) { rows_.push_back(std::move(head)); }
  void add(std::vector<std::string> row) { rows_.push_back(std::move(row)); }
  bool has_rows() const { return rows_.size() > 1; }

  void append_to(std::string& out, const TextStyle& style) const {
    const std::size_t columns = rows_[0].size();
    std::vector<std::size_t> widths(columns, 0);
    for (const auto& row : rows_) {
      for (std::size_t i = 0; i < columns; ++i) widths[i] = std::max(widths[i], columns_of(row[i]));
    }
    for (std::size_t r = 0; r < rows_.size(); ++r) {
      std::string line = "  ";
      for (std::size_t i = 0; i < columns; ++i) {
        const std::string& text = rows_[r][i];
        const std::string blanks(widths[i] - columns_of(text), ' ');
        const bool is_left = i == 0 || i + 1 == columns;
        line += (is_left ? text + blanks : blanks + text) + "  ";
      }
      line.erase(line.find_last_not_of(' ') + 1);
      out += (r == 0 ? report::painted(line, report::Ink::faint, style.color) : line) + '\n';
    }
  }

 private:
  std::vector<std::vector<std::string>> rows_;
};

class TimingPage {
 public:
  TimingPage(const Timing& timing, const TextStyle& style)
      : t_(timing),
        style_(style),
        width_(std::max(style.width, 40u)),
        arrow_(style.ascii ? " -> " : " \u2192 ") {}

  std::string text() {
    paragraph(fmt::format("{} with {}{}.", t_.circuit.empty() ? "The circuit" : t_.circuit,
                          report::delays_text(t_.delays),
                          t_.unit == TimeUnit::none ? ", each gate one unit" : ""));
    for (const TimedCell& cell : t_.cells) show(cell);
    if (!t_.through.empty()) {
      heading("Through the whole circuit");
      propagation(t_.through);
    }
    if (!t_.complete) {
      out_ += '\n';
      paragraph("Incomplete: " + t_.incomplete_reason + ".");
    }
    return std::move(out_);
  }

 private:
  void paragraph(const std::string& text, std::size_t indent = 0) {
    const std::size_t width = width_ - indent;
    for (const std::string& line : report::wrapped(text, width, width))
      out_ += std::string(indent, ' ') + line + '\n';
  }
  void heading(const std::string& text) {
    out_ += '\n' + report::painted(text, report::Ink::strong, style_.color) + '\n';
  }
  std::string time(std::int64_t ticks) const { return ticks_text(ticks, t_.unit); }

  static std::string some_names(const std::vector<std::string>& names) {
    std::vector<std::string> shown(
        names.begin(), names.begin() + static_cast<std::ptrdiff_t>(std::min(names.size(), most_names)));
    std::string text = fmt::format("{}", fmt::join(shown, ", "));
    if (names.size() > most_names) text += fmt::format(" and {} more", names.size() - most_names);
    return text;
  }

  void show(const TimedCell& cell) {
    heading(fmt::format("{}: {}", cell.outputs.empty() ? std::string("no output") : some_names(cell.outputs),
                        cell.kind));
    if (!cell.copies.empty()) {
      std::vector<std::string> others;
      for (const auto& copy : cell.copies) others.push_back(copy.empty() ? std::string("?") : copy[0]);
      paragraph(fmt::format("The same holds for {}.", some_names(others)));
    }
    propagation(cell.propagation);
    constraints(cell);
    notes(cell);
  }

  std::string path_text(const Propagation& row) const {
    std::vector<std::string> names;
    for (const NetEdge& edge : row.path) names.push_back(edge.net);
    return fmt::format("{}", fmt::join(names, arrow_));
  }

  void propagation(const std::vector<Propagation>& rows) {
    if (rows.empty()) return;
    const bool bound = rows[0].is_bound;
    out_ += '\n';
    TimingTable table(
        {"Propagation", bound ? "not below" : "least", bound ? "not above" : "most", "slowest way"});
    for (std::size_t i = 0; i < std::min(rows.size(), most_rows); ++i) {
      const Propagation& row = rows[i];
      table.add({fmt::format("{}{}{}", edge_text(row.from), arrow_, edge_text(row.to)),
                 time(static_cast<std::int64_t>(row.least)), time(static_cast<std::int64_t>(row.most)),
                 path_text(row)});
    }
    table.append_to(out_, style_);
    if (rows.size() > most_rows)
      paragraph(fmt::format("... and {} more; --format json has them all.", rows.size() - most_rows), 2);
  }

  void constraints(const TimedCell& cell) {
    if (cell.constraints.empty()) return;
    out_ += '\n';
    TimingTable table({"Needed at least", "right value", "no glitch", "undecided when it is"});
    for (const TimingConstraint& c : cell.constraints) {
      // An offset is that of the data; setup and recovery count backwards from there.
      table.add(
          {constraint_text(c), c.right ? time(*c.right) : "-", c.clean ? time(*c.clean) : "-", trouble(c)});
    }
    table.append_to(out_, style_);
    limits(cell);
  }

  std::string trouble(const TimingConstraint& c) const {
    if (c.undecided.empty()) return c.restless != 0 ? "never at rest" : "";
    if (c.kind != Kind::pulse) return offsets_text(c.undecided, t_.unit);
    std::string text;
    for (const OffsetRange& range : c.undecided) {
      text += text.empty() ? "" : ", ";
      text += time(range.first);
      if (range.last != range.first) text += range.last >= far_off ? " or more" : " to " + time(range.last);
    }
    return text;
  }

  void limits(const TimedCell& cell) {
    std::vector<std::string> lines;
    for (const TimingConstraint& c : cell.constraints) {
      if (c.race.size() != 2) continue;
      lines.push_back(fmt::format("{}: {} must have {} when {}{}.", constraint_text(c), c.race[0].net,
                                  c.race[0].rises ? "risen" : "fallen", edge_text(c.race[1]),
                                  c.race_gate.empty() ? "" : ", at gate " + c.race_gate));
    }
    if (lines.empty()) return;
    out_ += '\n';
    paragraph("What limits it:", 2);
    for (const std::string& line : lines) paragraph(line, 4);
  }

  void notes(const TimedCell& cell) {
    std::uint64_t cases = 0, ranges = 0, restless = 0;
    for (const TimingConstraint& c : cell.constraints) {
      cases += c.cases;
      ranges += c.ranges;
      restless += c.restless;
    }
    std::vector<std::string> sentences;
    if (ranges != 0) {
      sentences.push_back(fmt::format(
          "Proved for every whole offset: {} stable states, {} cases, their offsets in {} ranges, one "
          "simulation each.",
          cell.stable_states, cases, ranges));
    } else if (!cell.propagation.empty() && !cell.propagation[0].is_bound) {
      sentences.push_back(fmt::format("Tried from all {} stable states.", cell.stable_states));
    }
    if (restless != 0)
      sentences.push_back(
          fmt::format("In {} cases it never comes to rest after one change alone: left out.", restless));
    if (cell.restless != 0) {
      sentences.push_back(fmt::format("{} input change{} never to rest: no propagation delay.", cell.restless,
                                      cell.restless == 1 ? " leads" : "s lead"));
    }
    if (!cell.note.empty()) sentences.push_back(capitalised_first(cell.note) + ".");
    if (sentences.empty()) return;
    out_ += '\n';
    paragraph(fmt::format("{}", fmt::join(sentences, " ")), 2);
  }

  static std::string capitalised_first(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
  }

  static constexpr std::int64_t far_off = std::int64_t{1} << 60;
  const Timing& t_;
  const TextStyle& style_;
  const std::size_t width_;
  const std::string arrow_;
  std::string out_;
};

}  // namespace

std::string timing_text(const Timing& timing, const TextStyle& style) {
  return TimingPage(timing, style).text();
}

}  // namespace settle
