// A cell made ready for instances: names resolved, widths checked, once for each cell.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/elaborate.h"
#include "settle/netlist.h"

namespace settle {

/// A net name of a cell. Its bits are numbered from `first`, the msb as written first.
struct LocalName {
  enum class Role : std::uint8_t { input, output, inner };
  enum class Direction : std::uint8_t { open, descends, ascends };  // open: only single bits so far
  Symbol name = no_symbol;
  std::uint32_t msb = 0, lsb = 0;
  std::uint32_t first = 0, width = 1;
  bool is_bus = false;
  Role role = Role::inner;
  Direction direction = Direction::open;  ///< of a bus that is not declared
  std::uint32_t offset = 0;               ///< of the declaration or the first use

  bool has_index(std::uint32_t index) const {
    return msb >= lsb ? index <= msb && index >= lsb : index >= msb && index <= lsb;
  }
  std::uint32_t bit_of(std::uint32_t index) const { return first + (msb >= lsb ? msb - index : index - msb); }
  std::uint32_t index_of(std::uint32_t bit) const {
    return msb >= lsb ? msb - (bit - first) : msb + (bit - first);
  }
};

/// What one pin is connected to: bits first, first + step, ... of the cell.
struct PlanConnection {
  enum class Mode : std::uint8_t { net, zero, one, open };
  std::uint32_t first = 0;
  Mode mode = Mode::open;
  std::int8_t step = 1;
  bool is_spread = false;  ///< over the elements of an array; else shared by all
};

/// A statement without errors. A gate has its inputs, then its output; an instance has the pins
/// of its cell in order of declaration.
struct PlanStatement {
  std::uint32_t statement = 0;  ///< index into Netlist::statements
  std::uint32_t first = 0;      ///< first connection in CellPlan::connections
  std::uint32_t count = 0;
  std::uint16_t delay = 0;  ///< class, see DelayClasses
  std::uint32_t part = 0;   ///< number, see PartNames
};

struct CellPlan {
  static constexpr std::uint8_t is_read = 1, is_driven = 2;
  std::vector<LocalName> names;    ///< input pins, output pins, then inner names
  std::uint32_t pin_count = 0;     ///< names that are pins
  std::uint32_t pin_bits = 0;      ///< bits that are pins
  std::vector<std::uint8_t> bits;  ///< is_read and is_driven of each bit; 0: never used
  std::vector<PlanStatement> statements;
  std::vector<PlanConnection> connections;
};

/// Elements of a statement: 1 or the width of its instance array.
inline std::uint32_t element_count(const Netlist& netlist, const Statement& statement) {
  return statement.range == Connection::no_select ? 1 : netlist.selects[statement.range].width();
}
/// Index of element i in the order written, or no_id.
inline std::uint32_t element_index(const Netlist& netlist, const Statement& statement, std::uint32_t i) {
  if (statement.range == Connection::no_select) return no_id;
  const auto& range = netlist.selects[statement.range];
  return range.msb >= range.lsb ? range.msb - i : range.msb + i;
}

/// "lever", "lever[3]", "lever[6:0]"; "bit[7:0]"; "0", "1", "_".
std::string text_of(const Netlist& netlist, Symbol name, std::uint32_t select);
std::string text_of(const Netlist& netlist, const Connection& connection);

/// "did you mean 'NAME'?" as a hint, or nothing.
std::string suggestion(std::string_view nearest);

/// Word lists that are needed again for each cell.
class CellCompiler {
 public:
  CellCompiler(const Netlist& netlist, const ElaborateOptions& options, Diagnostics& diagnostics);

  /// Index into Netlist::cells, or -1.
  int find_cell(Symbol name) const { return name < cell_of_.size() ? cell_of_[name] : -1; }

  /// Reports a statement whose kind is no gate and no cell.
  void unknown_kind(Place place, Symbol kind);

  /// From now on compile() uses up the connections of this netlist, the same as before, where no warning
  /// will ask for them again.
  void use_up(Netlist& own) { own_ = &own; }

  /// Errors go to the diagnostics; a statement with errors is left out of the plan.
  CellPlan compile(std::uint32_t cell);

  /// Gives back what only compile() needs.
  void finish() {
    name_of_symbol_ = std::vector<std::uint32_t>();
    pin_of_symbol_ = std::vector<PinSlot>();
  }

 private:
  struct Pin;
  bool has_name(const CellPlan& plan, Symbol symbol) const {
    const auto index = name_of_symbol_[symbol];
    return index < plan.names.size() && plan.names[index].name == symbol;
  }
  bool collect_names(const CellSyntax& cell, CellPlan& plan);
  void add_pins(const std::vector<PinDeclaration>& pins, LocalName::Role role, CellPlan& plan);
  void add_use(const Connection& connection, CellPlan& plan);
  bool number_bits(Place place, CellPlan& plan);

  bool compile_gate(const Statement& statement, CellPlan& plan);
  bool compile_instance(const Statement& statement, CellPlan& plan);
  bool order_by_position(const Statement& statement, const CellSyntax& used);
  bool order_by_name(const Statement& statement, const CellSyntax& used);
  bool connect(const Statement& statement, const Connection& connection, const Pin& pin, CellPlan& plan);

  void wrong_pin_count(const Statement& statement, const CellSyntax& used);
  std::string pin_list(const CellSyntax& used) const;
  std::uint32_t pin_width(const PinDeclaration& pin) const {
    return pin.select == Connection::no_select ? 1 : netlist_.selects[pin.select].width();
  }
  std::string_view text(Symbol symbol) const { return netlist_.symbols->text(symbol); }
  Place at(std::uint32_t offset) const { return {file_, offset}; }

  const Netlist& netlist_;
  Netlist* own_ = nullptr;  // may be used up
  const ElaborateOptions& options_;
  Diagnostics& diagnostics_;
  std::uint32_t file_ = 0;                     // of the cell at hand
  std::vector<int> cell_of_;                   // by symbol
  /// Index into CellPlan::names; may be left over from another cell, which has_name() tells.
  std::vector<std::uint32_t> name_of_symbol_;
  /// Pins of the cell that the statement at hand uses by name; good when the round is the present one.
  struct PinSlot {
    std::uint32_t round = 0;
    std::uint32_t index = 0;
  };
  std::vector<PinSlot> pin_of_symbol_;  // by symbol; empty as long as no pins are connected by name
  std::uint32_t pin_round_ = 0;
  std::vector<const Connection*> ordered_;  // connections in pin order, nullptr: missing
};

/// A net or an output of a cell that nothing drives, as written in the text ("q_n", "a[3:2]").
struct UndrivenNet {
  Symbol name = no_symbol;
  std::string text;
};

/// Warnings about one cell: nets without driver or reader, unused inputs. Gives the nets (a bounded number)
/// that nothing drives and that are no likely misspelling of one.
std::vector<UndrivenNet> lint_cell(const Netlist& netlist, std::uint32_t cell, const CellPlan& plan, bool own_language, Diagnostics& diagnostics);

}  // namespace settle
