// Files, cells and pins of a netlist.
//
// One pass over each text; an error costs its line and no more. Names are interned straight from
// the text, and "used twice" is one look into an array by symbol that is stamped with the cell, so
// the work is linear in the letters read. Included files wait on an explicit stack.
#include "text/netlist_parser.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <utility>

#include "text/large_pages.h"

namespace settle {
namespace {

constexpr std::array<std::string_view, 7> keywords = {"cell", "end", "in", "include", "out", "require", "chip"};
constexpr std::uint64_t most_bytes = 0xffffffffu;  // offsets and the name pool are 32 bits wide

/// One key for all spellings of a path.
std::string key_of(const std::string& path) {
  if (path == "-") return {};  // the standard input is no file of that name
  return std::filesystem::path(path).lexically_normal().string();
}

}  // namespace

int Netlist::find_cell(Symbol name) const {
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (cells[i].name == name) return static_cast<int>(i);
  }
  return -1;
}

bool is_reserved(std::string_view name) {
  return gate_kind_from(name) || std::find(keywords.begin(), keywords.end(), name) != keywords.end();
}

void intern_reserved(SymbolTable& symbols) {
  for (int kind = 0; kind < gate_kind_count; ++kind) symbols.intern(name_of(static_cast<GateKind>(kind)));
  for (const std::string_view keyword : keywords) symbols.intern(keyword);
  symbols.intern("_");
}

Netlist parse_netlist(const std::string& path, FileReader& files, Sources& sources, Diagnostics& diagnostics,
                      const ParseLimits& limits) {
  return NetlistParser(files, sources, diagnostics, limits).parse(path);
}

NetlistParser::NetlistParser(FileReader& files, Sources& sources, Diagnostics& diagnostics,
                             const ParseLimits& limits)
    : files_(files), sources_(sources), diagnostics_(diagnostics), limits_(limits) {
  intern_reserved(*netlist_.symbols);
}

Netlist NetlistParser::parse(const std::string& path) {
  seen_.insert(key_of(path));
  if (!open_file(path, {})) return std::move(netlist_);
  for (std::uint32_t line = 1; !diagnostics_.is_full(); ++line) {
    advance();
    if ((line & 255u) == 0 && !go_on()) break;
    if (token_.kind == TokenKind::file_end) {
      if (!close_file()) break;
      continue;
    }
    if (token_.kind != TokenKind::line_end) parse_line();
    lexer_.skip_line();
    if (include_.path.empty()) continue;
    // Only now, since the lexer must stand behind the include line when it is put aside.
    Frame frame{lexer_, key_};
    if (open_file(include_.path, include_.place)) waiting_.push_back(std::move(frame));
    include_.path.clear();
  }
  if (in_cell_) close_cell();
  statement_stamps_ = std::vector<Stamp>();
  netlist_.symbols->shrink_to_fit();
  give_room_back(netlist_.statements);
  give_room_back(netlist_.connections);
  return std::move(netlist_);
}

/// Tells how far the work is; false when it shall end.
bool NetlistParser::go_on() {
  if (limits_.progress != nullptr) limits_.progress->set(token_.begin, token_.begin);
  if (!is_set(limits_.stop)) return true;
  diagnostics_.error(place(token_), "stopped from outside while this was read");
  return false;
}

// ---- Files ----

bool NetlistParser::open_file(const std::string& path, Place from) {
  std::string text;
  std::string reason;
  if (!files_.read(path, text, reason)) {
    const std::string name = path == "-" ? "the standard input" : fmt::format("'{}'", path);
    if (files_.limit_met() != 0) {
      diagnostics_.limit(from, fmt::format("cannot read {}: {}", name, reason),
                         limit_hint(LimitKind::file, files_.limit_met()));
      return false;
    }
    diagnostics_.error(from, fmt::format("cannot read {}: {}", name, reason),
                       from.exists() && !path.starts_with('/') ? "the path is relative to the folder of this file" : "");
    return false;
  }
  bytes_read_ += text.size();
  if (bytes_read_ > most_bytes) {
    diagnostics_.limit(from, fmt::format("'{}' is too much: a netlist and all that it includes must stay "
                                         "below 4 GiB of text", path), "a circuit that repeats is shorter with cells and arrays");
    return false;
  }
  const std::uint32_t file = sources_.add(path, std::move(text));
  key_ = key_of(path);
  reserve_for(sources_.text(file));
  start_progress(limits_.progress, "reading", "bytes", sources_.text(file).size());
  lexer_ = Lexer(sources_.text(file), file, diagnostics_);
  return true;
}

/// The end of a file: back to the one that includes it. False when that was the first file.
bool NetlistParser::close_file() {
  if (in_cell_) {
    const CellSyntax& cell = netlist_.cells.back();
    fail(token_, fmt::format("the file ends inside cell '{}', which starts at {}",
                             netlist_.symbols->text(cell.name), line_of(cell.place)),
         "close the cell with 'end'");
    close_cell();
  }
  stray_reported_ = false;
  forgiven_ends_ = 0;
  if (waiting_.empty()) return false;
  lexer_ = waiting_.back().lexer;
  key_ = std::move(waiting_.back().key);
  waiting_.pop_back();
  return true;
}

/// Room for about as many statements as there are lines; far too small for no one, and never more
/// than a fixed amount ahead of what has been read.
void NetlistParser::reserve_for(std::string_view text) {
  constexpr std::size_t most_ahead = std::size_t{1} << 22;
  // The lines of a long text are much alike.
  const std::string_view sample = text.substr(0, std::size_t{1} << 20);
  const auto counted = static_cast<double>(std::count(sample.begin(), sample.end(), '\n'));
  const double longer = static_cast<double>(text.size()) / static_cast<double>(std::max<std::size_t>(sample.size(), 1));
  const auto lines = static_cast<std::size_t>(counted * longer * (longer > 1 ? 1.02 : 1)) + 1;
  const std::size_t guess = std::min({lines, text.size() / 12, most_ahead});
  const auto reserve = [](auto& array, std::size_t more) {
    if (array.size() + more > array.capacity()) {
      array.reserve(std::max(array.size() + more, array.capacity() + array.capacity() / 2));
      prefer_large_pages(array.data(), array.capacity() * sizeof(array[0]));
    }
  };
  reserve(netlist_.statements, guess);
  reserve(netlist_.connections, 3 * guess);
  if (guess <= 1000) return;
  netlist_.symbols->reserve(2 * guess);
  reserve(statement_stamps_, netlist_.symbols->size() + 2 * guess);
}

void NetlistParser::parse_include(Token first) {
  advance();
  if (in_cell_) {
    const CellSyntax& cell = netlist_.cells.back();
    fail(first, "'include' stands inside a cell",
         fmt::format("move it in front of cell '{}' ({})", netlist_.symbols->text(cell.name),
                     line_of(cell.place)));
    return;
  }
  if (token_.kind != TokenKind::string) {
    fail(token_, fmt::format("'include' needs a file name in double quotes, not {}", quoted(token_)),
         "for example: include \"latches.gates\"");
    return;
  }
  const Token name = token_;
  std::string_view written = lexer_.text(name);
  written = written.substr(1, written.size() - 2);
  advance();
  if (!expect_line_end("the file name")) return;
  if (written.empty()) {
    fail(name, "the file name is empty", "for example: include \"latches.gates\"");
    return;
  }
  for (const std::string_view ending : {".v", ".bench", ".json"}) {
    if (!written.ends_with(ending)) continue;
    fail(name, "only files in this language can be included",
         fmt::format("'settle convert {0} -o {1}.gates' writes one; include \"{1}.gates\"", written,
                     written.substr(0, written.size() - ending.size())));
    return;
  }
  std::string path = relative_to(sources_.path(lexer_.file()), written);
  if (path == "-") path = "./-";  // "-" alone would be the standard input
  const std::string key = key_of(path);

  std::vector<std::string_view> open_keys;
  for (const Frame& frame : waiting_) open_keys.push_back(frame.key);
  open_keys.push_back(key_);
  const auto loop = std::find(open_keys.begin(), open_keys.end(), std::string_view(key));
  if (loop != open_keys.end()) {
    std::string chain;
    std::size_t shown = 0;
    for (auto step = loop; step != open_keys.end(); ++step, ++shown) {
      if (shown == 8) {
        chain += "... -> ";
        break;
      }
      chain += fmt::format("{} -> ", *step);
    }
    fail(name, fmt::format("this include is a cycle: {}{}", chain, key),
         "take the cells that both files need into a third file");
    return;
  }
  if (seen_.contains(key)) return;  // read already: its cells are there
  if (waiting_.size() + 1 >= limits_.include_depth) {
    diagnostics_.limit(place(name), fmt::format("includes are nested more than {} files deep", limits_.include_depth),
                       limit_hint(LimitKind::depth, limits_.include_depth));
    return;
  }
  seen_.insert(key);
  include_ = {std::move(path), place(name)};
}

// ---- Lines ----

void NetlistParser::parse_line() {
  const Token first = token_;
  if (first.kind != TokenKind::word) {
    fail(first, fmt::format("a line starts with a word, not with {}", quoted(first)),
         in_cell_ ? "a statement is 'KIND NAME: INPUT... -> OUTPUT...'"
                  : "outside cells there are only 'cell' and 'include' lines");
    return;
  }
  const Symbol word = intern(first);
  switch (word) {
    case reserved::cell: return open_cell(first);
    case reserved::include: return parse_include(first);
    default: break;
  }
  if (!in_cell_) return parse_line_outside(first, word);
  CellSyntax& cell = netlist_.cells.back();
  switch (word) {
    case reserved::in: return parse_pins(cell.inputs, "in");
    case reserved::out: return parse_pins(cell.outputs, "out");
    case reserved::require: return parse_require(first);
    case reserved::chip: return parse_chip(first);
    case reserved::end:
      advance();
      expect_line_end("'end'");
      return close_cell();
    default: parse_statement(first, word);
  }
}

void NetlistParser::parse_line_outside(Token first, Symbol word) {
  if (word == reserved::end) {
    if (forgiven_ends_ > 0) {
      --forgiven_ends_;
    } else {
      fail(first, "'end' without a cell to end", "each 'end' closes one 'cell NAME' line");
    }
    stray_reported_ = false;
    return;
  }
  if (stray_reported_) return;
  stray_reported_ = true;
  constexpr std::array<std::string_view, 2> possible = {"cell", "include"};
  const std::string_view nearest = nearest_name(lexer_.text(first), possible);
  fail(first, fmt::format("{} stands outside a cell", quoted(first)),
       nearest.empty() ? "start a cell with 'cell NAME' in front of it" : fmt::format("did you mean '{}'?", nearest));
}

void NetlistParser::open_cell(Token first) {
  if (in_cell_) {
    const CellSyntax& cell = netlist_.cells.back();
    fail(first, fmt::format("a cell starts inside cell '{}', which starts at {}",
                            netlist_.symbols->text(cell.name), line_of(cell.place)),
         "cells cannot stand inside cells; is an 'end' missing above this line?");
    close_cell();
    ++forgiven_ends_;
  }
  advance();
  stray_reported_ = false;
  CellSyntax cell;
  cell.place = place(token_);
  cell.first_statement = static_cast<std::uint32_t>(netlist_.statements.size());
  const Token name = token_;
  bool is_good = false;
  if (name.kind == TokenKind::line_end || name.kind == TokenKind::file_end) {
    fail(name, "'cell' needs a name", "for example: cell lever_latch");
    cell.place = place(first);
  } else {
    is_good = check_name(name, "a cell");
  }
  // A cell without a good name is still opened, so that its lines are understood.
  cell.name = is_good ? intern(name) : reserved::open;
  const auto index = static_cast<std::uint32_t>(netlist_.cells.size());
  if (is_good) {
    if (cell_of_name_.size() <= cell.name) cell_of_name_.resize(std::size_t{cell.name} * 2 + 1, 0);
    std::uint32_t& other = cell_of_name_[cell.name];
    if (other != 0) {
      fail(name, fmt::format("cell {} is already defined at {}", quoted(name),
                             line_of(netlist_.cells[other - 1].place)),
           "give one of the two another name");
    } else {
      other = index + 1;
    }
  }
  netlist_.cells.push_back(std::move(cell));
  in_cell_ = true;
  if (is_good) {
    advance();
    expect_line_end("the name of the cell");
  }
}

void NetlistParser::close_cell() {
  CellSyntax& cell = netlist_.cells.back();
  cell.statement_count = static_cast<std::uint32_t>(netlist_.statements.size()) - cell.first_statement;
  in_cell_ = false;
}

void NetlistParser::parse_pins(std::vector<PinDeclaration>& pins, std::string_view keyword) {
  advance();
  if (at_line_end()) {
    fail(token_, fmt::format("no pin names after '{}'", keyword),
         fmt::format("for example: {}", keyword == "in" ? "in  lever read" : "out seen seen_n"));
    return;
  }
  const auto owner = static_cast<std::uint32_t>(netlist_.cells.size());
  while (!at_line_end()) {
    const Token name = token_;
    if (name.kind == TokenKind::colon || name.kind == TokenKind::arrow) {
      fail(name, fmt::format("{} in a list of pins", quoted(name)),
           fmt::format("'{0}' declares pins; write only their names: '{0} NAME...'", keyword));
      return;
    }
    if (!check_name(name, "a pin")) return;
    PinDeclaration pin;
    pin.name = intern(name);
    pin.offset = name.begin;
    advance();
    if (token_.kind == TokenKind::open_bracket && !parse_range(pin.select, name, "bus")) return;
    Stamp& stamp = stamp_of(pin_stamps_, pin.name);
    if (stamp.owner == owner) {
      fail(name, fmt::format("pin {} is already declared at {}", quoted(name),
                             line_of({lexer_.file(), stamp.offset})),
           "each pin of a cell has its own name");
      continue;
    }
    stamp = {owner, name.begin};
    pins.push_back(pin);
  }
}

void NetlistParser::parse_require(Token first) {
  RequireSyntax requirement;
  requirement.cell = static_cast<std::uint32_t>(netlist_.cells.size()) - 1;
  requirement.place = place(first);
  if (!lexer_.rest_of_line(requirement.text)) return;
  if (requirement.text.empty()) {
    fail(first, "'require' says nothing", "write what the cell must fulfil behind it");
    return;
  }
  netlist_.requirements.push_back(std::move(requirement));
}

// ---- Helpers ----

NetlistParser::Stamp& NetlistParser::stamp_of(std::vector<Stamp>& stamps, Symbol symbol) {
  constexpr Symbol most_ahead = 1u << 17;
  if (stamps.size() <= symbol) stamps.resize(std::size_t{symbol} + std::min(symbol / 2, most_ahead) + 64);
  return stamps[symbol];
}

bool NetlistParser::expect_line_end(std::string_view after) {
  if (at_line_end()) return true;
  return fail(token_, fmt::format("{} is too much after {}", quoted(token_), after), "write one statement on each line");
}

bool NetlistParser::check_name(Token token, std::string_view what) {
  const std::string_view text = lexer_.text(token);
  if (token.kind == TokenKind::number || token.kind == TokenKind::number_word) {
    return fail(token, fmt::format("{} cannot be the name of {}", quoted(token), what),
                "names start with a letter or '_'");
  }
  if (token.kind != TokenKind::word) {
    return fail(token, fmt::format("expected the name of {}, not {}", what, quoted(token)));
  }
  const Symbol symbol = intern(token);
  if (symbol == reserved::open) {
    return fail(token, fmt::format("'_' cannot be the name of {}", what), "'_' alone leaves an output open");
  }
  if (reserved::is_word(symbol)) {
    return fail(token, fmt::format("'{}' is a {} and cannot be the name of {}", text,
                                   reserved::is_gate_kind(symbol) ? "gate kind" : "keyword", what),
                fmt::format("choose another name, for example '{}_1'", text));
  }
  return true;
}

bool NetlistParser::fail(Token token, std::string text, std::string hint) {
  if (token.kind != TokenKind::bad) diagnostics_.error(place(token), std::move(text), std::move(hint));
  return false;
}

std::string NetlistParser::quoted(Token token) const {
  if (token.kind == TokenKind::line_end || token.kind == TokenKind::file_end) return "the end of the line";
  constexpr std::size_t most = 40;
  const std::string_view text = lexer_.text(token);
  if (text.size() > most) return fmt::format("'{}...'", text.substr(0, most));
  return fmt::format("'{}'", text);
}

std::string NetlistParser::line_of(Place place) const {
  const std::uint32_t line = sources_.locate(place).line;
  if (place.file == lexer_.file()) return fmt::format("line {}", line);
  return fmt::format("{}, line {}", sources_.path(place.file), line);
}

}  // namespace settle
