// Tables in characters.
#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "report/ink.h"
#include "report/table_cells.h"
#include "settle/report.h"

namespace settle {

namespace {

using report::Ink;
using report::TableColumn;

constexpr std::size_t most_notes = 12;

/// The rules of the table.
struct Rules {
  std::string_view down = "│", across = "─", crossing = "┼";
};

std::string repeated(std::string_view text, std::size_t count) {
  std::string out;
  for (std::size_t i = 0; i < count; ++i) out += text;
  return out;
}

/// Short cells stand in the middle of their column, words at its left.
std::string padded(const std::string& text, std::size_t width, bool centred) {
  const std::size_t space = width - std::min(width, text.size());
  const std::size_t left = centred ? space / 2 : 0;
  return std::string(left, ' ') + text + std::string(space - left, ' ');
}

Ink ink_of(const std::string& cell) {
  if (cell == "undecided" || cell == "oscillates" || cell == "x") return Ink::unknown;
  if (cell == "-") return Ink::faint;
  if (cell == "^" || cell == "v") return Ink::mark;
  return Ink::plain;
}

class TextTable {
 public:
  TextTable(std::vector<TableColumn> columns, const TextStyle& style)
      : columns_(std::move(columns)), style_(style) {
    if (style.ascii) rules_ = {"|", "-", "+"};
    for (const TableColumn& column : columns_) {
      std::size_t longest = 0;
      for (const std::string& cell : column.cells) longest = std::max(longest, cell.size());
      width_.push_back(std::max(longest, column.name.size()));
      centred_.push_back(longest <= 1);
    }
  }

  std::string text() const {
    std::string out;
    line(
        out, [&](std::size_t c) { return columns_[c].name; }, true);
    for (std::size_t c = 0; c < columns_.size(); ++c) {
      if (parts(c)) out += std::string(rules_.across) + std::string(rules_.crossing);
      out += repeated(rules_.across, width_[c] + (c == 0 || parts(c) ? 1 : 2));
    }
    out += std::string(rules_.across) + "\n";
    const std::size_t rows = columns_.empty() ? 0 : columns_.front().cells.size();
    for (std::size_t r = 0; r < rows; ++r)
      line(
          out, [&](std::size_t c) { return columns_[c].cells[r]; }, false);
    return out;
  }

 private:
  /// A rule stands in front of the column.
  bool parts(std::size_t c) const { return c > 0 && columns_[c].side != columns_[c - 1].side; }

  template <class Cell>
  void line(std::string& out, const Cell& cell, bool head) const {
    std::string text;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
      if (parts(c)) text += " " + report::painted(rules_.down, Ink::faint, style_.color);
      text += c == 0 || parts(c) ? " " : "  ";
      const std::string word = cell(c);
      const std::string full = padded(word, width_[c], centred_[c]);
      text += report::painted(full, head ? Ink::strong : ink_of(word), style_.color);
    }
    if (!style_.color) text.erase(text.find_last_not_of(' ') + 1);
    out += text + "\n";
  }

  std::vector<TableColumn> columns_;
  const TextStyle& style_;
  Rules rules_;
  std::vector<std::size_t> width_;
  std::vector<bool> centred_;
};

}  // namespace

std::string table_text(const Table& table, const Circuit& circuit, const TextStyle& style) {
  std::string out = report::painted(report::table_title(table, circuit), Ink::strong, style.color) + "\n";
  if (!table.rows.empty()) out += "\n" + TextTable(report::grouped_columns(table, circuit), style).text();
  const auto legend = style.quiet ? std::vector<std::string>() : report::table_legend(table);
  if (!legend.empty()) out += "\n";
  const auto paragraph = [&](std::string_view text, std::size_t indent) {
    bool first = true;
    for (const std::string& line : report::wrapped(text, style.width, style.width - indent)) {
      out += (first ? "" : std::string(indent, ' ')) + line + "\n";
      first = false;
    }
  };
  for (const std::string& line : legend) paragraph(line, 2);
  if (!table.notes.empty()) out += "\n";
  for (std::size_t i = 0; i < table.notes.size() && i < most_notes; ++i)
    paragraph("note: " + table.notes[i].text, 6);
  if (table.notes.size() > most_notes) {
    out += fmt::format("{} more notes; --format json gives all\n", table.notes.size() - most_notes);
  }
  if (!table.complete) paragraph("incomplete: " + table.incomplete_reason, 2);
  return out;
}

}  // namespace settle
