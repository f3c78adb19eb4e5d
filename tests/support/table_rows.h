// Tables as short lines, for tests: "0- ^ | q 1".
#pragma once

#include <string>
#include <vector>

#include "settle/table.h"
#include "support/circuit_text.h"

namespace settle::testing {

inline std::string entry_word(const TableEntry& entry, const std::string& name) {
  switch (entry.kind) {
    case TableEntry::Kind::hold: return name;
    case TableEntry::Kind::toggle: return name + "'";
    case TableEntry::Kind::expression: return entry.expression.empty() ? "?" : entry.expression;
    default: break;
  }
  if (entry.expression.empty()) return std::string(name_of(entry.kind));
  return entry.expression + (entry.never_rests ? ", oscillates if " : ", undecided if ") + entry.loose_when;
}

/// One line a row: a character for each input, then the entries of outputs and inner nets, with
/// bars between.
inline std::vector<std::string> row_lines(const Table& table) {
  std::vector<std::string> lines;
  for (const TableRow& row : table.rows) {
    std::string line;
    for (std::uint32_t i = 0; i < table.inputs.size(); ++i) line += table.symbol(row, i);
    const auto entries = table.entries_of(row);
    for (std::size_t k = 0; k < entries.size(); ++k) {
      const bool inner = k >= table.outputs.size();
      line +=
          " | " + entry_word(entries[k], inner ? table.inner[k - table.outputs.size()] : table.outputs[k]);
    }
    lines.push_back(line);
  }
  return lines;
}

inline std::vector<std::string> note_lines(const Table& table) {
  std::vector<std::string> lines;
  for (const TableNote& note : table.notes) lines.push_back(note.text);
  return lines;
}

inline std::vector<std::string> table_of(const std::string& text) {
  return row_lines(make_table(circuit(text), {}));
}

}  // namespace settle::testing
