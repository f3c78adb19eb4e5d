// Truth tables and characteristic tables: the data behind `settle table`.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/minimise.h"
#include "settle/state_space.h"

namespace settle {

inline constexpr std::uint32_t truth_table_inputs = 24;  ///< free input bits that are tried exhaustively

/// All outputs of a circuit without loops, for all vectors of its free inputs.
struct TruthTable {
  std::vector<std::uint32_t> free;  ///< input bits that vary, in order; the first most significant
  std::vector<FunctionBits> ones;   ///< by output bit: where it is 1 (or z, where `other` is set)
  std::vector<FunctionBits> other;  ///< where it is x (`ones` 0) or z (`ones` 1); empty: nowhere
  Value at(std::uint32_t output, std::uint32_t vector) const {
    const auto bit = [&](const FunctionBits& bits) { return (bits[vector >> 6] >> (vector & 63) & 1) != 0; };
    const bool one = bit(ones[output]);
    if (other[output].empty() || !bit(other[output])) return to_value(one);
    return one ? Value::z : Value::x;
  }
};

/// Evaluates all vectors, 512 at a time. `held` has a value for each input bit, x: free (or is
/// empty: all free). Three-state outputs, shared wires and undriven nets give x and z as in
/// IEEE 1364. Nothing when `stop` was set. Requires: no loops, at most truth_table_inputs free bits.
std::optional<TruthTable> truth_table(const Circuit& circuit, std::span<const Value> held = {},
                                      const std::atomic<bool>* stop = nullptr, Progress* progress = nullptr);

/// What becomes of one output.
struct TableEntry {
  enum class Kind : std::uint8_t {
    zero,
    one,
    unknown,
    floating,
    hold,           ///< keeps its value
    toggle,         ///< the opposite of its value before
    expression,     ///< a function of values before; empty text: of more than is shown, or x at times
    indeterminate,  ///< left undecided, or not at rest, from some or all values before
    oscillation,    ///< the circuit never comes to rest, and this net is not known to
  };
  Kind kind = Kind::zero;
  /// Of an expression, as in equation_text(). Of indeterminate: what it becomes from the other values before; empty:
  /// it is so from all, or from values that are not shown.
  std::string expression;
  /// Of indeterminate with an expression: the values before from which it is so, as in equation_text().
  std::string loose_when = {};
  bool never_rests = false;  ///< from these it oscillates; else it may end either way, too
  bool operator==(const TableEntry&) const = default;
  auto operator<=>(const TableEntry&) const = default;
};
/// "0", "1", "x", "z", "hold", "toggle", "expression", "indeterminate", "oscillation".
std::string_view name_of(TableEntry::Kind kind);

/// One row: for which inputs, and what the outputs become. Rows are matched first to last against
/// the inputs after a change; a rising or falling input matches only when that input changed.
struct TableRow {
  Cube inputs;                ///< over Table::free, as in a vector index; edges count as levels
  std::int32_t edge = -1;     ///< position in Table::free of an input that has just changed
  std::uint32_t entries = 0;  ///< index into Table::entries
};

/// A remark below the table.
struct TableNote {
  enum class Kind : std::uint8_t {
    several_inputs,   ///< inputs that change together and do not settle
    delay_dependent,  ///< one input changes; shown is the outcome with equal delays
    inner_state,      ///< more is stored than the table shows
    pulse,            ///< what a whole pulse of an input does, where inner nets are stored between its edges
    not_judged,       ///< steps that were not looked at
    never_stable,     ///< inputs for which no stable state exists
  };
  Kind kind = Kind::several_inputs;
  std::optional<Verdict> verdict;
  std::string from, to;  ///< input vectors (free bits), where it is about a step
  std::string text;      ///< one sentence
};

struct Table {
  bool has_loops = false;            ///< characteristic table; else truth table
  std::vector<std::uint32_t> free;   ///< input bits with a column; the first most significant
  std::vector<Value> held;           ///< by input bit: 0 or 1, x when free
  std::vector<std::string> inputs;   ///< names of all input bits
  std::vector<std::string> outputs;  ///< names of the output bits
  std::vector<std::string> inner;    ///< stored inner nets that stand beside the outputs
  std::vector<TableRow> rows;
  std::vector<std::vector<TableEntry>> entries;  ///< distinct right-hand sides: outputs, then inner
  std::vector<TableNote> notes;
  bool complete = true;
  std::string incomplete_reason;

  /// 0, 1, -, ^ or v of an input bit in a row.
  char symbol(const TableRow& row, std::uint32_t input_bit) const;
  std::span<const TableEntry> entries_of(const TableRow& row) const { return entries[row.entries]; }
};

struct TableOptions {
  bool merge = true;  ///< false: a row for each input vector (and edge)
  std::uint64_t row_limit = default_limit(LimitKind::rows);
  std::vector<Value> held;  ///< one per input bit, x: free; empty: all free
  // Of a circuit with loops, as in StateSpaceOptions.
  std::uint64_t stable_limit = default_limit(LimitKind::stable);
  std::uint64_t transition_limit = default_limit(LimitKind::steps);
  std::uint32_t input_limit = default_limit(LimitKind::inputs);
  AnyDelayLimits any_delay;
  unsigned jobs = 1;
  const std::atomic<bool>* stop = nullptr;
  Progress* progress = nullptr;
};

/// Why a table of this circuit cannot be made, as a sentence with the way out; empty when it can.
std::string table_refusal(const Circuit& circuit, const TableOptions& options);

/// The truth table of a circuit without loops, rows merged. Requires: table_refusal() is empty.
Table make_truth_table(const Circuit& circuit, const TableOptions& options);

/// The characteristic table of a circuit with loops, from its stable states and the steps between
/// them (`space` holds at least all single input changes).
Table make_characteristic_table(const Circuit& circuit, const StateSpace& space, const TableOptions& options);

/// The right one of the two; explores the states when there are loops.
Table make_table(const Circuit& circuit, const TableOptions& options);

}  // namespace settle
