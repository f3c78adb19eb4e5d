// What both kinds of table share.
#pragma once

#include "settle/table.h"

namespace settle {

/// A table without rows: names, free and held inputs.
Table table_frame(const Circuit& circuit, const TableOptions& options);

/// Cuts a table that has too many rows and says so.
void limit_rows(Table& table, std::uint64_t row_limit);

}  // namespace settle
