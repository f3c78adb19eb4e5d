// The net names of a cell and their bits.
//
// Pins are declared; every other name comes into being where a connection uses it. Its range is
// the union of its selects, in the direction of the first slice, so all statements are looked at
// before the first one is compiled. Symbols are small numbers: an array by symbol finds a name
// without hashing. Cost: linear in pins and connections.
#include <fmt/format.h>

#include <algorithm>

#include "circuit/cell_plan.h"
#include "text/large_pages.h"

namespace settle {
namespace {

constexpr std::uint64_t most_bits = std::uint64_t{1} << 31;  // of one cell: bits are numbered with 32 bits

}  // namespace

std::string text_of(const Netlist& netlist, Symbol name, std::uint32_t select) {
  const auto word = netlist.symbols->text(name);
  if (select == Connection::no_select) return std::string(word);
  const auto& range = netlist.selects[select];
  if (range.is_bit) return fmt::format("{}[{}]", word, range.msb);
  return fmt::format("{}[{}:{}]", word, range.msb, range.lsb);
}

std::string text_of(const Netlist& netlist, const Connection& connection) {
  switch (connection.kind) {
    case Connection::Kind::zero: return "0";
    case Connection::Kind::one: return "1";
    case Connection::Kind::open: return "_";
    case Connection::Kind::net: break;
  }
  return text_of(netlist, connection.net, connection.select);
}

void CellCompiler::add_pins(const std::vector<PinDeclaration>& pins, LocalName::Role role, CellPlan& plan) {
  for (const auto& pin : pins) {
    LocalName added;
    added.name = pin.name;
    added.role = role;
    added.offset = pin.offset;
    if (pin.select != Connection::no_select) {
      const auto& range = netlist_.selects[pin.select];
      added.is_bus = true;
      added.msb = range.msb;
      added.lsb = range.lsb;
    }
    name_of_symbol_[pin.name] = static_cast<std::uint32_t>(plan.names.size());
    plan.names.push_back(added);
  }
}

void CellCompiler::add_use(const Connection& connection, CellPlan& plan) {
  if (connection.kind != Connection::Kind::net) return;
  if (!has_name(plan, connection.net)) {
    name_of_symbol_[connection.net] = static_cast<std::uint32_t>(plan.names.size());
    LocalName added;
    added.name = connection.net;
    added.offset = connection.offset;
    plan.names.push_back(added);
  }
  if (connection.select == Connection::no_select) return;
  const auto index = name_of_symbol_[connection.net];
  if (index < plan.pin_count) return;
  auto& name = plan.names[index];
  const auto& select = netlist_.selects[connection.select];
  using Direction = LocalName::Direction;
  if (name.direction == Direction::open && select.msb != select.lsb) {
    name.direction = select.msb < select.lsb ? Direction::ascends : Direction::descends;
  }
  auto high = std::max(select.msb, select.lsb), low = std::min(select.msb, select.lsb);
  if (name.is_bus) {
    high = std::max({high, name.msb, name.lsb});
    low = std::min({low, name.msb, name.lsb});
  }
  name.is_bus = true;
  name.msb = name.direction == Direction::ascends ? low : high;
  name.lsb = name.direction == Direction::ascends ? high : low;
}

bool CellCompiler::number_bits(Place place, CellPlan& plan) {
  std::uint64_t next = 0;
  bool is_good = true;
  for (std::size_t i = 0; i < plan.names.size(); ++i) {
    auto& name = plan.names[i];
    if (i == plan.pin_count) plan.pin_bits = static_cast<std::uint32_t>(next);
    const auto high = std::max(name.msb, name.lsb), low = std::min(name.msb, name.lsb);
    if (high - low >= options_.parse.bus_width) {
      diagnostics_.limit(at(name.offset), fmt::format("bus '{}[{}:{}]' is wider than {} bits", text(name.name),
                                                      name.msb, name.lsb, options_.parse.bus_width),
                         limit_hint(LimitKind::array, options_.parse.bus_width));
      is_good = false;
      continue;
    }
    name.width = name.msb > name.lsb ? name.msb - name.lsb + 1 : name.lsb - name.msb + 1;
    name.first = static_cast<std::uint32_t>(next);
    next += name.width;
  }
  if (plan.names.size() == plan.pin_count) plan.pin_bits = static_cast<std::uint32_t>(next);
  if (!is_good) return false;
  const std::uint64_t limit = std::min(options_.net_limit, most_bits);
  if (next > limit) {
    diagnostics_.limit(place, fmt::format("this cell has more than {} nets", limit), limit_hint(LimitKind::nets, limit));
    return false;
  }
  plan.bits.assign(next, 0);
  return true;
}

bool CellCompiler::collect_names(const CellSyntax& cell, CellPlan& plan) {
  add_pins(cell.inputs, LocalName::Role::input, plan);
  add_pins(cell.outputs, LocalName::Role::output, plan);
  plan.pin_count = static_cast<std::uint32_t>(plan.names.size());
  reserve_large(plan.names, plan.pin_count + cell.statement_count);  // a net a gate, or a little more
  for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
    const auto& statement = netlist_.statements[cell.first_statement + s];
    const auto count = statement.inputs + statement.outputs;
    for (std::uint32_t c = 0; c < count; ++c) add_use(netlist_.connections[statement.first + c], plan);
  }
  return number_bits(cell.place, plan);
}

}  // namespace settle
