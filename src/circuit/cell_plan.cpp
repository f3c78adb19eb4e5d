// Compiles a cell: every statement checked against the gate kind or cell that it uses.
//
// The parser has seen to all that a line can tell by itself: names used twice, the pins of gates,
// attributes. What needs the whole netlist is judged here, once for each cell, whatever the number
// of its instances. A connection becomes a first bit and a step, so an array of a million elements
// takes no more room than one.
// Cost: linear in the connections and in the bits that they name.
#include "circuit/cell_plan.h"

#include <fmt/format.h>

#include <algorithm>

#include "circuit/kind_names.h"
#include "text/large_pages.h"

namespace settle {

struct CellCompiler::Pin {
  std::uint32_t width = 1;
  std::string_view name;  // empty for the pins of a gate
  bool is_output = false;
};

std::string suggestion(std::string_view nearest) {
  return nearest.empty() ? std::string() : fmt::format("did you mean '{}'?", nearest);
}

CellCompiler::CellCompiler(const Netlist& netlist, const ElaborateOptions& options, Diagnostics& diagnostics)
    : netlist_(netlist),
      options_(options),
      diagnostics_(diagnostics) {
  reserve_large(name_of_symbol_, netlist.symbols->size());
  name_of_symbol_.assign(netlist.symbols->size(), 0);
  Symbol symbols = 0;
  for (const auto& cell : netlist.cells) symbols = std::max(symbols, cell.name + 1);
  cell_of_.assign(symbols, -1);
  for (auto cell = netlist.cells.size(); cell-- > 0;) {
    cell_of_[netlist.cells[cell].name] = static_cast<int>(cell);
  }
}

CellPlan CellCompiler::compile(std::uint32_t cell) {
  const auto& syntax = netlist_.cells[cell];
  file_ = syntax.place.file;
  CellPlan plan;
  if (!collect_names(syntax, plan)) return plan;
  reserve_large(plan.statements, syntax.statement_count);
  if (syntax.statement_count != 0) {
    const auto& first = netlist_.statements[syntax.first_statement];
    const auto& last = netlist_.statements[syntax.first_statement + syntax.statement_count - 1];
    reserve_large(plan.connections, last.first + last.inputs + last.outputs - first.first);
  }
  // Only a warning about bits of a bus looks for the connection that names them first.
  const bool has_buses = std::any_of(plan.names.begin() + plan.pin_count, plan.names.end(),
                                     [](const LocalName& name) { return name.is_bus; });
  const std::size_t origin = syntax.statement_count == 0 ? 0 : netlist_.statements[syntax.first_statement].first;
  PagesBehind behind;
  if (own_ != nullptr && !has_buses) behind = PagesBehind(own_->connections.data() + origin);
  for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
    const auto index = syntax.first_statement + s;
    const auto& statement = netlist_.statements[index];
    const auto first = static_cast<std::uint32_t>(plan.connections.size());
    const bool is_good =
        statement.builtin >= 0 ? compile_gate(statement, plan) : compile_instance(statement, plan);
    if (is_good) {
      const auto count = static_cast<std::uint32_t>(plan.connections.size()) - first;
      plan.statements.push_back({index, first, count, 0});
    } else {
      plan.connections.resize(first);
    }
    behind.passed((statement.first - origin) * sizeof(Connection));
  }
  return plan;
}

bool CellCompiler::compile_gate(const Statement& statement, CellPlan& plan) {
  bool is_good = true;
  for (std::uint32_t c = 0; c <= statement.inputs; ++c) {
    const auto& connection = netlist_.connections[statement.first + c];
    is_good &= connect(statement, connection, {1, {}, c == statement.inputs}, plan);
  }
  return is_good;
}

bool CellCompiler::compile_instance(const Statement& statement, CellPlan& plan) {
  const auto index = find_cell(statement.kind);
  if (index < 0) {
    unknown_kind(at(statement.offset), statement.kind);
    return false;
  }
  const auto& used = netlist_.cells[static_cast<std::size_t>(index)];
  if (!(statement.by_name ? order_by_name(statement, used) : order_by_position(statement, used)))
    return false;
  bool is_good = true;
  for (std::size_t i = 0; i < ordered_.size(); ++i) {
    const bool is_output = i >= used.inputs.size();
    const auto& pin = is_output ? used.outputs[i - used.inputs.size()] : used.inputs[i];
    const auto* connection = ordered_[i];
    if (!is_output && (connection == nullptr || connection->kind == Connection::Kind::open)) {
      diagnostics_.warning(at(connection == nullptr ? statement.name_offset : connection->offset),
                           "floating-input",
                           fmt::format("input '{}' of '{}' is not connected", text(pin.name),
                                       text_of(netlist_, statement.name, statement.range)),
                           "connect it to a net, to 0 or to 1");
    }
    if (connection == nullptr) {
      plan.connections.push_back({});
      continue;
    }
    is_good &= connect(statement, *connection, {pin_width(pin), text(pin.name), is_output}, plan);
  }
  return is_good;
}

bool CellCompiler::order_by_position(const Statement& statement, const CellSyntax& used) {
  if (statement.inputs != used.inputs.size() || statement.outputs != used.outputs.size()) {
    wrong_pin_count(statement, used);
    return false;
  }
  ordered_.clear();
  for (std::uint32_t c = 0; c < statement.inputs + statement.outputs; ++c) {
    ordered_.push_back(&netlist_.connections[statement.first + c]);
  }
  return true;
}

bool CellCompiler::order_by_name(const Statement& statement, const CellSyntax& used) {
  ordered_.assign(used.inputs.size() + used.outputs.size(), nullptr);
  ++pin_round_;
  pin_of_symbol_.resize(netlist_.symbols->size());
  std::uint32_t next = 0;
  for (const auto* pins : {&used.inputs, &used.outputs}) {
    for (const auto& pin : *pins) pin_of_symbol_[pin.name] = {pin_round_, next++};
  }
  bool is_good = true;
  const auto refuse = [&](const Connection& connection, std::string message, std::string hint) {
    diagnostics_.error(at(connection.offset), std::move(message), std::move(hint));
    is_good = false;
  };
  for (std::uint32_t c = 0; c < statement.inputs + statement.outputs; ++c) {
    const auto& connection = netlist_.connections[statement.first + c];
    const bool stands_left = c < statement.inputs;
    const auto& slot = pin_of_symbol_[connection.pin];
    const bool is_input = slot.index < used.inputs.size();
    if (slot.round != pin_round_) {
      std::vector<std::string_view> pins;
      for (const auto& pin : used.inputs) pins.push_back(text(pin.name));
      for (const auto& pin : used.outputs) pins.push_back(text(pin.name));
      auto hint = suggestion(nearest_name(text(connection.pin), pins));
      if (hint.empty()) hint = "its pins are " + pin_list(used);
      refuse(connection, fmt::format("cell '{}' has no pin '{}'", text(used.name), text(connection.pin)),
             hint);
    } else if (stands_left && !is_input) {
      refuse(connection, fmt::format("'{}' is an output of cell '{}'", text(connection.pin), text(used.name)),
             "write it after '->'");
    } else if (!stands_left && is_input) {
      refuse(connection, fmt::format("'{}' is an input of cell '{}'", text(connection.pin), text(used.name)),
             "write it before '->'");
    } else {
      ordered_[slot.index] = &connection;
    }
  }
  return is_good;
}

bool CellCompiler::connect(const Statement& statement, const Connection& connection, const Pin& pin,
                           CellPlan& plan) {
  using Mode = PlanConnection::Mode;
  const auto refuse = [&](std::string message, std::string hint = {}) {
    diagnostics_.error(at(connection.offset), std::move(message), std::move(hint));
    return false;
  };
  const auto elements = element_count(netlist_, statement);
  PlanConnection added;
  std::uint32_t width = 1;
  switch (connection.kind) {
    case Connection::Kind::open: plan.connections.push_back(added); return true;
    case Connection::Kind::zero:
    case Connection::Kind::one:
      if (pin.is_output) {
        return refuse(fmt::format("the constant '{}' cannot be an output", connection.kind == Connection::Kind::one ? 1 : 0),
                      "write a net, or '_' to leave the output open");
      }
      added.mode = connection.kind == Connection::Kind::zero ? Mode::zero : Mode::one;
      // 0 fills a pin of any width; 1 could mean the number or all ones.
      if (added.mode == Mode::zero || pin.width == 1) {
        plan.connections.push_back(added);
        return true;
      }
      break;
    case Connection::Kind::net: {
      added.mode = Mode::net;
      const auto& name = plan.names[name_of_symbol_[connection.net]];
      added.first = name.first;
      width = name.width;
      if (connection.select != Connection::no_select) {
        const auto& select = netlist_.selects[connection.select];
        if (!name.is_bus) {
          return refuse(fmt::format("'{}' is a single net, not a bus", text(connection.net)));
        }
        if (!name.has_index(select.msb) || !name.has_index(select.lsb)) {
          return refuse(fmt::format("'{}' is out of range: '{}' is declared as '{}[{}:{}]'",
                                    text_of(netlist_, connection), text(connection.net), text(connection.net),
                                    name.msb, name.lsb),
                        !select.is_bit && (name.width == pin.width || name.width == std::uint64_t{pin.width} * elements)
                            ? fmt::format("write {}[{}:{}]", text(connection.net), name.msb, name.lsb)
                            : std::string());
        }
        added.first = name.bit_of(select.msb);
        added.step = name.bit_of(select.lsb) < added.first ? -1 : 1;
        width = select.width();
      }
      if (pin.is_output && name.role == LocalName::Role::input) {
        return refuse(
            fmt::format("'{}' drives '{}', which is an input of this cell",
                        text_of(netlist_, statement.name, statement.range), text_of(netlist_, connection)),
            "only the outside of a cell may drive its inputs");
      }
      break;
    }
  }
  const auto spread = std::uint64_t{pin.width} * elements;
  added.is_spread = width == spread && elements > 1;
  if (width != pin.width && width != spread) {
    const auto needs =
        elements == 1 ? fmt::format("{}", pin.width) : fmt::format("{} or {}", pin.width, spread);
    return refuse(fmt::format("'{}' is {} wide; '{}' needs {}", text_of(netlist_, connection), width,
                              text_of(netlist_, statement.name, statement.range), needs),
                  pin.name.empty() ? std::string()
                                   : fmt::format("pin '{}' of cell '{}' is {} wide", pin.name,
                                                 text(statement.kind), pin.width));
  }
  if (added.mode == Mode::net) {
    const auto mark = pin.is_output ? CellPlan::is_driven : CellPlan::is_read;
    const auto low = added.step > 0 ? added.first : added.first - (width - 1);
    for (std::uint32_t bit = low; bit < low + width; ++bit) plan.bits[bit] |= mark;
  }
  plan.connections.push_back(added);
  return true;
}

void CellCompiler::unknown_kind(Place place, Symbol kind) {
  diagnostics_.error(place, fmt::format("unknown gate or cell '{}'", text(kind)), KindNames(netlist_).hint(text(kind)));
}

std::string CellCompiler::pin_list(const CellSyntax& used) const {
  constexpr std::size_t most = 12;
  std::string list;
  const auto add = [&](const std::vector<PinDeclaration>& pins) {
    for (std::size_t i = 0; i < std::min(pins.size(), most); ++i) {
      if (!list.empty() && list.back() != ' ') list += ' ';
      list += text_of(netlist_, pins[i].name, pins[i].select);
    }
    if (pins.size() > most) list += " ...";
  };
  add(used.inputs);
  list += list.empty() ? "-> " : " -> ";
  add(used.outputs);
  while (!list.empty() && list.back() == ' ') list.pop_back();
  return list;
}

void CellCompiler::wrong_pin_count(const Statement& statement, const CellSyntax& used) {
  const auto count = [](std::size_t inputs, std::size_t outputs) {
    return fmt::format("{} input{} and {} output{}", inputs, inputs == 1 ? "" : "s", outputs,
                       outputs == 1 ? "" : "s");
  };
  diagnostics_.error(at(statement.offset),
                     fmt::format("cell '{}' has {}, but '{}' connects {}", text(used.name),
                                 count(used.inputs.size(), used.outputs.size()), text(statement.name),
                                 count(statement.inputs, statement.outputs)),
                     "its pins are " + pin_list(used));
}

}  // namespace settle
