// One chip of a board: `chip NAME PART: PIN=NET ...`.
#include <fmt/format.h>

#include <charconv>

#include "text/netlist_parser.h"

namespace settle {
namespace {

constexpr std::string_view chip_form = "for example: chip U1 74HC02: 1=occupied 2=leave 3=clear 7=0 14=1";
constexpr std::uint32_t most_pins = 999;

}  // namespace

void NetlistParser::parse_chip(Token first) {
  ++statement_number_;
  ChipSyntax chip;
  chip.cell = static_cast<std::uint32_t>(netlist_.cells.size()) - 1;
  chip.offset = first.begin;
  chip.first = static_cast<std::uint32_t>(netlist_.chip_pins.size());
  const std::size_t selects = netlist_.selects.size();
  bool is_good = parse_chip_head(chip);
  while (is_good && !at_line_end()) is_good = parse_chip_pin(chip);
  if (!is_good) {
    netlist_.chip_pins.resize(chip.first);
    netlist_.selects.resize(selects);
    return;
  }
  chip.count = static_cast<std::uint32_t>(netlist_.chip_pins.size()) - chip.first;
  netlist_.chips.push_back(chip);
}

/// `NAME PART:`; token_ is the first pin then.
bool NetlistParser::parse_chip_head(ChipSyntax& chip) {
  advance();
  const Token name = token_;
  if (at_line_end() || name.kind == TokenKind::colon) {
    return fail(name, "the name after 'chip' is missing", std::string(chip_form));
  }
  if (!check_name(name, "a chip")) return false;
  chip.name = intern(name);
  chip.name_offset = name.begin;
  const Token part = lexer_.value();
  chip.part = lexer_.text(part);
  chip.part_offset = part.begin;
  advance();
  if (chip.part.empty()) {
    return fail(token_, fmt::format("the part number of chip {} is missing", quoted(name)), std::string(chip_form));
  }
  if (token_.kind != TokenKind::colon) {
    return fail(token_, fmt::format("expected ':' after the part {}, not {}", quoted(part), quoted(token_)),
                std::string(chip_form));
  }
  advance();
  Stamp& stamp = stamp_of(statement_stamps_, chip.name);
  const auto owner = static_cast<std::uint32_t>(netlist_.cells.size());
  if (stamp.owner == owner) {
    return fail(name, fmt::format("the name {} is already used at {}", quoted(name),
                                  line_of({lexer_.file(), stamp.offset})),
                "each chip, gate and cell inside a cell has its own name");
  }
  stamp = {owner, name.begin};
  return true;
}

/// `5=occupied`
bool NetlistParser::parse_chip_pin(const ChipSyntax& chip) {
  const Token pin = token_;
  ChipPin parsed;
  parsed.offset = pin.begin;
  if (pin.kind != TokenKind::number) {
    return fail(pin, fmt::format("expected a pin number, not {}", quoted(pin)),
                pin.kind == TokenKind::open_brace ? "a chip has no attributes" : std::string(chip_form));
  }
  const std::string_view digits = lexer_.text(pin);
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), parsed.number);
  if (error != std::errc{} || parsed.number == 0 || parsed.number > most_pins) {
    return fail(pin, fmt::format("{} is no pin number", quoted(pin)), "pins are counted from 1");
  }
  for (std::size_t i = chip.first; i < netlist_.chip_pins.size(); ++i) {
    const ChipPin& earlier = netlist_.chip_pins[i];
    if (earlier.number != parsed.number) continue;
    return fail(pin, fmt::format("pin {} of chip '{}' is given twice, first at {}", parsed.number,
                                 netlist_.symbols->text(chip.name), line_of({lexer_.file(), earlier.offset})),
                "wires that meet at one pin are one net: give them one name");
  }
  advance();
  if (token_.kind != TokenKind::equals) {
    return fail(token_, fmt::format("expected '=' after pin {}, not {}", parsed.number, quoted(token_)),
                fmt::format("write '{0}=NET', or '{0}=_' for a pin that is not connected", parsed.number));
  }
  advance();
  const Token net = token_;
  parsed.net.offset = net.begin;
  if (net.kind == TokenKind::word) {
    const Symbol symbol = intern(net);
    if (symbol == reserved::open) {
      parsed.net.kind = Connection::Kind::open;
    } else if (symbol < reserved::open) {
      return check_name(net, "a net");
    } else {
      parsed.net.net = symbol;
    }
  } else if (net.kind == TokenKind::number) {
    const std::string_view constant = lexer_.text(net);
    if (constant != "0" && constant != "1") {
      return fail(net, fmt::format("{} is no net", quoted(net)), "0 is the ground, 1 the supply");
    }
    parsed.net.kind = constant == "0" ? Connection::Kind::zero : Connection::Kind::one;
  } else if (net.kind == TokenKind::number_word) {
    return check_name(net, "a net");
  } else {
    return fail(net, fmt::format("no net after '{}='", parsed.number),
                fmt::format("write '{0}=NET', or '{0}=_' for a pin that is not connected", parsed.number));
  }
  advance();
  if (token_.kind == TokenKind::open_bracket) {
    if (parsed.net.kind != Connection::Kind::net) {
      return fail(token_, "only nets have bits to choose", "write '0', '1' or '_' alone");
    }
    Select select;
    const Token bracket = token_;
    if (!parse_select(select, net)) return false;
    if (!select.is_bit) {
      return fail(bracket, fmt::format("a pin has one wire, but {} names several", quoted(net)),
                  fmt::format("choose one bit, as in '{}[{}]'", lexer_.text(net), select.msb));
    }
    parsed.net.select = static_cast<std::uint32_t>(netlist_.selects.size());
    netlist_.selects.push_back(select);
  }
  netlist_.chip_pins.push_back(parsed);
  return true;
}

}  // namespace settle
