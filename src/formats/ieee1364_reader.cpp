// HdlFile -> syntax tree.
//
// Modules become cells and their instances are connected by name, since a module may mix the sides
// of its ports. An `assign` joins two nets without a gate; here the net assigned to takes the place
// of the other or the other way round, wherever one of the two is an inner net, whole, and has no
// other driver. What is left (two ports, parts of buses) becomes a buf, which has a delay.
// Linear in the text, joins included (chains are followed once each).
#include <algorithm>

#include <fmt/format.h>

#include "formats/ieee1364_tree.h"
#include "formats/netlist_maker.h"
#include "formats/readers.h"

namespace settle {
namespace {

using Terminal = HdlTerminal;

class ModuleMaker {
 public:
  ModuleMaker(const HdlFile& parsed, std::uint32_t file, Diagnostics& diagnostics)
      : parsed_(parsed), file_(file), diagnostics_(diagnostics), maker_(file) {
    for (const HdlModule& m : parsed.modules) cell_names_.add(m.name);
    cells_ = cell_names_.translate(maker_.symbols());
    for (const HdlModule& m : parsed.modules) net_names_.push_back(m.names.translate(maker_.symbols()));
  }

  Netlist run() {
    for (std::size_t m = 0; m < parsed_.modules.size() && !diagnostics_.is_full(); ++m) make(m);
    return maker_.take();
  }

 private:
  /// What a net is written as.
  struct Stand {
    Terminal::Kind kind = Terminal::Kind::net;
    std::uint32_t net = 0;
  };

  void fail(std::uint32_t offset, std::string text, std::string hint = {}) {
    diagnostics_.error({file_, offset}, std::move(text), std::move(hint));
  }

  void make(std::size_t index) {
    module_ = &parsed_.modules[index];
    index_ = index;
    stands_.assign(module_->nets.size(), {});
    for (std::uint32_t n = 0; n < stands_.size(); ++n) {
      stands_[n].net = n;
      const auto role = module_->nets[n].role;
      if (role == HdlNet::Role::supply0) stands_[n].kind = Terminal::Kind::zero;
      if (role == HdlNet::Role::supply1) stands_[n].kind = Terminal::Kind::one;
    }
    const std::vector<const HdlAssign*> left = join_nets();
    name_instances(left.size());

    maker_.open_cell(cells_[index], module_->offset);
    for (const std::uint32_t port : module_->ports) {
      const HdlNet& net = module_->nets[port];
      const auto range = net.range ? maker_.add_select({net.range->msb, net.range->lsb, false}) : Connection::no_select;
      if (net.role == HdlNet::Role::input) maker_.add_input(symbol(port), net.offset, range);
      if (net.role == HdlNet::Role::output) maker_.add_output(symbol(port), net.offset, range);
    }
    for (std::size_t i = 0; i < module_->instances.size(); ++i) add_instance(module_->instances[i], names_[i]);
    for (std::size_t i = 0; i < left.size(); ++i) add_buffer(*left[i], names_[module_->instances.size() + i]);
    maker_.close_cell();
  }

  Symbol symbol(std::uint32_t net) const { return net_names_[index_][net]; }

  // ---- Sides

  /// Index of the module of an instance, or -1, reported once for each.
  int module_of(const HdlInstance& instance) {
    const auto number = cell_names_.find(instance.module);
    if (number != no_symbol) return static_cast<int>(number);
    std::vector<std::string_view> known;
    for (const HdlModule& m : parsed_.modules) known.push_back(m.name);
    const auto nearest = nearest_name(instance.module, known);
    fail(instance.offset, fmt::format("there is no module '{}' in this file", instance.module),
         nearest.empty() ? "" : fmt::format("did you mean '{}'?", nearest));
    return -1;
  }

  /// The port of `target` that a connection goes to, or no_symbol after a report.
  std::uint32_t port_of(const HdlInstance& instance, const HdlModule& target, std::uint32_t position) {
    const Terminal& t = module_->terminals[instance.first + position];
    if (!instance.by_name) return target.ports[position];
    const auto text = parsed_.port_names.text(t.port);
    const auto number = target.names.find(text);
    if (number != no_symbol && target.nets[number].is_in_header) return number;
    std::vector<std::string_view> known;
    for (const auto port : target.ports) known.push_back(target.names.text(port));
    const auto nearest = nearest_name(text, known);
    fail(t.offset, fmt::format("module '{}' has no port '{}'", target.name, text),
         nearest.empty() ? "" : fmt::format("did you mean '{}'?", nearest));
    return no_symbol;
  }

  // ---- Assigns

  /// Marks the nets that gates and instances drive.
  std::vector<bool> driven_nets() {
    std::vector<bool> driven(module_->nets.size(), false);
    for (const HdlInstance& instance : module_->instances) {
      if (instance.kind >= 0) {
        driven[module_->terminals[instance.first].net] = true;
        continue;
      }
      const auto number = cell_names_.find(instance.module);
      if (number == no_symbol) continue;
      const HdlModule& target = parsed_.modules[number];
      for (std::uint32_t i = 0; i < instance.count; ++i) {
        const Terminal& t = module_->terminals[instance.first + i];
        if (t.kind != Terminal::Kind::net) continue;
        std::uint32_t port = no_symbol;
        if (instance.by_name) port = target.names.find(parsed_.port_names.text(t.port));
        else if (i < target.ports.size()) port = target.ports[i];
        if (port != no_symbol && target.nets[port].role == HdlNet::Role::output) driven[t.net] = true;
      }
    }
    return driven;
  }

  /// The assigns that no join replaces, in the order of the text. They have no order among each other
  /// (clause 6.1), so that every inner net goes to its source before an output takes the place of one.
  std::vector<const HdlAssign*> join_nets() {
    std::vector<const HdlAssign*> left;
    if (module_->assigns.empty()) return left;
    const std::vector<bool> driven = driven_nets();
    std::vector<std::uint32_t> assigned(module_->nets.size(), 0);
    for (const HdlAssign& a : module_->assigns) ++assigned[a.to.net];
    for (const bool inner : {true, false}) {
      for (const HdlAssign& a : module_->assigns) {
        if (is_inner(a.to.net) != inner) continue;
        const bool to_whole = !a.to.select && assigned[a.to.net] == 1 && !driven[a.to.net];
        if (!join(a, to_whole)) left.push_back(&a);
      }
    }
    std::sort(left.begin(), left.end());
    return left;
  }

  bool is_inner(std::uint32_t net) const { return module_->nets[net].role == HdlNet::Role::wire; }

  /// `to_whole`: the net assigned to is whole and has no other driver.
  bool join(const HdlAssign& a, bool to_whole) {
    const HdlNet& to = module_->nets[a.to.net];
    if (a.from.kind != Terminal::Kind::net) {
      if (!to_whole || !is_inner(a.to.net) || to.range) return false;
      stands_[a.to.net].kind = a.from.kind;
      return true;
    }
    const bool alike = to_whole && !a.from.select && to.range == module_->nets[a.from.net].range;
    const Stand stand = stand_of(a.from.net, a.to.offset);
    if (stand.kind == Terminal::Kind::net && stand.net == a.to.net && !a.to.select && !a.from.select) {
      fail(a.to.offset, fmt::format("net '{}' is assigned to itself", module_->names.text(a.to.net)));
      return true;
    }
    if (!alike) return false;
    if (is_inner(a.to.net)) {
      stands_[a.to.net] = stand;
      return true;
    }
    if (to.role != HdlNet::Role::output || stand.kind != Terminal::Kind::net || !is_inner(stand.net) ||
        stand.net != a.from.net) {
      return false;
    }
    stands_[a.from.net] = {Terminal::Kind::net, a.to.net};
    return true;
  }

  /// Follows the chain of joins; a circle ends where it comes back and is reported.
  Stand stand_of(std::uint32_t net, std::uint32_t offset) {
    std::uint32_t at = net;
    for (std::size_t steps = 0; stands_[at].kind == Terminal::Kind::net && stands_[at].net != at; ++steps) {
      if (steps > stands_.size()) {
        fail(offset, fmt::format("net '{}' is assigned to itself in a circle", module_->names.text(net)));
        return {Terminal::Kind::net, net};
      }
      at = stands_[at].net;
    }
    const Stand result{stands_[at].kind, at};
    // Shorten the way for the next one.
    for (std::uint32_t n = net; n != at && stands_[n].kind == Terminal::Kind::net;) {
      const std::uint32_t next = stands_[n].net;
      stands_[n] = result;
      n = next;
    }
    return result;
  }

  // ---- Names

  void name_instances(std::size_t buffers) {
    ForeignNames names;
    std::vector<std::uint32_t> numbers;
    std::size_t unnamed = 0;
    const HdlInstance* before = nullptr;
    std::size_t part = 1;
    for (const HdlInstance& instance : module_->instances) {
      if (instance.name.empty()) {
        numbers.push_back(names.add(fmt::format("{} {}", name_of(static_cast<GateKind>(instance.kind)), ++unnamed)));
        continue;
      }
      // One of the further outputs of a buf or not.
      if (before != nullptr && before->offset == instance.offset && before->name == instance.name) {
        numbers.push_back(names.add(fmt::format("{} part {}", instance.name, ++part)));
        continue;
      }
      before = &instance;
      part = 1;
      if (names.find(instance.name) != no_symbol) fail(instance.offset, fmt::format("'{}' again", instance.name), "each gate and instance of a module has its own name");
      numbers.push_back(names.add(instance.name));
    }
    for (std::size_t i = 0; i < buffers; ++i) numbers.push_back(names.add(fmt::format("assign {}", i + 1)));
    const std::vector<Symbol> own = names.translate(maker_.symbols());
    names_.clear();
    for (const auto number : numbers) names_.push_back(own[number]);
  }

  // ---- Statements

  Connection connection(const Terminal& t) {
    Connection c;
    c.offset = t.offset;
    if (t.kind == Terminal::Kind::nothing) {
      c.kind = Connection::Kind::open;
      return c;
    }
    if (t.kind == Terminal::Kind::net && t.select && !module_->nets[t.net].range) {
      fail(t.offset, fmt::format("'{}' is one bit; no part of it can be taken", module_->names.text(t.net)));
      return c;
    }
    const Stand stand = t.kind == Terminal::Kind::net ? stand_of(t.net, t.offset) : Stand{t.kind, 0};
    if (stand.kind != Terminal::Kind::net) {
      c.kind = stand.kind == Terminal::Kind::zero ? Connection::Kind::zero : Connection::Kind::one;
      return c;
    }
    c.net = symbol(stand.net);
    const auto& range = module_->nets[stand.net].range;
    if (t.select) {
      const auto name = module_->names.text(t.net);
      if (const HdlRange part = *t.select; !t.is_list && part.msb != part.lsb && range->msb != range->lsb &&
                                             (part.msb > part.lsb) != (range->msb > range->lsb)) {
        fail(t.offset,
             fmt::format("'{0}[{1}:{2}]' runs against '{0}[{3}:{4}]' (clause 5.2.1)", name, part.msb, part.lsb,
                         range->msb, range->lsb),
             fmt::format("write {0}[{2}:{1}], or turned round {{{0}[{1}], ..., {0}[{2}]}}", name, part.msb, part.lsb));
      }
      c.select = maker_.add_select({t.select->msb, t.select->lsb, t.is_bit});
    } else if (range) {
      c.select = maker_.add_select({range->msb, range->lsb, false});
    }
    return c;
  }

  /// Of a terminal that is driven.
  Connection driven_connection(const Terminal& t) {
    const Connection c = connection(t);
    if (t.kind == Terminal::Kind::net && (c.kind == Connection::Kind::zero || c.kind == Connection::Kind::one)) {
      fail(t.offset, fmt::format("'{}' is driven, but has the fixed level {} already", module_->names.text(t.net),
                                 c.kind == Connection::Kind::one ? 1 : 0),
           "a net of type supply0 or supply1 is for inputs only here");
    }
    return c;
  }

  void open(const HdlInstance& instance, Symbol name, int target) {
    if (instance.kind >= 0) maker_.open_gate(static_cast<GateKind>(instance.kind), name, instance.offset);
    else maker_.open_instance(cells_[static_cast<std::size_t>(target)], name, instance.offset);
    if (instance.range) maker_.set_range(maker_.add_select({instance.range->msb, instance.range->lsb, false}));
    if (instance.has_attributes) maker_.set_attributes(instance.attributes);
  }

  void add_instance(const HdlInstance& instance, Symbol name) {
    if (instance.kind >= 0) {
      open(instance, name, -1);
      for (std::uint32_t i = 1; i < instance.count; ++i) {
        const Terminal& t = module_->terminals[instance.first + i];
        maker_.connect_input(connection(t));
      }
      maker_.connect_output(driven_connection(module_->terminals[instance.first]));
      maker_.close_statement();
      return;
    }
    const int index = module_of(instance);
    if (index < 0) return;
    const HdlModule& target = parsed_.modules[static_cast<std::size_t>(index)];
    if (!instance.by_name && instance.count > target.ports.size()) {
      fail(instance.offset, fmt::format("{} connections, but module '{}' has {} ports", instance.count, target.name, target.ports.size()));
      return;
    }
    open(instance, name, index);
    maker_.set_by_name();
    std::vector<bool> connected(target.nets.size(), false);
    for (std::uint32_t i = 0; i < instance.count; ++i) {
      const Terminal& t = module_->terminals[instance.first + i];
      const std::uint32_t port = port_of(instance, target, i);
      if (port == no_symbol) continue;
      if (connected[port]) fail(t.offset, fmt::format("port '{}' is connected twice", target.names.text(port)));
      connected[port] = true;
      connect(t, static_cast<std::size_t>(index), port);
    }
    for (const std::uint32_t port : target.ports) {
      Terminal nothing;
      nothing.offset = instance.offset;
      if (!connected[port]) connect(nothing, static_cast<std::size_t>(index), port);
    }
    maker_.close_statement();
  }

  void connect(const Terminal& t, std::size_t target, std::uint32_t port) {
    const HdlModule& m = parsed_.modules[target];
    const bool drives = m.nets[port].role == HdlNet::Role::output;
    Connection c = drives ? driven_connection(t) : connection(t);
    c.pin = net_names_[target][port];
    if (drives) {
      if (t.kind != Terminal::Kind::net && t.kind != Terminal::Kind::nothing) {
        fail(t.offset, fmt::format("output '{}' drives a constant", m.names.text(port)));
      }
      maker_.connect_output(c);
    } else if (t.kind != Terminal::Kind::nothing) {
      maker_.connect_input(c);
    }
  }

  void add_buffer(const HdlAssign& a, Symbol name) {
    maker_.open_gate(GateKind::buf, name, a.to.offset);
    const auto& range = a.to.select ? a.to.select : module_->nets[a.to.net].range;
    if (range && !a.to.is_bit) maker_.set_range(maker_.add_select({range->width() - 1, 0, false}));
    maker_.connect_input(connection(a.from));
    maker_.connect_output(driven_connection(a.to));
    maker_.close_statement();
  }

  const HdlFile& parsed_;
  std::uint32_t file_;
  Diagnostics& diagnostics_;
  NetlistMaker maker_;
  ForeignNames cell_names_;
  std::vector<Symbol> cells_;                   // by module
  std::vector<std::vector<Symbol>> net_names_;  // by module and net
  const HdlModule* module_ = nullptr;           // the one being made
  std::size_t index_ = 0;
  std::vector<Stand> stands_;
  std::vector<Symbol> names_;
};

}  // namespace

Netlist netlist_of(const HdlFile& parsed, std::uint32_t file, Diagnostics& diagnostics) {
  return ModuleMaker(parsed, file, diagnostics).run();
}

Netlist read_ieee1364(std::uint32_t file, Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits) {
  const HdlFile parsed = parse_ieee1364(file, sources, diagnostics, limits);
  // A module with gaps would bring errors that vanish with the first ones.
  return diagnostics.has_errors() ? Netlist{} : netlist_of(parsed, file, diagnostics);
}

}  // namespace settle
