// The syntax tree, walked with an explicit stack of opened cells.
//
// Each opened cell has a map from its local names to bits of the sheet's nets: pins take theirs from the
// connections of the statement that uses the cell, any other name makes a net. A connection names one local
// net, so the bits of a pin always belong to one net of the sheet, or are open or constant.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "draw/sheet.h"

namespace settle::draw {
namespace {

struct Bit {
  NetIndex net = net_open;
  std::uint32_t index = 0;  // in the net, 0 is its msb
};
using Bits = std::vector<Bit>;

struct Range {
  std::uint32_t msb = 0, lsb = 0;
  bool is_bus = false;
  std::uint32_t width() const { return (msb > lsb ? msb - lsb : lsb - msb) + 1; }
  std::uint32_t position(std::uint32_t bit) const { return msb >= lsb ? msb - bit : bit - msb; }
};

struct Local {
  Range range;
  Bits bits;
};

struct Opened {
  std::uint32_t cell = 0;
  std::string path;  // "" or "bit[3].keep."
  std::map<Symbol, Local> names;
};

class CellSheet {
 public:
  CellSheet(const Circuit& circuit, const Netlist& tree, const std::vector<std::string>& open)
      : circuit_(circuit), tree_(tree) {
    for (std::uint32_t i = 0; i < tree.cells.size(); ++i) {
      cell_of_.emplace(tree.cells[i].name, i);
      const auto name = text(tree.cells[i].name);
      if (std::find(open.begin(), open.end(), name) != open.end()) open_.push_back(tree.cells[i].name);
    }
    for (const Names::Bus& bus : circuit.names().buses) {
      const Symbol cell = tree.symbols->find(circuit.names().symbols->text(bus.cell));
      const Symbol name = tree.symbols->find(circuit.names().symbols->text(bus.name));
      buses_[{cell, name}] = {bus.msb, bus.lsb, true};
    }
  }

  Sheet make() {
    sheet_.name = circuit_.cell_name();
    const auto top = cell_of_.find(tree_.symbols->find(circuit_.cell_name()));
    if (top == cell_of_.end()) return std::move(sheet_);
    Opened first;
    first.cell = top->second;
    const CellSyntax& cell = tree_.cells[first.cell];
    for (const PinDeclaration& pin : cell.inputs) {
      local(first, pin.name);
      add(SheetPart::Form::input, std::string(text(pin.name)))
          .outputs.push_back(pin_of(first.names[pin.name].bits));
    }
    for (const PinDeclaration& pin : cell.outputs) local(first, pin.name);
    const std::map<Symbol, Local> pins = first.names;
    stack_.push_back(std::move(first));
    while (!stack_.empty()) {
      Opened opened = std::move(stack_.back());
      stack_.pop_back();
      const CellSyntax& syntax = tree_.cells[opened.cell];
      for (std::uint32_t i = 0; i < syntax.statement_count; ++i) {
        place(opened, tree_.statements[syntax.first_statement + i]);
      }
    }
    for (const PinDeclaration& pin : cell.outputs) {
      add(SheetPart::Form::output, std::string(text(pin.name)))
          .inputs.push_back(pin_of(pins.at(pin.name).bits));
    }
    return std::move(sheet_);
  }

 private:
  std::string_view text(Symbol symbol) const { return tree_.symbols->text(symbol); }

  SheetPart& add(SheetPart::Form form, std::string name) {
    SheetPart& part = sheet_.parts.emplace_back();
    part.form = form;
    part.name = std::move(name);
    return part;
  }

  Range range_of(std::uint32_t cell, Symbol name) const {
    const CellSyntax& syntax = tree_.cells[cell];
    for (const auto* pins : {&syntax.inputs, &syntax.outputs}) {
      for (const PinDeclaration& pin : *pins) {
        if (pin.name != name || pin.select == Connection::no_select) continue;
        return {tree_.selects[pin.select].msb, tree_.selects[pin.select].lsb, true};
      }
    }
    const auto found = buses_.find({syntax.name, name});
    return found == buses_.end() ? Range{} : found->second;
  }

  // A name of an opened cell; makes a net for one that has none yet.
  const Local& local(Opened& opened, Symbol name) {
    const auto found = opened.names.find(name);
    if (found != opened.names.end()) return found->second;
    Local& made = opened.names[name];
    made.range = range_of(opened.cell, name);
    const auto index = static_cast<NetIndex>(sheet_.nets.size());
    SheetNet& net = sheet_.nets.emplace_back();
    net.name = opened.path + std::string(text(name));
    net.width = made.range.width();
    net.msb = made.range.msb;
    net.lsb = made.range.lsb;
    net.is_bus = made.range.is_bus;
    net.bits = circuit_.find_bus(net.name);
    if (net.bits.size() != net.width) net.bits.clear();
    for (std::uint32_t bit = 0; bit < net.width; ++bit) made.bits.push_back({index, bit});
    return made;
  }

  Bits bits_of(Opened& opened, const Connection& connection) {
    switch (connection.kind) {
      case Connection::Kind::zero: return {{net_zero, 0}};
      case Connection::Kind::one: return {{net_one, 0}};
      case Connection::Kind::open: return {};
      case Connection::Kind::net: break;
    }
    const Local& whole = local(opened, connection.net);
    if (connection.select == Connection::no_select) return whole.bits;
    const Select& select = tree_.selects[connection.select];
    const auto first = whole.range.position(select.msb), last = whole.range.position(select.lsb);
    Bits bits;
    for (std::uint32_t i = 0; i < select.width(); ++i) {
      const auto at = first <= last ? first + i : first - i;
      if (at < whole.bits.size()) bits.push_back(whole.bits[at]);
    }
    return bits;
  }

  SheetPin pin_of(const Bits& bits) const {
    SheetPin pin;
    if (bits.empty()) return pin;
    pin.net = bits.front().net;
    pin.width = static_cast<std::uint32_t>(bits.size());
    if (!is_wire(pin.net)) return pin;
    const SheetNet& net = sheet_.nets[pin.net];
    if (!net.is_bus || (pin.width == net.width && bits.front().index == 0)) return pin;
    const auto written = [&](const Bit& bit) {
      return net.msb >= net.lsb ? net.msb - bit.index : net.msb + bit.index;
    };
    pin.slice = pin.width == 1 ? fmt::format("[{}]", written(bits.front()))
                               : fmt::format("[{}:{}]", written(bits.front()), written(bits.back()));
    return pin;
  }

  struct Uses {  // of the pins of a part, in their order
    std::vector<Bits> inputs, outputs;
  };

  Uses uses_of(Opened& opened, const Statement& statement, const CellSyntax* cell) {
    Uses uses;
    const Connection* connections = tree_.connections.data() + statement.first;
    if (cell != nullptr && statement.by_name) {
      const auto by_name = [&](const std::vector<PinDeclaration>& pins, std::vector<Bits>& bits) {
        for (const PinDeclaration& pin : pins) {
          bits.emplace_back();
          for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
            if (connections[i].pin == pin.name) bits.back() = bits_of(opened, connections[i]);
          }
        }
      };
      by_name(cell->inputs, uses.inputs);
      by_name(cell->outputs, uses.outputs);
      return uses;
    }
    for (std::uint32_t i = 0; i < statement.inputs; ++i)
      uses.inputs.push_back(bits_of(opened, connections[i]));
    for (std::uint32_t i = 0; i < statement.outputs; ++i) {
      uses.outputs.push_back(bits_of(opened, connections[statement.inputs + i]));
    }
    return uses;
  }

  void place(Opened& opened, const Statement& statement) {
    const CellSyntax* cell = nullptr;
    if (statement.builtin < 0) {
      const auto found = cell_of_.find(statement.kind);
      if (found == cell_of_.end()) return;
      cell = &tree_.cells[found->second];
    }
    const Uses uses = uses_of(opened, statement, cell);
    const bool is_array = statement.range != Connection::no_select;
    const Select range = is_array ? tree_.selects[statement.range] : Select{};
    const std::string name = opened.path + std::string(text(statement.name));
    if (cell != nullptr && std::find(open_.begin(), open_.end(), cell->name) != open_.end()) {
      for (std::uint32_t element = 0; element < range.width(); ++element) {
        const auto bit = range.msb >= range.lsb ? range.msb - element : range.msb + element;
        open_cell(*cell, uses, element, range.width(),
                  (is_array ? fmt::format("{}[{}].", name, bit) : name + "."));
      }
      return;
    }
    SheetPart& part = add(cell == nullptr ? SheetPart::Form::gate : SheetPart::Form::cell,
                          is_array ? fmt::format("{}[{}:{}]", name, range.msb, range.lsb) : name);
    part.copies = range.width();
    if (cell == nullptr) {
      part.kind = static_cast<GateKind>(statement.builtin);
    } else {
      part.cell = std::string(text(cell->name));
    }
    const auto pins = [&](const std::vector<Bits>& bits, const std::vector<PinDeclaration>* declared) {
      std::vector<SheetPin> result;
      for (std::size_t i = 0; i < bits.size(); ++i) {
        result.push_back(pin_of(bits[i]));
        if (declared != nullptr && i < declared->size())
          result.back().name = std::string(text((*declared)[i].name));
      }
      return result;
    };
    part.inputs = pins(uses.inputs, cell == nullptr ? nullptr : &cell->inputs);
    part.outputs = pins(uses.outputs, cell == nullptr ? nullptr : &cell->outputs);
  }

  void open_cell(const CellSyntax& cell, const Uses& uses, std::uint32_t element, std::uint32_t elements,
                 std::string path) {
    Opened inner;
    inner.cell = static_cast<std::uint32_t>(&cell - tree_.cells.data());
    inner.path = std::move(path);
    const auto connect = [&](const std::vector<PinDeclaration>& pins, const std::vector<Bits>& bits,
                             bool inputs) {
      for (std::size_t i = 0; i < pins.size(); ++i) {
        const Range range = range_of(inner.cell, pins[i].name);
        const auto width = range.width();
        if (i >= bits.size() || bits[i].empty()) {  // an open output is a net of the inside
          if (inputs) inner.names[pins[i].name] = {range, Bits(width)};
          continue;
        }
        Bits own;
        for (std::uint32_t bit = 0; bit < width; ++bit) {
          const bool is_shared = bits[i].size() != std::size_t{width} * elements;
          own.push_back(bits[i][(is_shared ? bit : element * width + bit) % bits[i].size()]);
        }
        inner.names[pins[i].name] = {range, std::move(own)};
      }
    };
    connect(cell.inputs, uses.inputs, true);
    connect(cell.outputs, uses.outputs, false);
    stack_.push_back(std::move(inner));
  }

  const Circuit& circuit_;
  const Netlist& tree_;
  std::map<Symbol, std::uint32_t> cell_of_;
  std::map<std::pair<Symbol, Symbol>, Range> buses_;
  std::vector<Symbol> open_;
  std::vector<Opened> stack_;
  Sheet sheet_;
};

}  // namespace

Sheet cell_sheet(const Circuit& circuit, const Netlist& tree, const std::vector<std::string>& open) {
  return CellSheet(circuit, tree, open).make();
}

}  // namespace settle::draw
