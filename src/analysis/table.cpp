// Tables of circuits without loops, and what both kinds of table share.
#include "settle/table.h"

#include <algorithm>
#include <unordered_map>

#include <fmt/format.h>

#include "analysis/merge_rows.h"
#include "analysis/table_frame.h"

namespace settle {
namespace {

/// Numbers vectors by their outputs: equal numbers for equal outputs, in order of first appearance.
/// Worth nothing once `stop` is set.
std::vector<std::uint32_t> number_by_outputs(const TruthTable& truth, std::vector<std::uint32_t>& first,
                                             const std::atomic<bool>* stop) {
  const std::size_t vectors = std::size_t{1} << truth.free.size();
  std::vector<std::uint32_t> number(vectors, 0);
  constexpr std::size_t group = 16;  // outputs whose values fit a word beside the number so far
  for (std::size_t begin = 0; begin == 0 || begin < truth.ones.size(); begin += group) {
    const std::size_t end = std::min(begin + group, truth.ones.size());
    std::unordered_map<std::uint64_t, std::uint32_t> numbers;
    first.clear();
    for (std::uint32_t v = 0; v < vectors; ++v) {
      if ((v & 0xffffu) == 0 && is_set(stop)) return number;
      std::uint64_t key = number[v];
      for (std::size_t k = begin; k < end; ++k) {
        key = key << 2 | static_cast<std::uint64_t>(truth.at(static_cast<std::uint32_t>(k), v));
      }
      const auto [at, added] = numbers.try_emplace(key, static_cast<std::uint32_t>(numbers.size()));
      if (added) first.push_back(v);
      number[v] = at->second;
    }
  }
  return number;
}

TableEntry entry_of(Value value) { return {static_cast<TableEntry::Kind>(value), {}}; }
static_assert(static_cast<int>(TableEntry::Kind::floating) == static_cast<int>(Value::z));

}  // namespace

std::string_view name_of(TableEntry::Kind kind) {
  switch (kind) {
    case TableEntry::Kind::zero: return "0";
    case TableEntry::Kind::one: return "1";
    case TableEntry::Kind::unknown: return "x";
    case TableEntry::Kind::floating: return "z";
    case TableEntry::Kind::hold: return "hold";
    case TableEntry::Kind::toggle: return "toggle";
    case TableEntry::Kind::expression: return "expression";
    case TableEntry::Kind::indeterminate: return "indeterminate";
    case TableEntry::Kind::oscillation: return "oscillation";
  }
  return "";
}

char Table::symbol(const TableRow& row, std::uint32_t input_bit) const {
  if (is_binary(held[input_bit])) return to_char(held[input_bit]);
  const auto at =
      static_cast<std::size_t>(std::lower_bound(free.begin(), free.end(), input_bit) - free.begin());
  const std::uint32_t bit = 1u << (free.size() - 1 - at);
  if ((row.inputs.care & bit) == 0) return '-';
  const bool one = (row.inputs.value & bit) != 0;
  if (row.edge == static_cast<std::int32_t>(at)) return one ? '^' : 'v';
  return one ? '1' : '0';
}

Table table_frame(const Circuit& circuit, const TableOptions& options) {
  Table table;
  table.has_loops = circuit.loop_count() != 0;
  table.held.assign(circuit.input_count(), Value::x);
  for (std::uint32_t i = 0; i < circuit.input_count(); ++i) {
    table.inputs.push_back(circuit.net_name(i));
    if (!options.held.empty() && is_binary(options.held[i])) {
      table.held[i] = options.held[i];
    } else {
      table.free.push_back(i);
    }
  }
  for (std::uint32_t k = 0; k < circuit.outputs().size(); ++k)
    table.outputs.push_back(circuit.output_bit_name(k));
  return table;
}

void limit_rows(Table& table, std::uint64_t row_limit) {
  if (table.rows.size() <= row_limit) return;
  table.complete = false;
  table.incomplete_reason = fmt::format("{} rows, the first {} are given; --limit-rows raises that limit",
                                        table.rows.size(), row_limit);
  table.rows.resize(row_limit);
}

std::string table_refusal(const Circuit& circuit, const TableOptions& options) {
  std::uint32_t free = circuit.input_count();
  for (const Value value : options.held) free -= is_binary(value) ? 1 : 0;
  const std::uint32_t most = circuit.loop_count() == 0 ? truth_table_inputs : options.input_limit;
  if (free <= most) return {};
  return fmt::format(
      "'{}' has {} input bits that are free, and the table of a circuit {} loops is limited to {}",
      circuit.cell_name(), free, circuit.loop_count() == 0 ? "without" : "with", most);
}

Table make_truth_table(const Circuit& circuit, const TableOptions& options) {
  Table table = table_frame(circuit, options);
  const auto truth = truth_table(circuit, options.held, options.stop, options.progress);
  if (!truth) {
    table.complete = false;
    table.incomplete_reason = "stopped before all input vectors were tried";
    return table;
  }
  std::vector<std::uint32_t> first;
  const auto number = number_by_outputs(*truth, first, options.stop);
  for (const std::uint32_t vector : first) {
    auto& entries = table.entries.emplace_back();
    for (std::uint32_t k = 0; k < table.outputs.size(); ++k)
      entries.push_back(entry_of(truth->at(k, vector)));
  }
  const auto variables = static_cast<unsigned>(table.free.size());
  if (options.merge) {
    const auto rows = merge_rows(variables, number, static_cast<std::uint32_t>(first.size()), {}, options.stop);
    if (is_set(options.stop)) {
      table.complete = false;
      table.incomplete_reason = "stopped while rows were merged";
      return table;
    }
    for (const MergedRow& row : rows) table.rows.push_back({row.cube, -1, row.entry});
  } else {
    const std::uint32_t all = (1u << variables) - 1;
    for (std::uint32_t v = 0; v < number.size(); ++v) table.rows.push_back({{all, v}, -1, number[v]});
  }
  limit_rows(table, options.row_limit);
  return table;
}

Table make_table(const Circuit& circuit, const TableOptions& options) {
  if (circuit.loop_count() == 0) return make_truth_table(circuit, options);
  StateSpaceOptions space_options;
  space_options.any_delay = options.any_delay;
  space_options.held = options.held;
  space_options.jobs = options.jobs;
  space_options.stop = options.stop;
  space_options.progress = options.progress;
  space_options.stable_limit = options.stable_limit;
  space_options.transition_limit = options.transition_limit;
  space_options.input_limit = options.input_limit;
  // All steps are looked at where they are few; else only those that the rows need.
  std::uint32_t free = circuit.input_count();
  for (const Value value : options.held) free -= is_binary(value) ? 1 : 0;
  constexpr std::uint32_t all_steps_up_to = 6;
  space_options.single_changes_only = free > all_steps_up_to;
  Table table = make_characteristic_table(circuit, explore(circuit, space_options), options);
  if (space_options.single_changes_only) {
    table.notes.push_back(
        {TableNote::Kind::not_judged,
         {},
         {},
         {},
         fmt::format("changes of several inputs at once were not looked at, as they are with up to "
                     "{} free inputs",
                     all_steps_up_to)});
  }
  return table;
}

}  // namespace settle
