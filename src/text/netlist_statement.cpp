// One statement of a netlist: `KIND NAME[range]: INPUT... -> OUTPUT... {attributes}`.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "text/netlist_parser.h"

namespace settle {
namespace {

/// The keyword that a wrong first word was probably meant to be.
std::string_view meant_keyword(std::string_view word) {
  constexpr std::array<std::string_view, 6> possible = {"end", "in", "out", "require", "chip", "cell"};
  if (word == "input" || word == "inputs") return "in";
  if (word == "output" || word == "outputs") return "out";
  return nearest_name(word, possible);
}

std::string statement_form(std::string_view kind) {
  return fmt::format("{} NAME: INPUT... -> OUTPUT{}", kind, gate_kind_from(kind) ? "" : "...");
}

}  // namespace

bool NetlistParser::parse_statement(Token first, Symbol kind) {
  ++statement_number_;
  Statement statement;
  statement.kind = kind;
  statement.builtin = reserved::is_gate_kind(kind) ? static_cast<std::int8_t>(kind) : std::int8_t{-1};
  statement.offset = first.begin;
  statement.first = static_cast<std::uint32_t>(netlist_.connections.size());
  const std::size_t selects = netlist_.selects.size();
  const std::size_t attributes = netlist_.attributes.size();
  if (kind == reserved::open) {
    return fail(first, "'_' is neither a gate kind nor a cell", statement_form("KIND"));
  }

  const auto parse_all = [&] {
    advance();
    const Token name = token_;
    if (name.kind == TokenKind::colon || at_line_end()) return missing_name(first);
    if (name.kind == TokenKind::arrow) return missing_name(first);
    statement.name = name.kind == TokenKind::word ? intern(name) : no_symbol;
    statement.name_offset = name.begin;
    if (statement.name == no_symbol || statement.name <= reserved::open) {
      return check_name(name, statement.builtin >= 0 ? "a gate" : "a statement");
    }
    advance();
    if (token_.kind == TokenKind::open_bracket && !parse_range(statement.range, name, "array")) return false;
    if (token_.kind != TokenKind::colon) return missing_colon(first, name);
    advance();
    if (!parse_side(statement, Side::input)) return false;
    if (token_.kind != TokenKind::arrow) {
      if (!at_line_end() && token_.kind != TokenKind::open_brace) {
        return fail(token_, fmt::format("expected an input or '->', not {}", quoted(token_)));
      }
      return fail(token_, "'->' is missing between the inputs and the outputs",
                  statement_form(lexer_.text(first)));
    }
    advance();
    if (!parse_side(statement, Side::output)) return false;
    if (token_.kind == TokenKind::arrow) {
      return fail(token_, "a second '->' in one statement", "write one statement on each line");
    }
    if (token_.kind == TokenKind::open_brace && !parse_attributes(statement)) return false;
    if (!at_line_end()) {
      return fail(token_, fmt::format("expected an output or the end of the line, not {}", quoted(token_)));
    }
    if (statement.builtin >= 0 && !check_gate(statement, first)) return false;

    Stamp& stamp = stamp_of(statement_stamps_, statement.name);
    const auto owner = static_cast<std::uint32_t>(netlist_.cells.size());
    if (stamp.owner == owner) {
      return fail(name, fmt::format("the name {} is already used at {}", quoted(name),
                                    line_of({lexer_.file(), stamp.offset})),
                  "each gate and each cell inside a cell has its own name");
    }
    stamp = {owner, name.begin};
    return true;
  };
  if (!parse_all()) {
    netlist_.connections.resize(statement.first);
    netlist_.selects.resize(selects);
    netlist_.attributes.resize(attributes);
    return false;
  }
  netlist_.statements.push_back(statement);
  return true;
}

bool NetlistParser::parse_side(Statement& statement, Side side) {
  while (token_.kind <= TokenKind::number_word) {
    if (!parse_connection(statement, side)) return false;
  }
  return token_.kind != TokenKind::bad;
}

bool NetlistParser::parse_connection(Statement& statement, Side side) {
  const bool is_builtin = statement.builtin >= 0;
  const Token first = token_;
  Connection connection;
  connection.offset = first.begin;
  bool is_named = false;
  if (first.kind == TokenKind::word) {
    connection.net = intern(first);
    advance();
    if (token_.kind == TokenKind::equals) {
      is_named = true;
      if (is_builtin) {
        return fail(first, fmt::format("the pins of a '{}' gate have no names",
                                       name_of(static_cast<GateKind>(statement.builtin))),
                    "give the nets by position: INPUT... -> OUTPUT");
      }
      if (connection.net <= reserved::open && !check_name(first, "a pin")) return false;
      connection.pin = std::exchange(connection.net, no_symbol);
      advance();
    }
  }
  const bool is_first = statement.inputs + statement.outputs == 0;
  if (!is_first && is_named != statement.by_name) {
    return fail(first, "connections by position and by name in one statement",
                "write 'PIN=NET' for all of them or for none");
  }
  statement.by_name = is_named;
  if (is_named && !check_pin_once(first, connection.pin)) return false;

  const Token net = is_named || first.kind != TokenKind::word ? token_ : first;
  if (net.kind == TokenKind::word) {
    if (is_named) {
      connection.net = intern(net);
      advance();
    }
    if (connection.net == reserved::open) {
      connection.kind = Connection::Kind::open;
      connection.net = no_symbol;
      if (is_builtin && side == Side::input) {
        return fail(net, "an input of a gate cannot be left open",
                    "connect it to a net, or to 0 or 1; only outputs may be '_'");
      }
    } else if (connection.net < reserved::open) {
      return check_name(net, "a net");
    }
  } else if (net.kind == TokenKind::number) {
    const std::string_view digits = lexer_.text(net);
    if (digits != "0" && digits != "1") {
      return fail(net, fmt::format("{} is no constant", quoted(net)), "the constants are 0 and 1");
    }
    connection.kind = digits == "0" ? Connection::Kind::zero : Connection::Kind::one;
    if (side == Side::output) {
      return fail(net, fmt::format("the constant {} cannot be an output", quoted(net)),
                  "write a net, or '_' to leave the output open");
    }
    advance();
  } else if (net.kind == TokenKind::number_word) {
    return check_name(net, "a net");
  } else {
    return fail(net, fmt::format("no net after '{}='", lexer_.text(first)),
                fmt::format("write '{0}=NET', or '{0}=_' to leave the pin open", lexer_.text(first)));
  }
  if (is_named && token_.kind == TokenKind::equals) {  // pin= other=net
    return fail(first, fmt::format("no net after '{}='", lexer_.text(first)),
                fmt::format("write '{0}=NET', or '{0}=_' to leave the pin open", lexer_.text(first)));
  }
  if (token_.kind == TokenKind::open_bracket) {
    if (connection.kind != Connection::Kind::net) {
      return fail(token_, "only nets have bits to choose", "write '0', '1' or '_' alone");
    }
    Select select;
    if (!parse_select(select, net)) return false;
    connection.select = static_cast<std::uint32_t>(netlist_.selects.size());
    netlist_.selects.push_back(select);
    if (token_.kind == TokenKind::equals) {
      return fail(first, fmt::format("pin {} is connected bit by bit", quoted(first)),
                  fmt::format("connect the whole pin: '{0}=BUS'", lexer_.text(first)));
    }
  }
  netlist_.connections.push_back(connection);
  ++(side == Side::input ? statement.inputs : statement.outputs);
  return true;
}

/// `[3]` or `[7:0]`; token_ is the bracket and then what follows.
bool NetlistParser::parse_select(Select& select, Token name) {
  const auto parse_number = [&](std::uint32_t& value) {
    advance();
    if (token_.kind != TokenKind::number) {
      return fail(token_, fmt::format("expected a bit number in {}[...], not {}", lexer_.text(name), quoted(token_)),
                  fmt::format("a bit is written '{0}[3]', a range '{0}[7:0]'", lexer_.text(name)));
    }
    const std::string_view digits = lexer_.text(token_);
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc{} || end != digits.data() + digits.size()) {
      return fail(token_, fmt::format("bit number {} is too large", quoted(token_)),
                  "bit numbers go up to 4294967295");
    }
    return true;
  };
  const Token bracket = token_;
  if (!parse_number(select.msb)) return false;
  select.lsb = select.msb;
  select.is_bit = true;
  advance();
  if (token_.kind == TokenKind::colon) {
    select.is_bit = false;
    if (!parse_number(select.lsb)) return false;
    advance();
  }
  if (token_.kind != TokenKind::close_bracket) {
    return fail(token_, fmt::format("expected ']', not {}", quoted(token_)),
                fmt::format("a bit is written '{0}[3]', a range '{0}[7:0]'", lexer_.text(name)));
  }
  advance();
  const std::uint64_t span = select.msb > select.lsb ? select.msb - select.lsb : select.lsb - select.msb;
  if (span >= limits_.bus_width) {
    diagnostics_.limit(place(bracket), fmt::format("[{}:{}] is {} wide; at most {} are possible", select.msb, select.lsb,
                                                   span + 1, limits_.bus_width),
                       limit_hint(LimitKind::array, limits_.bus_width));
    return false;
  }
  return true;
}

/// `[7:0]` behind a name that is being declared.
bool NetlistParser::parse_range(std::uint32_t& index, Token name, std::string_view what) {
  const Token bracket = token_;
  Select select;
  if (!parse_select(select, name)) return false;
  if (select.is_bit) {
    return fail(bracket, fmt::format("the range of {} {} needs two ends", what == "bus" ? "bus" : "array", quoted(name)),
                fmt::format("write '{0}[{1}:0]' for {2} {3}", lexer_.text(name), std::max(select.msb, 1u) - 1,
                            std::max(select.msb, 1u), what == "bus" ? "bits" : "elements"));
  }
  index = static_cast<std::uint32_t>(netlist_.selects.size());
  netlist_.selects.push_back(select);
  return true;
}

bool NetlistParser::check_pin_once(Token pin, Symbol symbol) {
  Stamp& stamp = stamp_of(connected_stamps_, symbol);
  if (stamp.owner == statement_number_) {
    return fail(pin, fmt::format("pin {} is connected twice", quoted(pin)), "each pin is named once");
  }
  stamp = {statement_number_, pin.begin};
  return true;
}

/// What a built-in gate demands: one output and a possible number of inputs.
bool NetlistParser::check_gate(const Statement& statement, Token first) {
  const auto kind = static_cast<GateKind>(statement.builtin);
  const std::string_view word = name_of(kind);
  const Connection* connections = netlist_.connections.data() + statement.first;
  if (statement.outputs != 1) {
    if (statement.outputs == 0) {
      return fail(first, fmt::format("this '{}' gate has no output", word), "write a net behind '->', or '_' to leave it open");
    }
    const Token second{TokenKind::word, connections[statement.inputs + 1].offset, 0};
    return fail(second, fmt::format("a '{}' gate has 1 output, but {} are connected", word, statement.outputs),
                "let the nets behind it share that output, or use one gate for each");
  }
  const FanInRange range = fan_in_of(kind);
  if (statement.inputs >= range.least && statement.inputs <= range.most) return true;
  if (statement.inputs < range.least) {
    return fail(first, fmt::format("a '{}' gate needs {}{}, but {} connected", word,
                                   range.most == range.least ? "" : "at least ",
                                   range.least == 1 ? "1 input" : fmt::format("{} inputs", range.least),
                                   statement.inputs == 0 ? "none is" : fmt::format("only {} is", statement.inputs)),
                is_three_state(kind) ? "its inputs are data and control, in this order" : "");
  }
  const Token extra{TokenKind::word, connections[range.most].offset, 0};
  if (range.most == 0) {
    return fail(extra, fmt::format("a '{}' has no inputs, but {} connected", word,
                                   statement.inputs == 1 ? "1 is" : fmt::format("{} are", statement.inputs)),
                fmt::format("write '{} NAME: -> NET'", word));
  }
  return fail(extra, fmt::format("a '{}' gate has {}, but {} are connected", word,
                                 range.most == 1 ? "1 input" : fmt::format("{} inputs", range.most),
                                 statement.inputs),
              is_three_state(kind)     ? "its inputs are data and control, in this order"
              : kind == GateKind::not_ ? "'nand' and 'nor' take several inputs"
              : kind == GateKind::buf  ? "'and' and 'or' take several inputs"
                                       : "");
}

bool NetlistParser::missing_name(Token first) {
  const std::string_view word = lexer_.text(first);
  const std::string_view keyword = gate_kind_from(word) ? std::string_view{} : meant_keyword(word);
  if (at_line_end() && !keyword.empty()) {
    return fail(first, fmt::format("'{}' is no statement", word), fmt::format("did you mean '{}'?", keyword));
  }
  return fail(token_, fmt::format("the name after '{}' is missing", word),
              "every gate has a name: " + statement_form(word));
}

bool NetlistParser::missing_colon(Token first, Token name) {
  if (token_.kind == TokenKind::bad) return false;
  const std::string_view word = lexer_.text(first);
  if (!gate_kind_from(word)) {
    const std::string_view keyword = meant_keyword(word);
    if (!keyword.empty()) {
      return fail(first, fmt::format("'{}' is no statement", word), fmt::format("did you mean '{}'?", keyword));
    }
  }
  return fail(token_, fmt::format("expected ':' after the name {}, not {}", quoted(name), quoted(token_)),
              "every gate has a name: " + statement_form(word));
}

}  // namespace settle
