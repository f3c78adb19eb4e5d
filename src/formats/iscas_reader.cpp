// The netlist text of the ISCAS-85 and ISCAS-89 benchmark circuits -> syntax tree.
//
// INPUT(name), OUTPUT(name), name = KIND(name, ...), # comments; blanks and line ends only separate.
// Sources: Brglez and Fujiwara, Int. Symposium on Circuits and Systems, June 1985; Brglez, Bryan and
// Kozminski, same symposium, May 1989, 1929-1934. The text says no more of a DFF than that it loads
// at an implied common clock, so the clock becomes a pin, with a clear input for a known start.
//
// First all statements are gathered by number of the name, since names may come in any order and a
// changed name must not meet one that stays; then the cell is made. Linear in the text.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>

#include "formats/flip_flop_cells.h"
#include "formats/foreign_names.h"
#include "formats/netlist_maker.h"
#include "formats/readers.h"

namespace settle {
namespace {

struct IscasKind {
  std::string_view word;  // in capitals
  int kind;               // GateKind, or -1 for a flip-flop
};
constexpr std::array<IscasKind, 10> iscas_kinds = {{
    {"AND", static_cast<int>(GateKind::and_)},   {"NAND", static_cast<int>(GateKind::nand)},
    {"OR", static_cast<int>(GateKind::or_)},     {"NOR", static_cast<int>(GateKind::nor)},
    {"XOR", static_cast<int>(GateKind::xor_)},   {"XNOR", static_cast<int>(GateKind::xnor)},
    {"NOT", static_cast<int>(GateKind::not_)},   {"BUFF", static_cast<int>(GateKind::buf)},
    {"BUF", static_cast<int>(GateKind::buf)},    {"DFF", -1},
}};

std::string capitals(std::string_view word) {
  std::string result(word);
  for (char& c : result) c = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
  return result;
}

class IscasReader {
 public:
  IscasReader(std::uint32_t file, Sources& sources, Diagnostics& diagnostics)
      : text_(sources.text(file)), file_(file), sources_(sources), diagnostics_(diagnostics) {}

  Netlist read(const std::string& cell_name, FlipFlopForm form) {
    while (!diagnostics_.is_full()) {
      skip_blanks();
      if (at_ == text_.size()) break;
      if (!statement()) skip_line();
    }
    if (!diagnostics_.has_errors() && inputs_.empty() && outputs_.empty() && gates_.empty()) {
      fail(0, "there is no gate in this file", "a line is INPUT(name), OUTPUT(name) or name = KIND(name, ...)");
    }
    check_names();
    return make(cell_name, form);
  }

 private:
  struct Pin { std::uint32_t name, offset; };
  struct Gate {
    int kind;
    std::uint32_t output, offset, first, count;  // inputs in pins_
  };

  bool fail(std::size_t offset, std::string text, std::string hint = {}) {
    diagnostics_.error({file_, static_cast<std::uint32_t>(offset)}, std::move(text), std::move(hint));
    return false;
  }

  void skip_line() {
    while (at_ < text_.size() && text_[at_] != '\n') ++at_;
  }

  void skip_blanks() {
    for (;;) {
      while (at_ < text_.size() && (std::isspace(static_cast<unsigned char>(text_[at_])) != 0)) ++at_;
      if (at_ == text_.size() || text_[at_] != '#') return;
      skip_line();
    }
  }

  std::string_view word() {
    skip_blanks();
    const std::size_t begin = at_;
    while (at_ < text_.size() && static_cast<unsigned char>(text_[at_]) > ' ' &&
           std::string_view("(),=#").find(text_[at_]) == std::string_view::npos) {
      ++at_;
    }
    return text_.substr(begin, at_ - begin);
  }

  /// Reads `c`, or reports what stands there instead.
  bool expect(char c, std::string_view after) {
    skip_blanks();
    if (at_ < text_.size() && text_[at_] == c) {
      ++at_;
      return true;
    }
    return fail(std::min(at_, text_.size()), fmt::format("expected '{}' after {}, not {}", c, after, next_words()),
                "a line is INPUT(name), OUTPUT(name) or name = KIND(name, ...)");
  }

  std::string next_words() const {
    if (at_ >= text_.size()) return "the end of the file";
    std::size_t end = at_ + 1;
    while (end < text_.size() && end - at_ < 30 && static_cast<unsigned char>(text_[end]) > ' ') ++end;
    return fmt::format("'{}'", text_.substr(at_, end - at_));
  }

  bool statement() {
    const std::size_t begin = at_;
    const std::string_view first = word();
    if (first.empty()) return fail(begin, fmt::format("a statement starts with a name, not with {}", next_words()));
    skip_blanks();
    if (at_ < text_.size() && text_[at_] == '=') {
      ++at_;
      return gate(first, begin);
    }
    const std::string direction = capitals(first);
    if (direction != "INPUT" && direction != "OUTPUT") {
      return fail(begin, fmt::format("expected '=' after '{}', not {}", first, next_words()),
                  "a line is INPUT(name), OUTPUT(name) or name = KIND(name, ...)");
    }
    if (!expect('(', fmt::format("'{}'", first))) return false;
    skip_blanks();
    const std::size_t place = at_;
    const std::string_view name = word();
    if (name.empty()) return fail(place, fmt::format("expected a name, not {}", next_words()));
    if (!expect(')', fmt::format("'{}'", name))) return false;
    (direction == "INPUT" ? inputs_ : outputs_).push_back({names_.add(name), static_cast<std::uint32_t>(place)});
    return true;
  }

  bool gate(std::string_view output, std::size_t begin) {
    skip_blanks();
    const std::size_t kind_place = at_;
    const std::string kind = capitals(word());
    const auto found = std::find_if(iscas_kinds.begin(), iscas_kinds.end(), [&](const IscasKind& k) { return k.word == kind; });
    if (found == iscas_kinds.end()) {
      std::array<std::string_view, iscas_kinds.size()> words;
      std::transform(iscas_kinds.begin(), iscas_kinds.end(), words.begin(), [](const IscasKind& k) { return k.word; });
      const std::string_view nearest = nearest_name(kind, words);
      return fail(kind_place, kind.empty() ? fmt::format("expected a kind of gate, not {}", next_words())
                                           : fmt::format("'{}' is no kind of gate", text_.substr(kind_place, at_ - kind_place)),
                  nearest.empty() ? "the kinds are AND NAND OR NOR XOR XNOR NOT BUFF DFF"
                                  : fmt::format("did you mean '{}'?", nearest));
    }
    if (!expect('(', fmt::format("'{}'", kind))) return false;
    Gate gate{found->kind, names_.add(output), static_cast<std::uint32_t>(begin),
              static_cast<std::uint32_t>(pins_.size()), 0};
    for (;;) {
      skip_blanks();
      const std::size_t place = at_;
      const std::string_view name = word();
      if (name.empty()) return fail(place, fmt::format("expected the name of an input, not {}", next_words()));
      pins_.push_back({names_.add(name), static_cast<std::uint32_t>(place)});
      skip_blanks();
      if (at_ < text_.size() && text_[at_] == ',') {
        ++at_;
        continue;
      }
      if (!expect(')', fmt::format("'{}'", name))) return false;
      break;
    }
    gate.count = static_cast<std::uint32_t>(pins_.size()) - gate.first;
    const bool one_input = gate.kind < 0 || gate.kind <= static_cast<int>(GateKind::not_);
    if (one_input && gate.count != 1) {
      return fail(kind_place, fmt::format("{} has exactly one input, not {}", kind, gate.count));
    }
    gates_.push_back(gate);
    return true;
  }

  std::string line_of(std::uint32_t offset) const { return fmt::format("line {}", sources_.locate({file_, offset}).line); }

  /// Each net has one driver, each pin one line.
  void check_names() {
    std::vector<std::uint32_t> driver(names_.size(), no_symbol), output(names_.size(), no_symbol);
    const auto claim = [&](std::vector<std::uint32_t>& by, const Pin& pin, std::string_view what) {
      if (by[pin.name] != no_symbol) {
        fail(pin.offset, fmt::format("{} '{}' again; the first is in {}", what, names_.text(pin.name), line_of(by[pin.name])));
      } else {
        by[pin.name] = pin.offset;
      }
    };
    for (const Pin& pin : inputs_) claim(driver, pin, "a driver of");
    for (const Gate& gate : gates_) claim(driver, {gate.output, gate.offset}, "a driver of");
    for (const Pin& pin : outputs_) claim(output, pin, "an OUTPUT line for");
    is_input_.assign(names_.size(), false);
    is_output_.assign(names_.size(), false);
    for (const Pin& pin : inputs_) is_input_[pin.name] = true;
    for (const Pin& pin : outputs_) is_output_[pin.name] = true;
  }

  Netlist make(const std::string& cell_name, FlipFlopForm form) {
    const bool has_flip_flops = std::any_of(gates_.begin(), gates_.end(), [](const Gate& g) { return g.kind < 0; });
    const bool as_cells = has_flip_flops && form != FlipFlopForm::pins;
    for (const Gate& gate : gates_) {
      if (gate.kind < 0 && !as_cells) is_input_[gate.output] = true;
    }
    // Names of the text, then those that are added to it, so that they cannot meet.
    const auto clock = names_.add("clock "), clear = names_.add("clear_n ");
    std::vector<std::uint32_t> out_pin(names_.size(), no_symbol);  // of a net that is an input too
    for (const Pin& pin : outputs_) {
      if (is_input_[pin.name]) out_pin[pin.name] = names_.add(fmt::format("{} out", names_.text(pin.name)));
    }
    std::vector<std::uint32_t> next(gates_.size(), no_symbol);
    for (std::size_t g = 0; g < gates_.size() && !as_cells; ++g) {
      if (gates_[g].kind < 0) next[g] = names_.add(fmt::format("{} next", names_.text(gates_[g].output)));
    }

    NetlistMaker maker = as_cells ? NetlistMaker(flip_flop_cell(form, sources_, diagnostics_), file_) : NetlistMaker(file_);
    const Symbol flip_flop = maker.name("flip_flop");
    const std::vector<Symbol> own = names_.translate(maker.symbols());
    maker.open_cell(maker.name(cell_name), 0);
    for (const Pin& pin : inputs_) maker.add_input(own[pin.name], pin.offset);
    if (as_cells) {
      maker.add_input(own[clock], 0);
      maker.add_input(own[clear], 0);
    }
    for (const Gate& gate : gates_) {
      if (gate.kind < 0 && !as_cells) maker.add_input(own[gate.output], gate.offset);
    }
    for (const Pin& pin : outputs_) {
      // A flip-flop that has become an input cannot be an output as well.
      const bool taken = out_pin[pin.name] != no_symbol;
      maker.add_output(taken ? own[out_pin[pin.name]] : own[pin.name], pin.offset);
    }
    for (std::size_t g = 0; g < gates_.size(); ++g) {
      if (next[g] != no_symbol) maker.add_output(own[next[g]], gates_[g].offset);
    }
    const auto buffer = [&](std::uint32_t from, std::uint32_t to, std::uint32_t offset) {
      maker.open_gate(GateKind::buf, own[to], offset);
      maker.connect_input(connection_to(own[from], offset));
      maker.connect_output(connection_to(own[to], offset));
      maker.close_statement();
    };
    for (std::size_t g = 0; g < gates_.size(); ++g) {
      const Gate& gate = gates_[g];
      if (gate.kind < 0 && !as_cells) {
        buffer(pins_[gate.first].name, next[g], gate.offset);
        continue;
      }
      if (gate.kind < 0) {
        maker.open_instance(flip_flop, own[gate.output], gate.offset);
      } else {
        maker.open_gate(static_cast<GateKind>(gate.kind), own[gate.output], gate.offset);
      }
      for (std::uint32_t i = 0; i < gate.count; ++i) {
        maker.connect_input(connection_to(own[pins_[gate.first + i].name], pins_[gate.first + i].offset));
      }
      if (gate.kind < 0) {
        maker.connect_input(connection_to(own[clock], gate.offset));
        maker.connect_input(connection_to(own[clear], gate.offset));
      }
      maker.connect_output(connection_to(own[gate.output], gate.offset));
      maker.close_statement();
    }
    for (const Pin& pin : outputs_) {
      if (out_pin[pin.name] != no_symbol) buffer(pin.name, out_pin[pin.name], pin.offset);
    }
    maker.close_cell();
    return maker.take();
  }

  std::string_view text_;
  std::uint32_t file_;
  Sources& sources_;
  Diagnostics& diagnostics_;
  std::size_t at_ = 0;
  ForeignNames names_;
  std::vector<Pin> inputs_, outputs_, pins_;
  std::vector<Gate> gates_;
  std::vector<bool> is_input_, is_output_;
};

}  // namespace

Netlist read_iscas(std::uint32_t file, const std::string& cell_name, FlipFlopForm form, Sources& sources,
                   Diagnostics& diagnostics) {
  return IscasReader(file, sources, diagnostics).read(cell_name, form);
}

}  // namespace settle
