// The instance tree, walked depth first with an explicit stack.
//
// Each open instance has a map from the bits of its cell to wires, all maps lie in one array that
// grows and shrinks with the stack. Pin bits come first and are taken from the map of the parent;
// for every other bit that the cell uses a wire is made. So a wire belongs to the outermost
// instance that sees it, and has the name it has there.
// Cost: linear in the flat pins; memory for the maps of one path down the tree.
#include "circuit/place_instances.h"

#include "text/large_pages.h"

namespace settle {
namespace {

class Placement {
 public:
  Placement(const Netlist& netlist, const CellCompiler& cells, const std::vector<CellPlan>& plans,
            const ElaborateOptions& options, CircuitBuilder& builder)
      : netlist_(netlist), cells_(cells), plans_(plans), options_(options), builder_(builder) {}

  /// The top cell is placed once, so that what is placed of it is needed no more.
  void use_up(CellPlan& plan, Netlist* own, std::uint32_t first_statement) {
    statements_behind_ = PagesBehind(plan.statements.data());
    connections_behind_ = PagesBehind(plan.connections.data());
    if (own != nullptr) syntax_behind_ = PagesBehind(own->statements.data() + first_statement);
  }

  bool run(std::uint32_t top) {
    auto& names = builder_.names();
    names.symbols = netlist_.symbols;
    place_top(top);
    for (std::uint32_t round = 1; !stack_.empty(); ++round) {
      if ((round & 1023u) == 0) {
        if (is_set(options_.stop)) return false;
        if (options_.progress != nullptr) options_.progress->set(builder_.gate_count(), builder_.gate_count());
        give_back(stack_.front());
      }
      auto& frame = stack_.back();
      const auto& plan = plans_[frame.cell];
      if (frame.statement == plan.statements.size()) {
        map_.resize(frame.map);
        stack_.pop_back();
        continue;
      }
      const auto& planned = plan.statements[frame.statement];
      const auto& statement = netlist_.statements[planned.statement];
      if (statement.builtin >= 0) {
        place_gates(frame, plan, planned, statement);
        ++frame.statement;
        continue;
      }
      if (frame.element == element_count(netlist_, statement)) {
        frame.element = 0;
        ++frame.statement;
        continue;
      }
      place_cell(plan, planned, statement);
    }
    add_buses();
    return true;
  }

 private:
  struct Frame {
    std::uint32_t cell = 0;
    std::uint32_t instance = 0;
    std::size_t map = 0;  // start of its bits in map_
    std::uint32_t statement = 0;
    std::uint32_t element = 0;
  };

  void give_back(const Frame& top) {
    const auto& statements = plans_[top.cell].statements;
    if (top.statement == statements.size()) return;
    statements_behind_.passed(top.statement * sizeof(PlanStatement));
    connections_behind_.passed(statements[top.statement].first * sizeof(PlanConnection));
    syntax_behind_.passed(top.statement * sizeof(Statement));
  }

  NameRef name_of_bit(std::uint32_t instance, const LocalName& name, std::uint32_t bit) const {
    return {instance, name.name, name.is_bus ? name.index_of(bit) : no_id};
  }

  void place_top(std::uint32_t top) {
    const auto& plan = plans_[top];
    builder_.set_cell_name(std::string(netlist_.symbols->text(netlist_.cells[top].name)));
    builder_.names().instances.push_back({0, no_symbol, no_id, netlist_.cells[top].name});
    reserve_large(map_, plan.bits.size());
    map_.assign(plan.bits.size(), no_id);
    std::uint32_t inputs = 0, outputs = 0;
    for (std::uint32_t i = 0; i < plan.pin_count; ++i) {
      const auto& name = plan.names[i];
      const bool is_input = name.role == LocalName::Role::input;
      Port port{
          std::string(netlist_.symbols->text(name.name)), name.msb, name.lsb, name.is_bus, 0, name.width};
      for (auto bit = name.first; bit < name.first + name.width; ++bit) {
        const auto ref = name_of_bit(0, name, bit);
        map_[bit] = is_input ? builder_.add_input(ref) : builder_.add_wire(ref);
        if (!is_input) builder_.add_output(map_[bit]);
      }
      auto& count = is_input ? inputs : outputs;
      port.first = count;
      count += name.width;
      if (is_input) {
        builder_.add_input_port(std::move(port));
      } else {
        builder_.add_output_port(std::move(port));
      }
    }
    make_wires(plan, 0, 0, plan.pin_count);
    stack_.push_back({top, 0, 0, 0, 0});
  }

  /// Wires for the used bits that have none, of the names from first_name on.
  void make_wires(const CellPlan& plan, std::uint32_t instance, std::size_t map, std::uint32_t first_name) {
    for (auto i = first_name; i < plan.names.size(); ++i) {
      const auto& name = plan.names[i];
      for (auto bit = name.first; bit < name.first + name.width; ++bit) {
        auto& wire = map_[map + bit];
        if (wire == no_id && plan.bits[bit] != 0) wire = builder_.add_wire(name_of_bit(instance, name, bit));
      }
    }
  }

  WireId wire_of(const PlanConnection& connection, std::uint32_t offset, std::size_t map) const {
    switch (connection.mode) {
      case PlanConnection::Mode::zero: return wire_zero;
      case PlanConnection::Mode::one: return wire_one;
      case PlanConnection::Mode::open: return no_id;
      case PlanConnection::Mode::net: break;
    }
    return map_[map + (connection.step > 0 ? connection.first + offset : connection.first - offset)];
  }

  void place_gates(const Frame& frame, const CellPlan& plan, const PlanStatement& planned,
                   const Statement& statement) {
    const auto kind = static_cast<GateKind>(statement.builtin);
    const auto* pins = plan.connections.data() + planned.first;
    const auto elements = element_count(netlist_, statement);
    const Place place{netlist_.cells[frame.cell].place.file, statement.name_offset};
    for (std::uint32_t element = 0; element < elements; ++element) {
      for (std::uint32_t pin = 0; pin < planned.count - 1; ++pin) {
        builder_.add_pin(wire_of(pins[pin], pins[pin].is_spread ? element : 0, frame.map));
      }
      const auto& output = pins[planned.count - 1];
      const NameRef name{frame.instance, statement.name, element_index(netlist_, statement, element)};
      builder_.finish_gate(kind, wire_of(output, output.is_spread ? element : 0, frame.map), name, place,
                           planned.delay, planned.part);
    }
  }

  /// The next element of the instance statement at the top of the stack.
  void place_cell(const CellPlan& plan, const PlanStatement& planned, const Statement& statement) {
    const auto parent = stack_.back();
    const auto element = stack_.back().element++;
    const auto cell = static_cast<std::uint32_t>(cells_.find_cell(statement.kind));
    const auto& used = plans_[cell];
    auto& instances = builder_.names().instances;
    const auto instance = static_cast<std::uint32_t>(instances.size());
    instances.push_back(
        {parent.instance, statement.name, element_index(netlist_, statement, element), statement.kind});

    const auto map = map_.size();
    map_.resize(map + used.bits.size(), no_id);
    for (std::uint32_t pin = 0; pin < used.pin_count; ++pin) {
      const auto& connection = plan.connections[planned.first + pin];
      const auto& name = used.names[pin];
      const auto offset = connection.is_spread ? element * name.width : 0;
      for (std::uint32_t bit = 0; bit < name.width; ++bit) {
        map_[map + name.first + bit] = wire_of(connection, offset + bit, parent.map);
      }
    }
    make_wires(used, instance, map, 0);
    stack_.push_back({cell, instance, map, 0, 0});
  }

  void add_buses() {
    auto& names = builder_.names();
    std::size_t count = 0;
    for (int round = 0; round < 2; ++round) {
      for (std::size_t cell = 0; cell < plans_.size(); ++cell) {
        for (const auto& name : plans_[cell].names) {
          if (!name.is_bus) continue;
          ++count;
          if (round == 1) names.buses.push_back({netlist_.cells[cell].name, name.name, name.msb, name.lsb});
        }
      }
      if (round == 0) names.buses.reserve(count);
    }
  }

  const Netlist& netlist_;
  const CellCompiler& cells_;
  const std::vector<CellPlan>& plans_;
  const ElaborateOptions& options_;
  CircuitBuilder& builder_;
  std::vector<Frame> stack_;
  std::vector<WireId> map_;
  PagesBehind statements_behind_, connections_behind_, syntax_behind_;
};

}  // namespace

bool place_instances(const Netlist& netlist, Netlist* own, const CellCompiler& cells, std::vector<CellPlan>& plans,
                     std::uint32_t top, const ElaborateOptions& options, CircuitBuilder& builder) {
  Placement placement(netlist, cells, plans, options, builder);
  placement.use_up(plans[top], own, netlist.cells[top].first_statement);
  return placement.run(top);
}

}  // namespace settle
