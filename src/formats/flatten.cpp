// Flat circuit -> syntax tree of one cell.
//
// A net is written by its pin where it has one: the first output pin or input pin that carries it.
// Other pins on the same net get a buf, since two pins of one name cannot be; everything else gets a
// name of its own from its path. Linear in gates and pins.
#include <algorithm>

#include "formats/foreign_names.h"
#include "formats/netlist_maker.h"
#include "settle/formats.h"

namespace settle {
namespace {

class Flattener {
 public:
  explicit Flattener(const Circuit& circuit) : c_(circuit), maker_(Place::none), bit_of_(circuit.net_count()) {}

  Netlist run() {
    claim_pins();
    name_nets();
    maker_.open_cell(maker_.name(c_.cell_name()), 0);
    for (const Port& port : c_.input_ports()) maker_.add_input(maker_.name(port.name), 0, range_of(port));
    for (const Port& port : c_.output_ports()) maker_.add_output(maker_.name(port.name), 0, range_of(port));
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) add_gate(gate);
    for (std::size_t i = 0; i < copies_.size(); ++i) {
      maker_.open_gate(GateKind::buf, copy_names_[i], 0);
      maker_.connect_input(connection(copies_[i].net));
      maker_.connect_output(pin_connection(copies_[i].port, copies_[i].bit));
      maker_.close_statement();
    }
    maker_.close_cell();
    Netlist flat = maker_.take();
    flat.made_texts = parts_;
    return flat;
  }

 private:
  struct PinBit {
    const Port* port = nullptr;
    std::uint32_t bit = 0;  // from the msb
  };
  struct Copy {
    NetId net;
    const Port* port;
    std::uint32_t bit;
  };

  std::uint32_t range_of(const Port& port) {
    return port.is_bus ? maker_.add_select({port.msb, port.lsb, false}) : Connection::no_select;
  }

  void claim_pins() {
    for (const Port& port : c_.input_ports()) {
      for (std::uint32_t b = 0; b < port.width; ++b) bit_of_[port.first + b] = {&port, b};
    }
    for (const Port& port : c_.output_ports()) {
      for (std::uint32_t b = 0; b < port.width; ++b) {
        const NetId net = c_.outputs()[port.first + b];
        if (bit_of_[net].port == nullptr && !c_.is_constant(net)) {
          bit_of_[net] = {&port, b};
        } else {
          copies_.push_back({net, &port, b});
        }
      }
    }
  }

  void name_nets() {
    ForeignNames nets, gates;
    std::vector<std::uint32_t> number(c_.net_count(), no_symbol);
    for (const auto* ports : {&c_.input_ports(), &c_.output_ports()}) {
      for (const Port& port : *ports) nets.add(port.name);
    }
    for (NetId net = 0; net < c_.const_zero(); ++net) {
      if (bit_of_[net].port != nullptr) continue;
      // An output that was left open stays so.
      if (c_.names().nets[net].name == no_symbol && c_.fan_out(net).empty()) continue;
      const std::string name = c_.net_name(net);
      if (!name.empty()) number[net] = nets.add(name);
    }
    const auto own = nets.translate(maker_.symbols());
    net_symbol_.assign(c_.net_count(), no_symbol);
    for (NetId net = 0; net < c_.const_zero(); ++net) {
      if (number[net] != no_symbol) net_symbol_[net] = own[number[net]];
    }
    std::vector<std::uint32_t> gate_number(c_.gate_count()), copy_number;
    for (GateId gate = 0; gate < c_.gate_count(); ++gate) gate_number[gate] = gates.add(c_.gate_name(gate));
    for (const Copy& copy : copies_) {
      copy_number.push_back(gates.add("copy of " + copy.port->name + " " + std::to_string(copy.bit)));
    }
    const auto own_gates = gates.translate(maker_.symbols());
    for (const auto n : gate_number) gate_symbol_.push_back(own_gates[n]);
    for (const auto n : copy_number) copy_names_.push_back(own_gates[n]);
  }

  Connection pin_connection(const Port* port, std::uint32_t bit) {
    Connection result = connection_to(maker_.name(port->name), 0);
    if (port->is_bus) {
      const std::uint32_t index = port->msb >= port->lsb ? port->msb - bit : port->msb + bit;
      result.select = maker_.add_select({index, index, true});
    }
    return result;
  }

  Connection connection(NetId net) {
    if (bit_of_[net].port != nullptr) return pin_connection(bit_of_[net].port, bit_of_[net].bit);
    Connection result;
    if (c_.is_constant(net)) {
      result.kind = net == c_.const_zero() ? Connection::Kind::zero : Connection::Kind::one;
    } else if (net_symbol_[net] == no_symbol) {
      result.kind = Connection::Kind::open;
    } else {
      result.net = net_symbol_[net];
    }
    return result;
  }

  void add_gate(GateId gate) {
    maker_.open_gate(c_.kind(gate), gate_symbol_[gate], 0);
    for (const NetId net : c_.fan_in(gate)) maker_.connect_input(connection(net));
    maker_.connect_output(connection(c_.visible_net(gate)));
    Attributes attributes;
    attributes.part = kept_part(c_.part(gate));
    // A pull never changes and has no delay to write.
    attributes.has_delay = c_.has_delays() && !is_pull(c_.kind(gate));
    if (attributes.has_delay) {
      const GateDelay& delay = c_.delay(gate);
      attributes.rise = delay.rise;
      attributes.fall = delay.fall;
      attributes.unit = c_.time_unit();
    }
    if (attributes.has_delay || !attributes.part.empty()) maker_.set_attributes(attributes);
    maker_.close_statement();
  }

  /// The tree may outlive the circuit; a circuit has few parts.
  std::string_view kept_part(std::string_view part) {
    if (part.empty()) return {};
    if (!parts_) parts_ = std::make_shared<std::deque<std::string>>();
    const auto found = std::find(parts_->begin(), parts_->end(), part);
    return found != parts_->end() ? *found : parts_->emplace_back(part);
  }

  const Circuit& c_;
  NetlistMaker maker_;
  std::vector<PinBit> bit_of_;          // by net: the pin that it is written as
  std::vector<Copy> copies_;            // pins whose net is written as another pin
  std::vector<Symbol> net_symbol_, gate_symbol_, copy_names_;
  std::shared_ptr<std::deque<std::string>> parts_;
};

}  // namespace

Netlist flatten(const Circuit& circuit) { return Flattener(circuit).run(); }

}  // namespace settle
