// The syntax tree of netlists: cells and statements as written, nothing resolved.
// Flat arrays throughout, since a tree may hold a million statements.
#pragma once

#include <atomic>
#include <cstdint>
#include <deque>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"
#include "settle/gate_kind.h"
#include "settle/limits.h"
#include "settle/progress.h"
#include "settle/source.h"
#include "settle/symbol_table.h"

namespace settle {

/// `[msb:lsb]` as written; a single bit `[3]` has msb == lsb and is_bit.
struct Select {
  std::uint32_t msb = 0;
  std::uint32_t lsb = 0;
  bool is_bit = false;
  std::uint32_t width() const { return (msb > lsb ? msb - lsb : lsb - msb) + 1; }
};

/// One connection of a statement, in the order written.
struct Connection {
  enum class Kind : std::uint8_t { net, zero, one, open };  // name, 0, 1, _
  Symbol net = no_symbol;              ///< for Kind::net
  Symbol pin = no_symbol;              ///< the pin of `pin=net`; no_symbol when by position
  std::uint32_t select = no_select;    ///< index into Netlist::selects, or no_select
  std::uint32_t offset = 0;            ///< byte offset in the statement's file (of the pin, if written)
  Kind kind = Kind::net;
  static constexpr std::uint32_t no_select = 0xffffffffu;
};

/// Delay in the unit written. All three equal when one number was written.
struct DelayTriple {
  std::uint64_t min = 1, typ = 1, max = 1;
  bool operator==(const DelayTriple&) const = default;
};

enum class TimeUnit : std::uint8_t { none, fs, ps, ns, us, ms, s };  // none: unit delays

/// `{...}` of a statement. Texts are views into the source.
struct Attributes {
  bool has_delay = false;          ///< delay=, or rise= and fall=
  DelayTriple rise, fall;          ///< equal when delay= was written
  TimeUnit unit = TimeUnit::none;  ///< one unit for the statement: the finest written, values scaled
  std::string_view part;           ///< part=74HC02
  std::string_view place;          ///< place=U1.2
  std::uint32_t offset = 0;
};
/// The text can stand behind `part=` and `place=`: letters, digits, `_`, `.`, `+`, `-` and `/`.
bool is_attribute_word(std::string_view text);

/// `KIND NAME[range]: INPUT... -> OUTPUT... {..}`
struct Statement {
  Symbol kind = no_symbol;                  ///< the word written: a gate kind or a cell name
  std::int8_t builtin = -1;                 ///< GateKind, or -1 for a cell
  bool by_name = false;                     ///< connections are pin=net
  Symbol name = no_symbol;                  ///< reference designator
  std::uint32_t range = Connection::no_select;  ///< instance array: index into Netlist::selects
  std::uint32_t first = 0;                  ///< first connection in Netlist::connections
  std::uint32_t inputs = 0, outputs = 0;    ///< counts; the inputs come first
  std::uint32_t attributes = Connection::no_select;  ///< index into Netlist::attributes
  std::uint32_t offset = 0;                 ///< of the kind word, in the cell's file
  std::uint32_t name_offset = 0;
};

/// One pin of a chip: `5=occupied`.
struct ChipPin {
  std::uint32_t number = 0;     ///< from 1
  std::uint32_t offset = 0;     ///< of the number, in the cell's file
  Connection net;               ///< 0 is the ground, 1 the supply, open: not connected
};

/// `chip NAME PART: PIN=NET ...`: a package on the board, as it is wired.
struct ChipSyntax {
  std::uint32_t cell = 0;       ///< index into Netlist::cells
  Symbol name = no_symbol;      ///< reference designator
  std::string_view part;        ///< as written: "74HC02"; a view into the source
  std::uint32_t first = 0, count = 0;  ///< in Netlist::chip_pins, in the order written, no number twice
  std::uint32_t offset = 0;     ///< of the word `chip`
  std::uint32_t name_offset = 0, part_offset = 0;
  bool is_placed = false;       ///< its gates are statements of the cell by now (place_chips())
};

/// A gate of a chip that has become a statement of the chip's cell.
struct ChipGate {
  std::uint32_t chip = 0;       ///< index into Netlist::chips
  std::uint32_t gate = 0;       ///< of the package, from 0
  Symbol name = no_symbol;      ///< of the statement
};

/// One pin declared by `in` or `out`.
struct PinDeclaration {
  Symbol name = no_symbol;
  std::uint32_t select = Connection::no_select;  ///< bus range, or none
  std::uint32_t offset = 0;
};

struct CellSyntax {
  Symbol name = no_symbol;
  Place place;                           ///< of the cell's name; its file holds all the statements
  std::vector<PinDeclaration> inputs, outputs;
  std::uint32_t first_statement = 0, statement_count = 0;  ///< in Netlist::statements
};

/// `require WORD...` inside a cell: a demand on the cell, to be judged by whoever knows its words.
struct RequireSyntax {
  std::uint32_t cell = 0;  ///< index into Netlist::cells
  Place place;             ///< of the word `require`
  std::string text;        ///< what follows it, without comment and outer blanks; never empty
};

struct Netlist {
  std::shared_ptr<SymbolTable> symbols = std::make_shared<SymbolTable>();
  std::vector<CellSyntax> cells;         ///< in the order read, included files first
  std::vector<Statement> statements;
  std::vector<Connection> connections;
  std::vector<Select> selects;
  std::vector<Attributes> attributes;
  std::vector<RequireSyntax> requirements;
  std::vector<ChipSyntax> chips;         ///< in the order read; no statements until place_chips()
  std::vector<ChipPin> chip_pins;
  std::vector<ChipGate> chip_gates;      ///< by place_chips(), in the order of the chips
  std::vector<Symbol> reported_nets;     ///< nets whose lack of a driver or reader has been told, ascending
  std::shared_ptr<std::deque<std::string>> made_texts;  ///< what attributes refer to and no source has; may be null

  /// Index of the first cell with this name, or -1. Looks through all cells.
  int find_cell(Symbol name) const;
};

struct ParseLimits {
  std::uint64_t include_depth = default_limit(LimitKind::depth);
  std::uint64_t bus_width = default_limit(LimitKind::array);  ///< of one bus, slice or instance array
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up: an error, and the tree has gaps
  Progress* progress = nullptr;
};

/// Reads a netlist and what it includes. Errors go to `diagnostics`; the tree then holds what
/// could be understood. Linear time, no recursion on the input.
Netlist parse_netlist(const std::string& path, FileReader& files, Sources& sources,
                      Diagnostics& diagnostics, const ParseLimits& limits = {});

/// Is `name` a keyword or gate kind, and so not usable as a name?
bool is_reserved(std::string_view name);

}  // namespace settle
