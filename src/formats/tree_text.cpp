#include "formats/tree_text.h"

#include <fmt/format.h>

#include "settle/time.h"

namespace settle {

std::string select_text(const Netlist& netlist, std::uint32_t select) {
  if (select == Connection::no_select) return {};
  const Select& s = netlist.selects[select];
  return s.is_bit ? fmt::format("[{}]", s.msb) : fmt::format("[{}:{}]", s.msb, s.lsb);
}

std::string pin_text(const Netlist& netlist, const PinDeclaration& pin) {
  return fmt::format("{}{}", netlist.symbols->text(pin.name), select_text(netlist, pin.select));
}

std::string connection_text(const Netlist& netlist, const Connection& connection) {
  std::string text;
  if (connection.pin != no_symbol) text = fmt::format("{}=", netlist.symbols->text(connection.pin));
  switch (connection.kind) {
    case Connection::Kind::net:
      text += netlist.symbols->text(connection.net);
      text += select_text(netlist, connection.select);
      break;
    case Connection::Kind::zero: text += '0'; break;
    case Connection::Kind::one: text += '1'; break;
    case Connection::Kind::open: text += '_'; break;
  }
  return text;
}

std::string delay_text(const DelayTriple& delay, TimeUnit unit) {
  const std::string_view name = name_of(unit);
  if (delay.min == delay.typ && delay.typ == delay.max) return fmt::format("{}{}", delay.typ, name);
  return fmt::format("{}..{}..{}{}", delay.min, delay.typ, delay.max, name);
}

std::string attributes_text(const Attributes& a) {
  std::string text;
  const auto add = [&](std::string_view name, std::string_view value) {
    text += fmt::format("{}{}={}", text.empty() ? "" : " ", name, value);
  };
  if (a.has_delay && a.rise == a.fall) {
    add("delay", delay_text(a.rise, a.unit));
  } else if (a.has_delay) {
    add("rise", delay_text(a.rise, a.unit));
    add("fall", delay_text(a.fall, a.unit));
  }
  if (!a.part.empty()) add("part", a.part);
  if (!a.place.empty()) add("place", a.place);
  return text;
}

}  // namespace settle
