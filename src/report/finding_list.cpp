#include "report/finding_list.h"

#include <algorithm>

#include <fmt/format.h>

#include "report/ink.h"
#include "report/result_documents.h"
#include "text/visible_text.h"

namespace settle::report {

namespace {

constexpr std::size_t most_listed = 100;       // findings, and failures; documents hold all
constexpr std::size_t most_outcomes = 8;
constexpr std::size_t most_outcome_nets = 8;

std::size_t width_of(const TextStyle& style) { return std::max<std::size_t>(style.width, 40); }

std::string plural(std::uint64_t count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

/// `head` in its colour, then `text`, wrapped; all but the first line indented.
void paragraph(std::string& out, std::string_view head, Ink ink, std::string_view text, std::size_t indent,
               const TextStyle& style) {
  const std::size_t width = width_of(style);
  const std::size_t used = std::min(columns_of(head), width - 1);
  const auto lines = wrapped(text, width - used, width - indent);
  out += painted(head, ink, style.color);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i > 0) out.append(indent, ' ');
    out += lines[i];
    out += '\n';
  }
}

std::string outcome_text(const Finding& finding, const std::vector<Value>& values) {
  std::string text;
  const std::size_t count = std::min(finding.nets.size(), values.size());
  for (std::size_t i = 0; i < count && i < most_outcome_nets; ++i) {
    text += fmt::format("{}{}={}", i > 0 ? " " : "", finding.nets[i], to_char(values[i]));
  }
  if (count > most_outcome_nets) text += " ...";
  return text;
}

/// "occupied=0 clear=1 | occupied=1 clear=0 | may hang"
std::string outcome_row(const Finding& finding) {
  std::string row;
  const auto add = [&](std::string_view text) {
    if (!row.empty()) row += " | ";
    row += text;
  };
  const std::size_t shown = std::min(finding.outcomes.size(), most_outcomes);
  for (std::size_t i = 0; i < shown; ++i) add(outcome_text(finding, finding.outcomes[i]));
  if (shown > 0 && finding.outcome_count > shown) add(fmt::format("{} more", finding.outcome_count - shown));
  if (finding.may_hang) add("may hang");
  return row;
}

/// "unknown from 12 on; came again 3 times"
std::string further_text(const Finding& finding, TimeUnit unit) {
  std::string more;
  const auto add = [&](std::string text) { more += (more.empty() ? "" : "; ") + std::move(text); };
  if (finding.since) add(fmt::format("unknown from {} on", to_text(*finding.since, unit)));
  if (finding.skewed_verdict) {
    add(fmt::format("{} when the inputs do not change at exactly the same time", name_of(*finding.skewed_verdict)));
  }
  if (finding.repeats > 0) add(fmt::format("came again {}", finding.repeats == 1 ? "once" : plural(finding.repeats, "time")));
  return more;
}

void append_finding(std::string& out, const Finding& finding, const std::string& label, const TextStyle& style,
                    TimeUnit unit) {
  const bool is_warning = finding.severity == FindingSeverity::warning;
  const std::string head = fmt::format("{}  at {}  ", label, to_text(finding.time, unit));
  const std::string kind = fmt::format("{}{} {}: ", finding.expected ? "expected " : "",
                                       is_warning ? "warning" : "note", name_of(finding.kind));
  const std::size_t indent = label.size() + 2;
  paragraph(out, head + kind, is_warning ? Ink::mark : Ink::strong, finding.message, indent, style);
  const std::string row = outcome_row(finding);
  const std::string blank(indent, ' ');
  if (!row.empty()) paragraph(out, blank + "ends as  ", Ink::faint, row, indent + 9, style);
  const std::string more = further_text(finding, unit);
  if (!more.empty()) paragraph(out, blank, Ink::plain, more, indent, style);
}

/// "latch.stim:5:8: at 13, occupied: wanted 0, found 1"
std::string failure_text(const RunResult& result, const ExpectationFailure& failure, const Sources& sources) {
  std::string text;
  if (failure.place.exists()) {
    const Sources::LineColumn where = sources.locate(failure.place);
    text = fmt::format("{}:{}:{}: ", visible_text(sources.path(failure.place.file)), where.line, where.column);
  }
  text += fmt::format("at {}", to_text(failure.time, result.waveform.time_unit));
  if (result.lanes > 1) text += fmt::format(" (start state {} of {})", failure.lane + 1, result.lanes);
  return text + (failure.net.empty()
                     ? fmt::format(", wanted {}, found {}", failure.want, failure.got)
                     : fmt::format(", {}: wanted {}, found {}", failure.net, failure.want, failure.got));
}

void append_rest(std::string& out, std::size_t count, std::string_view noun) {
  if (count > most_listed) {
    fmt::format_to(std::back_inserter(out), "and {} more; --format json lists all\n",
                   plural(count - most_listed, noun));
  }
}

}  // namespace

std::string letters(std::size_t index) {
  std::string text(1, static_cast<char>('A' + index % 26));
  while (index >= 26) {
    index = index / 26 - 1;
    text.insert(text.begin(), static_cast<char>('A' + index % 26));
  }
  return text;
}

std::vector<Mark> marks_of(const RunResult& result) {
  std::vector<Mark> marks;
  for (std::size_t i = 0; i < result.findings.size() && i < most_listed; ++i) {
    marks.push_back({result.findings[i].time, letters(i), false});
  }
  for (std::size_t i = 0; i < result.failures.size() && i < most_listed; ++i) {
    marks.push_back({result.failures[i].time, fmt::format("{}", i + 1), true});
  }
  return marks;
}

std::string finding_list(const RunResult& result, const TextStyle& style) {
  std::string out;
  for (std::size_t i = 0; i < result.findings.size() && i < most_listed; ++i) {
    append_finding(out, result.findings[i], letters(i), style, result.waveform.time_unit);
  }
  append_rest(out, result.findings.size(), "finding");
  return out;
}

std::string failure_list(const RunResult& result, const Sources& sources, const TextStyle& style) {
  std::string out;
  for (std::size_t i = 0; i < result.failures.size() && i < most_listed; ++i) {
    const ExpectationFailure& failure = result.failures[i];
    const std::string text = failure_text(result, failure, sources);
    const std::string label = fmt::format("{}", i + 1);
    const std::size_t indent = label.size() + 2;
    paragraph(out, label + "  ", Ink::bad, text, indent, style);
    for (const std::string& line : failure.history) {
      paragraph(out, std::string(indent + 2, ' '), Ink::plain, line, indent + 4, style);
    }
  }
  append_rest(out, result.failures.size(), "failed expectation");
  return out;
}

void add_finding_remarks(Document& document, const RunResult& result) {
  const TimeUnit unit = result.waveform.time_unit;
  for (std::size_t i = 0; i < result.findings.size() && i < most_listed; ++i) {
    const Finding& finding = result.findings[i];
    std::string text = fmt::format("{} at {}, {}: {}.", letters(i), to_text(finding.time, unit), name_of(finding.kind),
                                   finding.message);
    const std::string row = outcome_row(finding), more = further_text(finding, unit);
    if (!row.empty()) text += fmt::format(" Ends as {}.", row);
    if (!more.empty()) text += fmt::format(" Also: {}.", more);
    document.remark(std::string(finding.expected ? "expected " : "") +
                        (finding.severity == FindingSeverity::warning ? "warning" : "note"),
                    std::move(text));
  }
  if (result.findings.size() > most_listed)
    document.paragraph(fmt::format("and {} more.", plural(result.findings.size() - most_listed, "finding")));
}

void add_failure_remarks(Document& document, const RunResult& result, const Sources& sources) {
  for (std::size_t i = 0; i < result.failures.size() && i < most_listed; ++i)
    document.remark("failed", failure_text(result, result.failures[i], sources) + ".");
  if (result.failures.size() > most_listed)
    document.paragraph(fmt::format("and {} more.", plural(result.failures.size() - most_listed, "failed expectation")));
}

std::string run_summary(const RunResult& result, const TextStyle& style) {
  std::uint64_t warnings = 0, notes = 0, expected = 0;
  for (const Finding& finding : result.findings) {
    ++(finding.severity == FindingSeverity::warning ? warnings : notes);
    if (finding.expected) ++expected;
  }
  std::string out;
  if (!result.complete) {
    paragraph(out, "incomplete: ", Ink::mark, result.incomplete_reason, 2, style);
  }
  const bool fails = !result.passes();
  const std::string_view verdict = fails ? "fail" : result.complete ? "pass" : "incomplete";
  std::string text = fmt::format("{} passed, {} failed; {}, {}", plural(result.passed, "expectation"), result.failed,
                                 plural(warnings, "warning"), plural(notes, "note"));
  if (expected > 0) text += fmt::format(" ({} expected)", expected);
  paragraph(out, fmt::format("{}: ", verdict), fails ? Ink::bad : Ink::strong, text, 2, style);
  return out;
}

}  // namespace settle::report
