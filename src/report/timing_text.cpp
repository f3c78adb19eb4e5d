// Timing as a page.
#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "report/result_documents.h"
#include "report/timing_words.h"
#include "settle/timing_report.h"

namespace settle {
namespace {

using Kind = TimingConstraint::Kind;
using report::constraint_text;
using report::edge_text;
using report::offsets_text;
using report::ticks_text;

constexpr std::size_t most_rows = 40;  // of one table; the document has them all
constexpr std::size_t most_names = 8;

class TimingPage {
 public:
  TimingPage(const Timing& timing, bool ascii) : t_(timing), arrow_(ascii ? " -> " : " \u2192 ") {}

  report::Document document() {
    paragraph(fmt::format("{} with {}{}.", t_.circuit.empty() ? "The circuit" : t_.circuit,
                          report::delays_text(t_.delays),
                          t_.unit == TimeUnit::none ? ", each gate one unit" : ""));
    for (const TimedCell& cell : t_.cells) show(cell);
    if (!t_.through.empty()) {
      heading("Through the whole circuit");
      propagation(t_.through);
    }
    if (!t_.complete) apart(out_.paragraph("Incomplete: " + t_.incomplete_reason + "."));
    return std::move(out_);
  }

 private:
  static void apart(report::DocumentBlock& block) { block.blank_line = true; }
  void paragraph(const std::string& text, std::size_t indent = 0) { out_.paragraph(text, indent); }
  void heading(const std::string& text) { out_.heading(text); }
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
    using Align = report::DocumentColumn::Align;
    report::DocumentTable table{"Propagation delays",
                                {{"Propagation", Align::left},
                                 {bound ? "not below" : "least", Align::right},
                                 {bound ? "not above" : "most", Align::right},
                                 {"slowest way", Align::left}},
                                {},
                                true};
    for (std::size_t i = 0; i < std::min(rows.size(), most_rows); ++i) {
      const Propagation& row = rows[i];
      table.rows.push_back({fmt::format("{}{}{}", edge_text(row.from), arrow_, edge_text(row.to)),
                 time(static_cast<std::int64_t>(row.least)), time(static_cast<std::int64_t>(row.most)),
                 path_text(row)});
    }
    apart(out_.table(std::move(table)));
    if (rows.size() > most_rows)
      paragraph(fmt::format("... and {} more; --format json has them all.", rows.size() - most_rows), 2);
  }

  void constraints(const TimedCell& cell) {
    if (cell.constraints.empty()) return;
    using Align = report::DocumentColumn::Align;
    report::DocumentTable table{"What the inputs must observe",
                                {{"Needed at least", Align::left},
                                 {"right value", Align::right},
                                 {"no glitch", Align::right},
                                 {"undecided when it is", Align::left}},
                                {},
                                true};
    for (const TimingConstraint& c : cell.constraints) {
      // An offset is that of the data; setup and recovery count backwards from there.
      table.rows.push_back(
          {constraint_text(c), c.right ? time(*c.right) : "-", c.clean ? time(*c.clean) : "-", trouble(c)});
    }
    apart(out_.table(std::move(table)));
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
    apart(out_.paragraph("What limits it:", 2));
    out_.list(report::Document::Kind::list, std::move(lines), 4);
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
    apart(out_.paragraph(fmt::format("{}", fmt::join(sentences, " ")), 2));
  }

  static std::string capitalised_first(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
  }

  static constexpr std::int64_t far_off = std::int64_t{1} << 60;
  const Timing& t_;
  const std::string arrow_;
  report::Document out_;
};

}  // namespace

std::string timing_text(const Timing& timing, const TextStyle& style) {
  return report::document_text(TimingPage(timing, style.ascii).document(), style);
}

report::Document report::timing_document(const Timing& timing) { return TimingPage(timing, false).document(); }

}  // namespace settle
