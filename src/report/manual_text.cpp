// Markdown as our pages write it -> text for a terminal: headings, paragraphs, lists, tables, code blocks.
#include <algorithm>
#include <span>

#include <fmt/format.h>

#include "report/ink.h"
#include "report/markdown_reader.h"
#include "settle/manual.h"

namespace settle {
namespace {

using namespace report;

class PageWriter : public MarkdownReader {
 public:
  explicit PageWriter(const TextStyle& style) : style_(style), width_(std::clamp(style.width, 20u, 100u)) {}

  std::string write(std::string_view markdown) {
    read(markdown);
    return std::move(out_);
  }

 private:
  void space() {
    if (gap_ && !out_.empty()) out_ += '\n';
    gap_ = false;
  }

  void line(std::string_view text) {
    out_ += text;
    out_ += '\n';
  }

  void gap() override { gap_ = true; }

  void heading(std::size_t level, std::string_view text) override {
    const std::string title = without_marks(text);
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

  void code(std::span<const std::string_view> lines) override {
    gap_ = true;
    space();
    for (const std::string_view text : lines) line(text.empty() ? "" : "    " + std::string(text));
    gap_ = true;
  }

  void paragraph(std::string_view text, std::size_t mark) override {
    space();
    std::string head(mark == 0 ? "" : text.substr(0, mark));
    for (const std::string& part :
         wrapped(without_marks(text.substr(mark)), width_ - head.size(), width_ - head.size())) {
      line(head + part);
      head.assign(head.size(), ' ');
    }
  }

  void table(const std::vector<std::vector<std::string>>& marked) override {
    gap_ = true;
    space();
    std::vector<std::vector<std::string>> rows = marked;
    std::vector<std::size_t> widths;
    for (auto& row : rows) {
      widths.resize(std::max(widths.size(), row.size()));
      for (std::size_t k = 0; k < row.size(); ++k) {
        row[k] = without_marks(row[k]);
        widths[k] = std::max(widths[k], columns_of(row[k]));
      }
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
      "'settle help PAGE' shows a page. A section, a statement, a verdict, a kind of warning, a gate or a limit is found by its name "
      "as well: 'settle help power-up', 'settle help indeterminate', 'settle help floating-input'.";
  for (const std::string& text : wrapped(rest, style.width, style.width)) out += text + '\n';
  return out;
}

}  // namespace settle
