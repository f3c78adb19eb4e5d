// A line for each file, then what is wrong, then a summary. Verdicts that need a look are in capitals, so
// that they differ in shape and not only in colour.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <iterator>
#include <set>

#include "report/ink.h"
#include "settle/check_report.h"
#include "text/visible_text.h"

namespace settle {
namespace {

constexpr std::size_t most_items = 20;  // of one file; documents hold all
constexpr std::size_t widest_path = 60;
constexpr std::array<std::string_view, 4> verdict_words = {"pass", "INCOMPLETE", "FAIL", "ERROR"};

report::Ink ink_of(CheckVerdict verdict) {
  return verdict == CheckVerdict::pass         ? report::Ink::high
         : verdict == CheckVerdict::incomplete ? report::Ink::mark
                                               : report::Ink::unknown;
}

std::string number_of(std::uint64_t count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

std::string kinds_in(const CheckedFile& file, Severity severity) {
  std::set<std::string> kinds;
  for (const CheckItem& item : file.items) {
    if (item.severity == severity && item.kind != "requirement") kinds.insert(item.kind);
  }
  std::string text;
  for (const std::string& kind : kinds) text += (text.empty() ? "" : ", ") + kind;
  return text;
}

std::string remarks_on(const CheckedFile& file) {
  std::vector<std::string> parts;
  std::uint64_t errors = 0, broken = 0;
  for (const CheckItem& item : file.items) {
    errors += item.severity == Severity::error && item.kind == "error" ? 1 : 0;
    broken += item.aspect == CheckItem::Aspect::requirement && item.fails ? 1 : 0;
    if (item.aspect == CheckItem::Aspect::waveform) parts.push_back("another waveform");
  }
  if (errors > 0) parts.push_back(number_of(errors, "error"));
  if (file.failed > 0) {
    parts.push_back(
        fmt::format("{} of {} failed", file.failed, number_of(file.passed + file.failed, "expectation")));
  } else if (file.is_stimulus && file.verdict != CheckVerdict::error) {
    parts.push_back(number_of(file.passed, "expectation"));
  }
  if (!file.requirements.empty()) {
    const std::string all = number_of(file.requirements.size(), "requirement");
    parts.push_back(broken > 0 ? fmt::format("{} of {} not fulfilled", broken, all) : all);
  }
  if (file.warnings > 0) {
    parts.push_back(
        fmt::format("{}: {}", number_of(file.warnings, "warning"), kinds_in(file, Severity::warning)));
  }
  if (file.waveform_update) parts.push_back("waveform stored");
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text;
}

void append_file(std::string& out, const CheckedFile& file, std::size_t width, bool color) {
  const std::string_view word = verdict_words[static_cast<std::size_t>(file.verdict)];
  const std::string remarks = remarks_on(file);
  out += report::painted(word, ink_of(file.verdict), color);
  out.append(verdict_words[1].size() + 2 - word.size(), ' ');
  const std::string path = visible_text(file.path);
  out += path;
  if (!remarks.empty()) {
    const std::size_t columns = report::columns_of(path);
    out.append(width > columns ? width - columns + 2 : 2, ' ');
    out += remarks;
  }
  out += '\n';
}

/// Gives the number of warnings that were not asked for.
std::uint64_t append_items(std::string& out, const CheckedFile& file, CheckShown asked) {
  std::size_t shown = 0, more = 0;
  std::uint64_t hidden = 0;
  for (const CheckItem& item : file.items) {
    const bool is_warning = item.severity == Severity::warning;
    const bool wanted = asked == CheckShown::all || item.fails || (asked == CheckShown::warnings && is_warning) ||
                        (file.verdict == CheckVerdict::incomplete && item.kind == "requirement");
    if (!wanted) {
      hidden += is_warning ? 1 : 0;
      continue;
    }
    if (shown >= most_items && !(asked == CheckShown::warnings && is_warning)) {
      ++more;
      continue;
    }
    ++shown;
    out += item.text;
  }
  if (more > 0)
    fmt::format_to(std::back_inserter(out), "{}: and {} more; --format json lists all\n", visible_text(file.path), more);
  const bool told = std::any_of(file.items.begin(), file.items.end(), [](const CheckItem& item) {
    return item.kind == "requirement" && !item.fails;
  });
  if (!file.incomplete_reason.empty() && !told) {
    fmt::format_to(std::back_inserter(out), "{}: incomplete: {}\n", visible_text(file.path), file.incomplete_reason);
  }
  return hidden;
}

void append_sum(std::string& line, std::uint64_t count, std::string_view words) {
  if (count > 0) line += fmt::format(", {} {}", count, words);
}

std::string summary(const CheckResult& result, std::uint64_t hidden_warnings) {
  std::uint64_t passed = 0, failed = 0, warnings = 0, requirements = 0, fulfilled = 0, unjudged = 0;
  for (const CheckedFile& file : result.files) {
    passed += file.passed;
    failed += file.failed;
    warnings += file.warnings;
    unjudged += file.unjudged;
    for (const CheckedRequirement& demand : file.requirements) {
      ++requirements;
      fulfilled += demand.answer == RequirementOutcome::Answer::holds ? 1 : 0;
    }
  }
  std::string line = fmt::format("{} checked: {} passed", number_of(result.files.size(), "file"),
                                 result.count(CheckVerdict::pass));
  append_sum(line, result.count(CheckVerdict::fail), "failed");
  append_sum(line, result.count(CheckVerdict::error), "with errors");
  append_sum(line, result.count(CheckVerdict::incomplete), "incomplete");
  line += fmt::format("; {} passed", number_of(passed, "expectation"));
  append_sum(line, failed, "failed");
  if (requirements > 0) {
    line +=
        fmt::format("; {} of {} fulfilled", fulfilled, number_of(requirements, "requirement"));
  }
  if (warnings > 0) line += fmt::format("; {}", number_of(warnings, "warning"));
  line += '\n';
  if (unjudged > 0) line += fmt::format("{} not judged: add --storage\n", number_of(unjudged, "requirement"));
  if (hidden_warnings > 0) line += "hint: --warnings shows the warnings in full\n";
  return line;
}

}  // namespace

std::string check_text(const CheckResult& result, const TextStyle& style, CheckShown shown) {
  std::size_t width = 0;
  for (const CheckedFile& file : result.files) {
    width = std::max(width, std::min(report::columns_of(visible_text(file.path)), widest_path));
  }
  if (style.quiet && shown == CheckShown::all) shown = CheckShown::failures;
  std::string out, told;
  std::uint64_t hidden = 0;
  for (const CheckedFile& file : result.files) {
    if (style.quiet && file.verdict == CheckVerdict::pass) continue;
    append_file(out, file, width, style.color);
    hidden += append_items(told, file, shown);
  }
  const bool says_nothing = style.quiet && out.empty();
  for (const std::string& block : {told, says_nothing ? std::string() : summary(result, hidden)}) {
    if (block.empty()) continue;
    if (!out.empty()) out += '\n';
    out += block;
  }
  if (result.interrupted) {
    fmt::format_to(std::back_inserter(out), "interrupted: {} of {} checked\n", result.files.size(),
                   number_of(result.planned, "file"));
  }
  return out;
}

std::string check_kinds_text() {
  std::size_t width = 0;
  for (const CheckKind& kind : check_kinds()) width = std::max(width, kind.name.size());
  std::string out;
  std::string_view where;
  for (const CheckKind& kind : check_kinds()) {
    if (kind.where != where)
      fmt::format_to(std::back_inserter(out), "{}{}:\n", where.empty() ? "" : "\n", kind.where);
    where = kind.where;
    fmt::format_to(std::back_inserter(out), "  {:<{}}  {}\n", kind.name, width, kind.meaning);
  }
  out += "\n'warnings' and 'notes' stand for all of them.\n";
  return out;
}

}  // namespace settle
