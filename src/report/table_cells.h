// A table as words: what text, Markdown and CSV have in common.
#pragma once

#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/table.h"

namespace settle::report {

/// The words of an entry; `name` is the net that it belongs to.
std::string entry_text(const TableEntry& entry, const std::string& name);

struct TableColumn {
  std::string name;
  enum class Side : std::uint8_t { input, output, inner } side = Side::input;
  std::vector<std::string> cells;  ///< by row
};

/// Columns for readers: the bits of a bus stand together where they can; held inputs are left out.
std::vector<TableColumn> grouped_columns(const Table& table, const Circuit& circuit);

/// A column for each bit.
std::vector<TableColumn> bit_columns(const Table& table);

/// "truth table" or "characteristic table", with inputs held at a value: "..., read held at 1".
std::string table_title(const Table& table, const Circuit& circuit);

/// Lines that say what the symbols used in the table mean.
std::vector<std::string> table_legend(const Table& table);

}  // namespace settle::report
