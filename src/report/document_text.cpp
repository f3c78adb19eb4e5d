// Documents for the terminal.
#include <algorithm>

#include "report/document.h"
#include "report/ink.h"

namespace settle::report {
namespace {

using BlockKind = DocumentBlock::Kind;

void append_wrapped(std::string& out, const std::string& text, std::size_t indent, std::size_t width) {
  for (const std::string& line : wrapped(text, width - indent, width - indent))
    out += std::string(indent, ' ') + line + '\n';
}

void append_text_table(std::string& out, const DocumentTable& table, const TextStyle& style) {
  std::vector<std::vector<std::string>> rows(1);
  for (const DocumentColumn& column : table.columns) rows[0].push_back(column.name);
  rows.insert(rows.end(), table.rows.begin(), table.rows.end());
  const std::size_t columns = table.columns.size();
  std::vector<std::size_t> widths(columns, 0);
  for (const auto& row : rows) {
    for (std::size_t i = 0; i < columns; ++i) widths[i] = std::max(widths[i], columns_of(row[i]));
  }
  for (std::size_t r = 0; r < rows.size(); ++r) {
    std::string line = "  ";
    for (std::size_t i = 0; i < columns; ++i) {
      const std::string& text = rows[r][i];
      const std::string blanks(widths[i] - columns_of(text), ' ');
      line += (i == 0 || i + 1 == columns ? text + blanks : blanks + text) + "  ";
    }
    line.erase(line.find_last_not_of(' ') + 1);
    out += (r == 0 ? painted(line, Ink::faint, style.color) : line) + '\n';
  }
}

}  // namespace

std::string document_text(const Document& document, const TextStyle& style) {
  const std::size_t width = std::max(style.width, 40u);
  std::string out;
  for (const DocumentBlock& block : document.blocks()) {
    if (block.blank_line) out += '\n';
    switch (block.kind) {
      case BlockKind::heading: out += '\n' + painted(block.text, Ink::strong, style.color) + '\n'; break;
      case BlockKind::paragraph: append_wrapped(out, block.text, block.indent, width); break;
      case BlockKind::lines:
        for (const std::string& line : block.items) out += std::string(block.indent, ' ') + line + '\n';
        break;
      case BlockKind::list:
      case BlockKind::ticks:
        for (const std::string& item : block.items) append_wrapped(out, item, block.indent, width);
        break;
      case BlockKind::remarks:
        for (std::size_t i = 0; i < block.items.size(); ++i)
          append_wrapped(out, block.words[i] + ": " + block.items[i], block.indent, width);
        break;
      case BlockKind::table: append_text_table(out, block.table, style); break;
      case BlockKind::picture: break;
    }
  }
  return out;
}

}  // namespace settle::report
