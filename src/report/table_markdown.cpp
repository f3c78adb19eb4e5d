// Tables for pages in Markdown (the pipe tables that most renderers know).
#include <fmt/format.h>

#include "report/table_cells.h"
#include "settle/report.h"

namespace settle {

namespace {

/// Signs with a meaning in Markdown are escaped; names have none but the underscore.
std::string escaped(const std::string& text) {
  if (text == "-") return "\\-";  // a lone one would start a list
  std::string out;
  for (const char c : text) {
    if (c == '|' || c == '\\' || c == '*' || c == '_' || c == '`' || c == '[' || c == ']' || c == '^')
      out += '\\';
    out += c;
  }
  return out;
}

}  // namespace

std::string table_markdown(const Table& table, const Circuit& circuit) {
  const auto columns = report::grouped_columns(table, circuit);
  std::string out = "**" + escaped(report::table_title(table, circuit)) + "**\n\n|";
  for (const auto& column : columns) out += " " + escaped(column.name) + " |";
  out += "\n|";
  for (const auto& column : columns) out += column.side == report::TableColumn::Side::input ? ":-:|" : ":--|";
  out += "\n";
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    out += "|";
    for (const auto& column : columns) out += " " + escaped(column.cells[r]) + " |";
    out += "\n";
  }
  const auto legend = report::table_legend(table);
  if (!legend.empty() || !table.notes.empty() || !table.complete) out += "\n";
  for (const std::string& line : legend)
    out += (line.starts_with("- ") ? "- `-`" + escaped(line.substr(1)) : "- " + escaped(line)) + "\n";
  for (const TableNote& note : table.notes) out += "- note: " + escaped(note.text) + "\n";
  if (!table.complete) out += "- incomplete: " + escaped(table.incomplete_reason) + "\n";
  return out;
}

}  // namespace settle
