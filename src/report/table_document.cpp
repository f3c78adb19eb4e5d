// A table as a document.
#include <fmt/format.h>

#include "report/result_documents.h"
#include "report/table_cells.h"

namespace settle::report {

Document table_document(const Table& table, const Circuit& circuit, std::size_t most_rows) {
  Document document;
  const auto columns = grouped_columns(table, circuit);
  DocumentTable shown;
  shown.caption = table_title(table, circuit);
  for (const TableColumn& column : columns) {
    const bool is_input = column.side == TableColumn::Side::input;
    shown.columns.push_back(
        {column.name, is_input ? DocumentColumn::Align::centre : DocumentColumn::Align::left,
         !is_input && !shown.columns.empty() && columns[shown.columns.size() - 1].side != column.side});
  }
  for (std::size_t r = 0; r < table.rows.size() && r < most_rows; ++r) {
    auto& row = shown.rows.emplace_back();
    for (const TableColumn& column : columns) row.push_back(column.cells[r]);
  }
  if (!shown.rows.empty()) document.table(std::move(shown));
  if (table.rows.size() > most_rows)
    document.paragraph(
        fmt::format("and {} more rows; 'settle table' shows all.", table.rows.size() - most_rows));
  std::vector<std::string> legend = table_legend(table);
  for (std::string& line : legend) {
    if (line.starts_with("- ")) line = "A dash stands for " + line.substr(2);
  }
  if (!legend.empty()) document.list(Document::Kind::list, legend);
  for (const TableNote& note : table.notes) document.remark("note", note.text);
  if (!table.complete) document.remark("incomplete", table.incomplete_reason);
  return document;
}

}  // namespace settle::report
