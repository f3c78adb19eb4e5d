// Chips -> gates.
//
// A first pass over the connections of each cell counts the ends of every net, a second one turns chips
// into statements and judges each pin. The statements of all cells are then laid out anew, since those of
// a cell stand together. Cost: linear in pins and connections, with a hash map of the nets of a cell.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <memory>
#include <span>
#include <unordered_map>
#include <unordered_set>

#include "circuit/power_names.h"
#include "parts/unlisted_family.h"
#include "settle/board.h"

namespace settle {
namespace {

std::string list_of_pins(const std::vector<std::uint32_t>& pins) {
  std::string text;
  for (std::size_t i = 0; i < pins.size(); ++i) {
    text += i == 0 ? "" : i + 1 == pins.size() ? " and " : ", ";
    text += std::to_string(pins[i]);
  }
  return text;
}

class ChipPlacer {
 public:
  ChipPlacer(Netlist& netlist, const Catalogue& catalogue, Diagnostics& diagnostics)
      : netlist_(netlist), catalogue_(catalogue), diagnostics_(diagnostics) {
    if (!netlist_.made_texts) netlist_.made_texts = std::make_shared<std::deque<std::string>>();
  }

  void run() {
    std::vector<Statement> laid_out;
    laid_out.reserve(netlist_.statements.size() + 4 * netlist_.chips.size());
    std::size_t chip = 0;
    for (std::uint32_t cell = 0; cell < netlist_.cells.size(); ++cell) {
      CellSyntax& syntax = netlist_.cells[cell];
      const auto first = static_cast<std::uint32_t>(laid_out.size());
      for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
        laid_out.push_back(netlist_.statements[syntax.first_statement + s]);
      }
      made_ = &laid_out;
      const std::size_t end = end_of_chips(chip, cell);
      if (end != chip) {
        look_at_cell(cell, chip, end);
        for (; chip < end; ++chip) place(static_cast<std::uint32_t>(chip));
      }
      syntax.first_statement = first;
      syntax.statement_count = static_cast<std::uint32_t>(laid_out.size()) - first;
    }
    netlist_.statements = std::move(laid_out);
    auto& reported = netlist_.reported_nets;
    std::sort(reported.begin(), reported.end());
    reported.erase(std::unique(reported.begin(), reported.end()), reported.end());
  }

 private:
  /// Ends of a net in the cell at hand.
  struct Ends {
    std::uint32_t count = 0;
    bool is_cell_input = false;
    std::uint32_t chip = no_id, pin = 0;  // the push-pull output on it
  };

  std::size_t end_of_chips(std::size_t chip, std::uint32_t cell) const {
    while (chip < netlist_.chips.size() && netlist_.chips[chip].cell == cell) ++chip;
    return chip;
  }

  std::string_view text(Symbol symbol) const { return netlist_.symbols->text(symbol); }

  std::uint64_t key_of(const Connection& c) const {
    const std::uint64_t bit = c.select == Connection::no_select ? 0xffffffffu : netlist_.selects[c.select].msb;
    return std::uint64_t{c.net} << 32 | bit;
  }

  std::string net_text(const Connection& c) const {
    switch (c.kind) {
      case Connection::Kind::zero: return "the ground";
      case Connection::Kind::one: return "the supply";
      case Connection::Kind::open: return "nothing";
      case Connection::Kind::net: break;
    }
    if (c.select == Connection::no_select) return fmt::format("net '{}'", text(c.net));
    return fmt::format("net '{}[{}]'", text(c.net), netlist_.selects[c.select].msb);
  }

  void look_at_cell(std::uint32_t cell, std::size_t first_chip, std::size_t end) {
    const CellSyntax& syntax = netlist_.cells[cell];
    file_ = syntax.place.file;
    ends_.clear();
    wide_.clear();
    input_buses_.clear();
    taken_.clear();
    for (const auto* pins : {&syntax.inputs, &syntax.outputs}) {
      for (const PinDeclaration& pin : *pins) {
        if (pin.select == Connection::no_select) {
          Ends& ends = ends_[std::uint64_t{pin.name} << 32 | 0xffffffffu];
          ++ends.count;
          ends.is_cell_input = ends.is_cell_input || pins == &syntax.inputs;
        } else {
          wide_.insert(pin.name);
          if (pins == &syntax.inputs) input_buses_.insert(pin.name);
        }
      }
    }
    for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
      const Statement& statement = netlist_.statements[syntax.first_statement + s];
      taken_.insert(statement.name);
      for (std::uint32_t c = 0; c < statement.inputs + statement.outputs; ++c) {
        const Connection& connection = netlist_.connections[statement.first + c];
        if (connection.kind != Connection::Kind::net) continue;
        if (connection.select != Connection::no_select || statement.range != Connection::no_select) wide_.insert(connection.net);
        else ++ends_[key_of(connection)].count;
      }
    }
    for (std::size_t chip = first_chip; chip < end; ++chip) {
      taken_.insert(netlist_.chips[chip].name);
      for (const ChipPin& pin : pins_of(netlist_.chips[chip])) {
        if (pin.net.kind == Connection::Kind::net) ++ends_[key_of(pin.net)].count;
      }
    }
  }

  std::span<const ChipPin> pins_of(const ChipSyntax& chip) const {
    return {netlist_.chip_pins.data() + chip.first, chip.count};
  }

  void error(std::uint32_t offset, std::string message, std::string hint = {}) {
    diagnostics_.error({file_, offset}, std::move(message), std::move(hint));
  }
  void warning(std::uint32_t offset, std::string_view kind, std::string message, std::string hint = {}) {
    diagnostics_.warning({file_, offset}, std::string(kind), std::move(message), std::move(hint));
  }

  void place(std::uint32_t index) {
    ChipSyntax& chip = netlist_.chips[index];
    chip.is_placed = true;
    chip_ = index;
    const auto number = part_number_from(chip.part);
    part_ = number ? catalogue_.find(number->number) : catalogue_.find(chip.part);
    if (part_ == nullptr) return unknown_part(chip);
    if (number && is_unlisted(*part_, number->family)) {
      warning(chip.part_offset, "unlisted-family", unlisted_text(*part_, chip.part, number->family), std::string(unlisted_hint));
    }
    floats_high_ = number && floats_high(number->family);
    by_number_.assign(std::size_t{part_->pin_count} + 1, nullptr);
    for (const ChipPin& pin : pins_of(chip)) {
      if (pin.number <= part_->pin_count) {
        by_number_[pin.number] = &pin;
      } else {
        error(pin.offset, fmt::format("a {} has {} pins, so there is no pin {}", chip.part, part_->pin_count, pin.number),
              fmt::format("its pins are 1 to {}", part_->pin_count));
      }
    }
    const bool is_powered = check_power(chip);
    for (const auto pin : part_->unconnected) {
      if (is_on_net(pin) && by_number_[pin]->net.kind == Connection::Kind::net) {
        warning(by_number_[pin]->offset, "idle-pin",
                fmt::format("pin {} of '{}' has no function in a {}, but {} is on it", pin, text(chip.name), chip.part,
                            net_text(by_number_[pin]->net)));
      }
    }
    std::vector<std::uint32_t> open_at_rest;
    for (std::uint32_t g = 0; g < part_->gates.size(); ++g) place_gate(chip, g, is_powered, open_at_rest);
    if (!open_at_rest.empty() && !floats_high_) {
      warning(chip.name_offset, "open-pin",
              fmt::format("pin{} {} of '{}' {} not connected: input{} of gates that are not used", open_at_rest.size() == 1 ? "" : "s",
                          list_of_pins(open_at_rest), text(chip.name), open_at_rest.size() == 1 ? "is" : "are",
                          open_at_rest.size() == 1 ? "" : "s"),
              "tie each to 0 or 1: an open CMOS input drifts, and the chip may draw much current");
    }
  }

  void unknown_part(const ChipSyntax& chip) {
    std::vector<std::string> names;
    for (const Part& part : catalogue_.parts()) {
      for (const std::string& family : part.families) names.push_back(part_number_text(part.number, family));
      names.push_back(part.number);
    }
    const std::vector<std::string_view> views(names.begin(), names.end());
    const std::string_view near = nearest_name(chip.part, views);
    error(chip.part_offset, fmt::format("there is no part '{}' in the catalogue", chip.part),
          near.empty() ? std::string("--parts FILE adds parts of your own") : fmt::format("did you mean '{}'?", near));
  }

  /// Connected at all?
  bool is_on_net(std::uint32_t pin) const {
    return by_number_[pin] != nullptr && by_number_[pin]->net.kind != Connection::Kind::open;
  }
  std::uint32_t offset_of(const ChipSyntax& chip, std::uint32_t pin) const {
    return by_number_[pin] == nullptr ? chip.name_offset : by_number_[pin]->offset;
  }

  bool check_power(const ChipSyntax& chip) {
    using Kind = Connection::Kind;
    const auto kind = [&](std::uint32_t pin) { return is_on_net(pin) ? by_number_[pin]->net.kind : Kind::open; };
    const Kind supply = kind(part_->supply), ground = kind(part_->ground);
    if (supply == Kind::zero && ground == Kind::one) {
      error(offset_of(chip, part_->supply),
            fmt::format("supply and ground of '{}' are exchanged: of a {}, pin {} is the supply and pin {} the ground", text(chip.name),
                        chip.part, part_->supply, part_->ground),
            "a chip with its supply reversed gets hot and dies");
      return true;
    }
    const auto judge = [&](std::uint32_t pin, Kind is, Kind wanted, std::string_view name) {
      if (is == wanted) return true;
      warning(offset_of(chip, pin), "no-power",
              fmt::format("pin {} of '{}', the {} of the {}, is {}", pin, text(chip.name), name, chip.part,
                          is == Kind::open ? "not connected" : "on " + net_text(by_number_[pin]->net)),
              fmt::format("{}write {}={}; without it the chip drives nothing", ordinary_name(pin), pin, wanted == Kind::one ? 1 : 0));
      return false;
    };
    const bool has_supply = judge(part_->supply, supply, Kind::one, "supply");
    return judge(part_->ground, ground, Kind::zero, "ground") && has_supply;
  }

  /// A word to those who take a net for the supply because of its name.
  std::string ordinary_name(std::uint32_t pin) const {
    if (!is_on_net(pin) || by_number_[pin]->net.kind != Connection::Kind::net) return {};
    const auto name = text(by_number_[pin]->net.net);
    return level_of_power_name(name) ? fmt::format("'{}' is an ordinary name: ", name) : std::string();
  }

  bool has_one_end(const Connection& c) {
    return c.kind == Connection::Kind::net && !wide_.contains(c.net) && ends_[key_of(c)].count == 1;
  }

  void tell_single(const ChipSyntax& chip, std::uint32_t pin) {
    const Connection& net = by_number_[pin]->net;
    warning(by_number_[pin]->offset, "single-pin",
            fmt::format("{} is on pin {} of '{}' and nowhere else", net_text(net), pin, text(chip.name)),
            fmt::format("write '{}=_' if the pin is to stay open", pin));
    netlist_.reported_nets.push_back(net.net);
  }

  void place_gate(const ChipSyntax& chip, std::uint32_t g, bool is_powered, std::vector<std::uint32_t>& open_at_rest) {
    const PartGate& gate = part_->gates[g];
    const bool has_output = is_on_net(gate.output);
    const bool has_input = std::any_of(gate.inputs.begin(), gate.inputs.end(), [&](std::uint32_t pin) {
      return is_on_net(pin) && by_number_[pin]->net.kind == Connection::Kind::net;
    });
    if (!has_output && !has_input) {
      for (const std::uint32_t pin : gate.inputs) {
        if (!is_on_net(pin)) open_at_rest.push_back(pin);
      }
      return;
    }
    Connection output;
    output.kind = Connection::Kind::open;
    output.offset = offset_of(chip, gate.output);
    if (has_output && check_output(chip, g)) {
      output = by_number_[gate.output]->net;
      output.offset = by_number_[gate.output]->offset;
      if (has_one_end(output)) {
        tell_single(chip, gate.output);
        output.kind = Connection::Kind::open;
        output.net = no_symbol;
      }
    }
    std::vector<Connection> inputs;
    for (const std::uint32_t pin : gate.inputs) inputs.push_back(input_of(chip, g, pin));
    if (!is_powered) {
      if (output.kind == Connection::Kind::net) netlist_.reported_nets.push_back(output.net);
      for (const Connection& input : inputs) {
        if (input.kind == Connection::Kind::net) netlist_.reported_nets.push_back(input.net);
      }
      return;
    }
    const std::string name = fmt::format("{}_{}", text(chip.name), g + 1);
    const Symbol own = new_gate_name(name);
    netlist_.chip_gates.push_back({chip_, g, own});
    if (part_->output == Part::Output::open_collector) {
      Connection drain;
      drain.net = new_net_name(name + "_inner");
      drain.offset = output.offset;
      add_gate(chip, g, part_->kind, own, inputs, drain);
      Connection zero;
      zero.kind = Connection::Kind::zero;
      add_gate(chip, g, GateKind::bufif0, new_gate_name(name + "_pull"), {zero, drain}, output);
    } else {
      add_gate(chip, g, part_->kind, own, inputs, output);
    }
  }

  /// False when it must not be connected as it is; that has been told.
  bool check_output(const ChipSyntax& chip, std::uint32_t g) {
    const std::uint32_t pin = part_->gates[g].output;
    const Connection& net = by_number_[pin]->net;
    const std::uint32_t offset = by_number_[pin]->offset;
    const auto subject = [&] { return fmt::format("pin {} of '{}', the output of its gate {},", pin, text(chip.name), g + 1); };
    if (net.kind != Connection::Kind::net) {
      error(offset, fmt::format("{} is joined to {}", subject(), net_text(net)),
            fmt::format("of a {} pin {} drives; is the pin number right?", chip.part, pin));
      return false;
    }
    Ends& ends = ends_[key_of(net)];
    if (ends.is_cell_input || input_buses_.contains(net.net)) {
      error(offset, fmt::format("{} is on {}, an input of the cell", subject(), net_text(net)),
            fmt::format("of a {} pin {} drives; is the pin number right?", chip.part, pin));
      return false;
    }
    if (part_->output != Part::Output::push_pull) return true;
    if (ends.chip != no_id) {
      error(offset, fmt::format("{} is joined to pin {} of '{}', an output too, by {}", subject(), ends.pin,
                                text(netlist_.chips[ends.chip].name), net_text(net)),
            "only three-state and open-collector outputs may share a net");
      return false;
    }
    ends.chip = chip_;
    ends.pin = pin;
    return true;
  }

  Connection input_of(const ChipSyntax& chip, std::uint32_t g, std::uint32_t pin) {
    Connection input;
    input.offset = offset_of(chip, pin);
    if (is_on_net(pin)) {
      input = by_number_[pin]->net;
      input.offset = by_number_[pin]->offset;
      if (!has_one_end(input)) return input;
      tell_single(chip, pin);
    } else {
      warning(input.offset, "open-pin",
              fmt::format("pin {} of '{}', an input of its gate {}, is not connected", pin, text(chip.name), g + 1),
              floats_high_ ? "it reads as 1, and picks up noise: connect it to a net, to 0 or to 1"
                           : "it reads as unknown: connect it to a net, to 0 or to 1");
    }
    input.select = Connection::no_select;
    if (floats_high_) {
      input.kind = Connection::Kind::one;
      input.net = no_symbol;
      return input;
    }
    if (!is_on_net(pin)) {
      input.kind = Connection::Kind::net;
      input.net = new_net_name(fmt::format("{}_pin{}", text(chip.name), pin));
    }
    netlist_.reported_nets.push_back(input.net);
    return input;
  }

  Symbol new_gate_name(std::string name) {
    Symbol symbol = netlist_.symbols->intern(name);
    while (!taken_.insert(symbol).second || is_reserved(name)) symbol = netlist_.symbols->intern(name += '_');
    return symbol;
  }

  Symbol new_net_name(std::string name) {
    while (netlist_.symbols->find(name) != no_symbol) name += '_';
    return netlist_.symbols->intern(name);
  }

  void add_gate(const ChipSyntax& chip, std::uint32_t g, GateKind kind, Symbol name, const std::vector<Connection>& inputs,
                const Connection& output) {
    Statement statement;
    statement.kind = static_cast<Symbol>(kind);  // gate kinds are the first symbols
    statement.builtin = static_cast<std::int8_t>(kind);
    statement.name = name;
    statement.offset = statement.name_offset = output.offset;
    statement.first = static_cast<std::uint32_t>(netlist_.connections.size());
    statement.inputs = static_cast<std::uint32_t>(inputs.size());
    statement.outputs = 1;
    netlist_.connections.insert(netlist_.connections.end(), inputs.begin(), inputs.end());
    netlist_.connections.push_back(output);
    Attributes attributes;
    attributes.part = chip.part;
    attributes.place = netlist_.made_texts->emplace_back(fmt::format("{}.{}", text(chip.name), g + 1));
    attributes.offset = chip.part_offset;
    statement.attributes = static_cast<std::uint32_t>(netlist_.attributes.size());
    netlist_.attributes.push_back(attributes);
    made_->push_back(statement);
  }

  Netlist& netlist_;
  const Catalogue& catalogue_;
  Diagnostics& diagnostics_;
  std::uint32_t file_ = Place::none;
  std::vector<Statement>* made_ = nullptr;
  std::unordered_map<std::uint64_t, Ends> ends_;   // by net and bit
  std::unordered_set<Symbol> wide_, input_buses_;  // nets used as buses: their ends are not counted
  std::unordered_set<Symbol> taken_;               // names of statements
  // Of the chip at hand:
  std::uint32_t chip_ = 0;
  const Part* part_ = nullptr;
  bool floats_high_ = false;
  std::vector<const ChipPin*> by_number_;
};

}  // namespace

bool floats_high(std::string_view family) {
  constexpr std::array<std::string_view, 5> bipolar = {"LS", "ALS", "AS", "S", "F"};
  return std::find(bipolar.begin(), bipolar.end(), family) != bipolar.end();
}

void place_chips(Netlist& netlist, const Catalogue& catalogue, Diagnostics& diagnostics) {
  ChipPlacer(netlist, catalogue, diagnostics).run();
}

}  // namespace settle
