// The parser of netlists: one pass, one token of look-ahead, a stack of open files.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_set>
#include <vector>

#include "settle/netlist.h"
#include "text/lexer.h"

namespace settle {

/// Reserved words get the first symbols of every table, so that one comparison tells them apart:
/// the gate kinds in the order of GateKind, then the keywords, then `_`.
namespace reserved {
inline constexpr Symbol cell = gate_kind_count, end = cell + 1, in = cell + 2, include = cell + 3,
                        out = cell + 4, require = cell + 5, chip = cell + 6, open = cell + 7;
constexpr bool is_gate_kind(Symbol symbol) { return symbol < gate_kind_count; }
constexpr bool is_word(Symbol symbol) { return symbol < open; }
}  // namespace reserved

/// Puts the reserved words into an empty table, in that order.
void intern_reserved(SymbolTable& symbols);

class NetlistParser {
 public:
  NetlistParser(FileReader& files, Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits);
  Netlist parse(const std::string& path);

 private:
  /// A file that is waiting for one that it includes.
  struct Frame {
    Lexer lexer;
    std::string key;
  };
  /// A file to go into at the end of this line, if the path is not empty.
  struct Include {
    std::string path;
    Place place;
  };
  /// Where a name was last seen, and in which cell (index + 1).
  struct Stamp {
    std::uint32_t owner = 0;
    std::uint32_t offset = 0;
  };
  enum class Side : std::uint8_t { input, output };

  // netlist_parser.cpp: files and cells
  bool open_file(const std::string& path, Place from);
  bool close_file();
  bool go_on();
  void reserve_for(std::string_view text);
  void parse_line();
  void parse_line_outside(Token first, Symbol word);
  void parse_include(Token first);
  void open_cell(Token first);
  void close_cell();
  void parse_pins(std::vector<PinDeclaration>& pins, std::string_view keyword);
  void parse_require(Token first);

  // netlist_statement.cpp: one gate or cell
  bool parse_statement(Token first, Symbol kind);
  bool parse_side(Statement& statement, Side side);
  bool parse_connection(Statement& statement, Side side);
  bool parse_select(Select& select, Token name);
  bool parse_range(std::uint32_t& index, Token name, std::string_view what);
  bool check_pin_once(Token pin, Symbol symbol);
  bool check_gate(const Statement& statement, Token first);
  bool missing_name(Token first);
  bool missing_colon(Token first, Token name);

  // netlist_chip.cpp: a package with its pins
  void parse_chip(Token first);
  bool parse_chip_head(ChipSyntax& chip);
  bool parse_chip_pin(const ChipSyntax& chip);

  // netlist_attributes.cpp: {...}
  bool parse_attributes(Statement& statement);

  // Small helpers.
  void advance() { token_ = lexer_.next(); }
  Symbol intern(Token token) { return netlist_.symbols->intern(lexer_.text(token)); }
  bool at_line_end() const {
    return token_.kind == TokenKind::line_end || token_.kind == TokenKind::file_end;
  }
  bool expect_line_end(std::string_view after);
  /// Usable as a name of `what` ("a gate")? Reports when not.
  bool check_name(Token token, std::string_view what);
  /// Reports unless the lexer has already done so; always gives false.
  bool fail(Token token, std::string text, std::string hint = {});
  /// The user's words in quotes, or a description of what is no word.
  std::string quoted(Token token) const;
  /// "line 7", or "latches.gates, line 7" in another file.
  std::string line_of(Place place) const;
  Place place(Token token) const { return lexer_.place(token); }
  static Stamp& stamp_of(std::vector<Stamp>& stamps, Symbol symbol);

  FileReader& files_;
  Sources& sources_;
  Diagnostics& diagnostics_;
  ParseLimits limits_;
  Netlist netlist_;

  Lexer lexer_;
  Token token_;
  std::string key_;               // of the file being read
  std::vector<Frame> waiting_;
  Include include_;
  std::unordered_set<std::string> seen_;
  std::uint64_t bytes_read_ = 0;

  bool in_cell_ = false;
  bool stray_reported_ = false;   // one complaint is enough for a row of lines outside cells
  int forgiven_ends_ = 0;         // an `end` that belongs to a cell closed early
  std::vector<Stamp> statement_stamps_, pin_stamps_, connected_stamps_;
  std::uint32_t statement_number_ = 0;  // counts wrong statements too
  std::vector<std::uint32_t> cell_of_name_;  // index + 1 by symbol
};

}  // namespace settle
