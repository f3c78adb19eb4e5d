// Tables as comma-separated values: quoting as in RFC 4180, lines end with a line feed; a column for
// each bit.
#include "report/table_cells.h"
#include "settle/report.h"

namespace settle {

namespace {

void append_field(std::string& out, std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
    out += text;
    return;
  }
  out += '"';
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

}  // namespace

std::string table_csv(const Table& table) {
  const auto columns = report::bit_columns(table);
  std::string out;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (c != 0) out += ',';
    append_field(out, columns[c].name);
  }
  out += '\n';
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    for (std::size_t c = 0; c < columns.size(); ++c) {
      if (c != 0) out += ',';
      append_field(out, columns[c].cells[r]);
    }
    out += '\n';
  }
  return out;
}

}  // namespace settle
