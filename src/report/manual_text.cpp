// Markdown as our pages write it -> text for a terminal: headings, paragraphs, lists, tables, code blocks.
#include <algorithm>
#include <span>

#include <fmt/format.h>

#include "report/ink.h"
#include "settle/manual.h"

namespace settle {
namespace {

using namespace report;

/// Text without the marks of Markdown: `code`, **strong**, [text](target).
std::string without_marks(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '`') continue;
    if (text.substr(i).starts_with("**")) {
      ++i;
      continue;
    }
    if (text[i] == '\\' && i + 1 < text.size()) {
      out += text[++i];
      continue;
    }
    if (text[i] == '[') {
      const std::size_t middle = text.find("](", i);
      const std::size_t end = middle == std::string_view::npos ? middle : text.find(')', middle);
      // "name[3]" is no link: the text of a link has no bracket of its own here.
      if (end != std::string_view::npos &&
          text.substr(i + 1, middle - i - 1).find('[') == std::string_view::npos) {
        out += without_marks(text.substr(i + 1, middle - i - 1));
        i = end;
        continue;
      }
    }
    out += text[i];
  }
  return out;
}

std::string_view trimmed_blanks(std::string_view text) {
  while (text.starts_with(' ')) text.remove_prefix(1);
  while (text.ends_with(' ')) text.remove_suffix(1);
  return text;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

/// "| a | b |" -> a, b. A bar behind a backslash belongs to the cell.
std::vector<std::string> cells_of(std::string_view line) {
  std::vector<std::string> cells;
  std::string cell;
  line = trimmed_blanks(line);
  if (line.starts_with('|')) line.remove_prefix(1);
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (line[i] == '\\' && i + 1 < line.size() && line[i + 1] == '|') {
      cell += line[++i];
    } else if (line[i] == '|') {
      cells.push_back(without_marks(trimmed_blanks(cell)));
      cell.clear();
    } else {
      cell += line[i];
    }
  }
  return cells;
}

/// "- item", "* item", "1. item": columns of the mark with its blank; 0: no item.
std::size_t item_mark(std::string_view line) {
  const std::size_t indent = std::min(line.find_first_not_of(' '), line.size());
  const std::string_view rest = line.substr(indent);
  if (rest.starts_with("- ") || rest.starts_with("* ")) return indent + 2;
  const std::size_t digits = std::min(rest.find_first_not_of("0123456789"), rest.size());
  return digits > 0 && rest.substr(digits).starts_with(". ") ? indent + digits + 2 : 0;
}

class PageWriter {
 public:
  explicit PageWriter(const TextStyle& style) : style_(style), width_(std::clamp(style.width, 20u, 100u)) {}

  std::string write(std::string_view markdown) {
    const std::vector<std::string_view> lines = lines_of(markdown);
    for (std::size_t i = 0; i < lines.size();) {
      const std::string_view line = lines[i];
      std::size_t next = i + 1;
      if (line.starts_with("```")) {
        while (next < lines.size() && !lines[next].starts_with("```")) ++next;
        code(std::span(lines).subspan(i + 1, next - i - 1));
        ++next;
      } else if (line.starts_with('#')) {
        heading(line);
      } else if (line.starts_with('|')) {
        while (next < lines.size() && lines[next].starts_with('|')) ++next;
        table(std::span(lines).subspan(i, next - i));
      } else if (trimmed_blanks(line).empty()) {
        gap_ = true;
      } else {
        std::string text(line);
        while (next < lines.size() && continues(lines[next]))
          text += ' ' + std::string(trimmed_blanks(lines[next++]));
        paragraph(text);
      }
      i = next;
    }
    return std::move(out_);
  }

 private:
  static bool continues(std::string_view line) {
    return !trimmed_blanks(line).empty() && item_mark(line) == 0 && line.find_first_of("#|") != 0 &&
           !line.starts_with("```");
  }

  void space() {
    if (gap_ && !out_.empty()) out_ += '\n';
    gap_ = false;
  }

  void line(std::string_view text) {
    out_ += text;
    out_ += '\n';
  }

  void heading(std::string_view text) {
    const std::size_t level = std::min(text.find_first_not_of('#'), text.size());
    const std::string title = without_marks(trimmed_blanks(text.substr(level)));
    gap_ = true;
    space();
    line(painted(title, Ink::strong, style_.color));
    if (level <= 2) {
      const std::string_view stroke = style_.ascii ? (level == 1 ? "=" : "-") : (level == 1 ? "═" : "─");
      std::string rule;
      for (std::size_t i = 0; i < columns_of(title); ++i) rule += stroke;
      line(painted(rule, Ink::faint, style_.color));
    }
    gap_ = true;
  }

  void code(std::span<const std::string_view> lines) {
    gap_ = true;
    space();
    for (const std::string_view text : lines) line(text.empty() ? "" : "    " + std::string(text));
    gap_ = true;
  }

  void paragraph(std::string_view text) {
    space();
    const std::size_t mark = item_mark(text);
    std::string head(mark == 0 ? "" : text.substr(0, mark));
    for (const std::string& part :
         wrapped(without_marks(text.substr(mark)), width_ - head.size(), width_ - head.size())) {
      line(head + part);
      head.assign(head.size(), ' ');
    }
  }

  void table(std::span<const std::string_view> lines) {
    gap_ = true;
    space();
    std::vector<std::vector<std::string>> rows;
    std::vector<std::size_t> widths;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      if (i == 1) continue;  // the rule under the head
      rows.push_back(cells_of(lines[i]));
      widths.resize(std::max(widths.size(), rows.back().size()));
      for (std::size_t k = 0; k < rows.back().size(); ++k)
        widths[k] = std::max(widths[k], columns_of(rows.back()[k]));
    }
    std::size_t before_last = 0;
    for (std::size_t k = 0; k + 1 < widths.size(); ++k) before_last += widths[k] + 2;
    if (before_last + 24 <= width_ || (!widths.empty() && before_last + widths.back() <= width_)) {
      columns(rows, widths, before_last);
    } else {
      list(rows);
    }
    gap_ = true;
  }

  /// The last column is wrapped.
  void columns(const std::vector<std::vector<std::string>>& rows, const std::vector<std::size_t>& widths,
               std::size_t before_last) {
    for (std::size_t r = 0; r < rows.size(); ++r) {
      std::string head;
      for (std::size_t k = 0; k + 1 < rows[r].size(); ++k) {
        head += rows[r][k] + std::string(widths[k] + 2 - columns_of(rows[r][k]), ' ');
      }
      const std::size_t room = width_ - before_last;
      for (const std::string& part : wrapped(rows[r].empty() ? "" : rows[r].back(), room, room)) {
        std::string text = head + part;
        text.erase(text.find_last_not_of(' ') + 1);
        line(r == 0 ? painted(text, Ink::faint, style_.color) : text);
        head.assign(before_last, ' ');
      }
    }
  }

  /// Each row: its first cell, then the others below with the names of their columns.
  void list(const std::vector<std::vector<std::string>>& rows) {
    for (std::size_t r = 1; r < rows.size(); ++r) {
      for (std::size_t k = 0; k < rows[r].size(); ++k) {
        if (k == 0) {
          for (const std::string& part : wrapped(rows[r][0], width_, width_)) line(part);
        } else if (!rows[r][k].empty()) {
          const std::string named =
              k < rows[0].size() && !rows[0][k].empty() ? rows[0][k] + ": " + rows[r][k] : rows[r][k];
          for (const std::string& part : wrapped(named, width_ - 4, width_ - 4)) line("    " + part);
        }
      }
    }
  }

  TextStyle style_;
  std::size_t width_;
  std::string out_;
  bool gap_ = false;
};

}  // namespace

std::string manual_text(std::string_view markdown, const TextStyle& style) {
  return PageWriter(style).write(markdown);
}

std::string manual_contents(const TextStyle& style) {
  std::string out = "Pages:\n";
  for (const ManualPage& page : manual_pages()) {
    out += fmt::format("  {:<14}{}\n", page.name, manual_topics(page).front().title);
  }
  out += '\n';
  constexpr std::string_view rest =
      "'settle help PAGE' shows a page. A section, a statement, a verdict or the kind of a warning is found by its name "
      "as well: 'settle help power-up', 'settle help indeterminate', 'settle help floating-input'.";
  for (const std::string& text : wrapped(rest, style.width, style.width)) out += text + '\n';
  return out;
}

}  // namespace settle
