// Tables as comma-separated values: quoting as in RFC 4180, lines end with a line feed; a column for
// each bit.
#include "report/csv_field.h"
#include "report/table_cells.h"
#include "settle/report.h"

namespace settle {

std::string table_csv(const Table& table) {
  const auto columns = report::bit_columns(table);
  std::string out;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (c != 0) out += ',';
    report::append_csv_field(out, columns[c].name);
  }
  out += '\n';
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    for (std::size_t c = 0; c < columns.size(); ++c) {
      if (c != 0) out += ',';
      report::append_csv_field(out, columns[c].cells[r]);
    }
    out += '\n';
  }
  return out;
}

}  // namespace settle
