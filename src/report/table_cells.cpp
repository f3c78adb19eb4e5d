#include "report/table_cells.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle::report {

namespace {

using Kind = TableEntry::Kind;

bool is_value(Kind kind) { return kind <= Kind::floating; }

/// The bits of one bus in one row as one cell; empty when they do not fit one.
std::string bus_cell(const Table& table, const Circuit& circuit, const Port& port,
                     std::span<const TableEntry> bits) {
  const std::string whole = fmt::format("{}[{}:{}]", port.name, port.msb, port.lsb);
  const auto all = [&](Kind kind) {
    return std::all_of(bits.begin(), bits.end(), [&](const TableEntry& e) { return e.kind == kind; });
  };
  if (std::all_of(bits.begin(), bits.end(), [](const TableEntry& e) { return is_value(e.kind); })) {
    std::string text;
    for (const TableEntry& bit : bits) text += name_of(bit.kind);
    return text;
  }
  if (all(Kind::hold)) return whole;
  if (all(Kind::toggle)) return whole + "'";
  const bool plain = std::all_of(bits.begin(), bits.end(), [](const TableEntry& e) { return e.expression.empty(); });
  if (plain && (all(Kind::indeterminate) || all(Kind::oscillation))) return entry_text(bits.front(), port.name);
  // Bit by bit the bits of an input bus, as declared.
  for (const Port& input : circuit.input_ports()) {
    if (!input.is_bus || input.width != bits.size()) continue;
    for (const std::string_view complement : {"", "'"}) {
      bool equal = true;
      for (std::uint32_t i = 0; i < input.width && equal; ++i) {
        equal = bits[i].kind == Kind::expression &&
                bits[i].expression == table.inputs[input.first + i] + std::string(complement);
      }
      if (equal) return fmt::format("{}[{}:{}]{}", input.name, input.msb, input.lsb, complement);
    }
  }
  return {};
}

bool is_input_name(const Table& table, std::string_view text) {
  if (text.ends_with('\'')) text.remove_suffix(1);
  return std::find(table.inputs.begin(), table.inputs.end(), text) != table.inputs.end();
}

}  // namespace

std::string entry_text(const TableEntry& entry, const std::string& name) {
  switch (entry.kind) {
    case Kind::hold: return name;
    case Kind::toggle: return name + "'";
    case Kind::expression: return entry.expression.empty() ? "(varies)" : entry.expression;
    case Kind::indeterminate:
      if (entry.expression.empty()) return "undecided";
      return fmt::format("{}, {} if {}", entry.expression, entry.never_rests ? "oscillates" : "undecided", entry.loose_when);
    case Kind::oscillation: return "oscillates";
    default: return std::string(name_of(entry.kind));
  }
}

std::vector<TableColumn> bit_columns(const Table& table) {
  std::vector<TableColumn> columns;
  for (std::uint32_t i = 0; i < table.inputs.size(); ++i) {
    auto& column = columns.emplace_back(TableColumn{table.inputs[i], TableColumn::Side::input, {}});
    for (const TableRow& row : table.rows) column.cells.emplace_back(1, table.symbol(row, i));
  }
  const auto add = [&](const std::string& name, TableColumn::Side side, std::size_t at) {
    auto& column = columns.emplace_back(TableColumn{name, side, {}});
    for (const TableRow& row : table.rows)
      column.cells.push_back(entry_text(table.entries_of(row)[at], name));
  };
  for (std::size_t k = 0; k < table.outputs.size(); ++k) add(table.outputs[k], TableColumn::Side::output, k);
  for (std::size_t k = 0; k < table.inner.size(); ++k) {
    add(table.inner[k], TableColumn::Side::inner, table.outputs.size() + k);
  }
  return columns;
}

std::vector<TableColumn> grouped_columns(const Table& table, const Circuit& circuit) {
  auto bits = bit_columns(table);
  std::vector<TableColumn> columns;
  for (const Port& port : circuit.input_ports()) {
    // Bits of a bus that are held stand with their value; a port without free bits has no column.
    bool any_free = false;
    for (std::uint32_t i = 0; i < port.width; ++i) any_free |= !is_binary(table.held[port.first + i]);
    if (!port.is_bus || port.width == 1 || !any_free) {
      for (std::uint32_t i = 0; i < port.width; ++i) {
        if (!is_binary(table.held[port.first + i])) columns.push_back(std::move(bits[port.first + i]));
      }
      continue;
    }
    auto& column = columns.emplace_back();
    column.name = fmt::format("{}[{}:{}]", port.name, port.msb, port.lsb);
    column.cells.resize(table.rows.size());
    for (std::uint32_t i = 0; i < port.width; ++i) {
      for (std::size_t r = 0; r < column.cells.size(); ++r) column.cells[r] += bits[port.first + i].cells[r];
    }
  }
  for (const Port& port : circuit.output_ports()) {
    TableColumn column{
        fmt::format("{}[{}:{}]", port.name, port.msb, port.lsb), TableColumn::Side::output, {}};
    bool fits = port.is_bus && port.width > 1;
    for (const TableRow& row : table.rows) {
      if (!fits) break;
      column.cells.push_back(
          bus_cell(table, circuit, port, table.entries_of(row).subspan(port.first, port.width)));
      fits = !column.cells.back().empty();
    }
    if (fits) {
      columns.push_back(std::move(column));
      continue;
    }
    for (std::uint32_t i = 0; i < port.width; ++i)
      columns.push_back(std::move(bits[table.inputs.size() + port.first + i]));
  }
  for (std::size_t k = table.inputs.size() + table.outputs.size(); k < bits.size(); ++k) {
    columns.push_back(std::move(bits[k]));
  }
  return columns;
}

std::string table_title(const Table& table, const Circuit& circuit) {
  std::string title = circuit.cell_name() + (table.has_loops ? ": characteristic table" : ": truth table");
  bool any = false;
  for (std::uint32_t i = 0; i < table.inputs.size(); ++i) {
    if (!is_binary(table.held[i])) continue;
    title += fmt::format("{} {}={}", any ? "" : " with", table.inputs[i], to_char(table.held[i]));
    any = true;
  }
  return title;
}

std::vector<std::string> table_legend(const Table& table) {
  bool either = false, names = false, holds = false, complements = false, undecided = false,
       oscillates = false, hidden = false, inputs = false, unknown = false, floating = false;
  const std::uint32_t all = table.free.empty() ? 0 : (1u << table.free.size()) - 1;
  for (const TableRow& row : table.rows) {
    either |= row.inputs.care != all;
    for (const TableEntry& entry : table.entries_of(row)) {
      holds |= entry.kind == Kind::hold;
      names |= entry.kind == Kind::hold || entry.kind == Kind::toggle || entry.kind == Kind::expression;
      complements |= entry.kind == Kind::toggle || (entry.expression + entry.loose_when).find('\'') != std::string::npos;
      inputs |= is_input_name(table, entry.expression);
      undecided |= entry.kind == Kind::indeterminate && !entry.never_rests;
      oscillates |= entry.kind == Kind::oscillation || entry.never_rests;
      names |= entry.kind == Kind::indeterminate && !entry.expression.empty();
      hidden |= entry.kind == Kind::expression && entry.expression.empty();
      unknown |= entry.kind == Kind::unknown;
      floating |= entry.kind == Kind::floating;
    }
  }
  bool rises = false, falls = false;
  for (const TableRow& row : table.rows) {
    if (row.edge < 0) continue;
    const bool up = table.symbol(row, table.free[static_cast<std::size_t>(row.edge)]) == '^';
    rises |= up;
    falls |= !up;
  }
  std::vector<std::string> lines;
  if (rises || falls) {
    lines.push_back(fmt::format("{}{}{}; the first row that fits counts", rises ? "^ has just risen" : "",
                                rises && falls ? ", " : "", falls ? "v has just fallen" : ""));
    if (either) lines.push_back("- anything else: 0, 1, or an edge of which no row above speaks");
  } else if (either) {
    lines.push_back("- either 0 or 1");
  }
  if (names) {
    std::string line = "names on the right are values before the change";
    if (inputs) line += " (of inputs: after it)";
    if (holds) line += "; a net's own name: it holds";
    if (complements) line += "; ' is the opposite";
    lines.push_back(line);
  }
  if (undecided)
    lines.push_back("undecided: the race of equal gates has no winner; it may end either way, or hang");
  if (oscillates) lines.push_back("oscillates: the circuit does not rest until an input changes, and this output may be what moves");
  if (hidden) lines.push_back("(varies): depends on inner nets that are not shown, or is unknown at times");
  if (unknown) lines.push_back("x unknown: drivers disagree, or an input floats");
  if (floating) lines.push_back("z high impedance: nothing drives the net");
  return lines;
}

}  // namespace settle::report
