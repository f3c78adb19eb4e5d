// Syntax tree -> structural text of IEEE Std 1364-2005.
//
// A cell is a module; instances of cells are connected by name, gates by position with the output
// first (clause 7.1). Names that are keywords there are escaped (clause 3.7.1). Nets and instances of a
// module share one set of names (clause 4.11): an instance with the name of a net gets another. Inner
// buses are declared with the range that covers their uses, in the direction of the first; a part that
// runs against it is written bit by bit (clause 5.2.1). An open input cannot be (it is an error before).
#include <algorithm>
#include <array>
#include <map>
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "formats/foreign_names.h"
#include "formats/tree_text.h"
#include "settle/formats.h"
#include "settle/time.h"

namespace settle {
namespace {

// Annex B of the standard, the words that our names can meet.
constexpr std::array<std::string_view, 102> hdl_words = {
    "always", "and", "assign", "automatic", "begin", "buf", "bufif0", "bufif1", "case", "casex", "casez", "cell", "cmos", "config",
    "deassign", "default", "defparam", "design", "disable", "edge", "else", "end", "endcase", "endconfig", "endfunction",
    "endgenerate", "endmodule", "endprimitive", "endspecify", "endtable", "endtask", "event", "for", "force", "forever", "fork",
    "function", "generate", "genvar", "highz0", "highz1", "if", "ifnone", "incdir", "include", "initial", "inout", "input",
    "instance", "integer", "join", "large", "liblist", "library", "localparam", "macromodule", "medium", "module", "nand",
    "negedge", "nmos", "nor", "noshowcancelled", "not", "notif0", "notif1", "or", "output", "parameter", "pmos", "posedge",
    "primitive", "pull0", "pull1", "pulldown", "pullup", "real", "realtime", "reg", "release", "repeat", "scalared", "signed",
    "small", "specify", "specparam", "strong0", "strong1", "supply0", "supply1", "table", "task", "time", "tri", "triand",
    "trior", "trireg", "unsigned", "use", "vectored", "wait", "wire"};
constexpr std::array<std::string_view, 21> more_hdl_words = {
    "pulsestyle_onevent", "pulsestyle_ondetect", "rcmos", "rnmos", "rpmos", "rtran", "rtranif0", "rtranif1", "showcancelled",
    "tran", "tranif0", "tranif1", "tri0", "tri1", "uwire", "wand", "weak0", "weak1", "while", "wor", "xnor"};

class HdlWriter {
 public:
  explicit HdlWriter(const Netlist& netlist) : n_(netlist) {}

  std::string run() {
    write_timescale();
    for (std::size_t c = 0; c < n_.cells.size(); ++c) {
      if (c != 0) out_ += '\n';
      write_module(n_.cells[c]);
    }
    return std::move(out_);
  }

 private:
  /// A port or net as it is declared.
  struct Declared {
    bool is_bus = false, is_pin = false;
    bool has_direction = false;  ///< false: no slice yet, or one bit
    Select range;

    void cover(const Select& part) {
      const bool falls = has_direction ? range.msb > range.lsb : part.msb >= part.lsb;
      auto high = std::max(part.msb, part.lsb), low = std::min(part.msb, part.lsb);
      if (is_bus) {
        high = std::max({high, range.msb, range.lsb});
        low = std::min({low, range.msb, range.lsb});
      }
      range.msb = falls ? high : low;
      range.lsb = falls ? low : high;
      has_direction = has_direction || part.msb != part.lsb;
      is_bus = true;
    }
  };

  std::string name(Symbol symbol) const {
    const auto text = n_.symbols->text(symbol);
    const bool is_word = std::find(hdl_words.begin(), hdl_words.end(), text) != hdl_words.end() ||
                         std::find(more_hdl_words.begin(), more_hdl_words.end(), text) != more_hdl_words.end() || text == "xor";
    return is_word ? fmt::format("\\{} ", text) : std::string(text);
  }

  std::string range(const Select& s) const { return fmt::format("[{}:{}]", s.msb, s.lsb); }

  /// One unit for the file: the finest one used.
  void write_timescale() {
    for (const Attributes& a : n_.attributes) {
      if (!a.has_delay || a.unit == TimeUnit::none) continue;
      if (unit_ == TimeUnit::none || a.unit < unit_) unit_ = a.unit;
    }
    if (unit_ != TimeUnit::none) out_ += fmt::format("`timescale 1{0}/1{0}\n\n", name_of(unit_));
  }

  std::string delay(const DelayTriple& d, TimeUnit unit) const {
    std::uint64_t factor = 1;
    for (auto u = unit; u > unit_ && unit_ != TimeUnit::none; u = static_cast<TimeUnit>(static_cast<int>(u) - 1)) factor *= 1000;
    if (d.min == d.max) return fmt::format("{}", d.typ * factor);
    return fmt::format("{}:{}:{}", d.min * factor, d.typ * factor, d.max * factor);
  }

  std::string terminal(const Connection& c) const {
    switch (c.kind) {
      case Connection::Kind::zero: return "1'b0";
      case Connection::Kind::one: return "1'b1";
      case Connection::Kind::open: return "";
      case Connection::Kind::net: break;
    }
    if (c.select == Connection::no_select || !runs_against(n_.selects[c.select], declared_.at(c.net))) {
      return name(c.net) + select_text(n_, c.select);
    }
    const Select& s = n_.selects[c.select];
    std::string bits;
    for (std::uint32_t i = 0; i < s.width(); ++i) {
      bits += fmt::format("{}{}[{}]", i == 0 ? "{" : ", ", name(c.net), s.msb > s.lsb ? s.msb - i : s.msb + i);
    }
    return bits + '}';
  }

  static bool runs_against(const Select& part, const Declared& net) {
    return part.msb != part.lsb && net.has_direction && (part.msb > part.lsb) != (net.range.msb > net.range.lsb);
  }

  void write_ports(const CellSyntax& cell) {
    out_ += fmt::format("module {}", name(cell.name));
    bool first = true;
    const auto add = [&](const char* direction, const std::vector<PinDeclaration>& pins) {
      for (const PinDeclaration& pin : pins) {
        out_ += first ? "(\n" : ",\n";
        first = false;
        out_ += fmt::format("  {:6} {}{}", direction,
                            pin.select == Connection::no_select ? "" : range(n_.selects[pin.select]) + " ", name(pin.name));
      }
    };
    add("input", cell.inputs);
    add("output", cell.outputs);
    out_ += first ? ";\n" : "\n);\n";
  }

  void write_wires(const CellSyntax& cell) {
    // Inner nets, in the order of their first use; a bus covers all its bits.
    declared_.clear();
    std::vector<Symbol> wires;
    for (const auto* pins : {&cell.inputs, &cell.outputs}) {
      for (const PinDeclaration& pin : *pins) {
        const bool is_bus = pin.select != Connection::no_select;
        const Select range = is_bus ? n_.selects[pin.select] : Select{};
        declared_.emplace(pin.name, Declared{is_bus, true, range.msb != range.lsb, range});
      }
    }
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = n_.statements[cell.first_statement + s];
      for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
        const Connection& c = n_.connections[statement.first + i];
        if (c.kind != Connection::Kind::net) continue;
        const auto [at, is_new] = declared_.try_emplace(c.net);
        if (is_new) wires.push_back(c.net);
        if (!at->second.is_pin && c.select != Connection::no_select) at->second.cover(n_.selects[c.select]);
      }
    }
    for (const Symbol wire : wires) {
      const Declared& net = declared_.at(wire);
      out_ += fmt::format("  wire {}{};\n", net.is_bus ? range(net.range) + " " : "", name(wire));
    }
  }

  /// Names of the instances, and of the nets that stand for the open outputs of gates.
  void name_instances(const CellSyntax& cell) {
    std::unordered_set<std::string> taken;
    const auto free_name = [&](std::string wanted) {
      if (taken.empty()) {
        for (const auto& [net, declared] : declared_) taken.emplace(n_.symbols->text(net));
        for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
          taken.emplace(n_.symbols->text(n_.statements[cell.first_statement + s].name));
        }
      }
      return *taken.insert(ForeignNames::free_name(std::move(wanted), taken)).first;
    };
    instance_names_.assign(cell.statement_count, {});
    unused_nets_.clear();
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = n_.statements[cell.first_statement + s];
      const std::string text(n_.symbols->text(statement.name));
      instance_names_[s] = declared_.contains(statement.name) ? free_name(text) : name(statement.name);
      if (statement.builtin < 0 || n_.connections[statement.first + statement.inputs].kind != Connection::Kind::open) continue;
      const std::string& unused = unused_nets_[s] = free_name("unused_" + text);
      const bool is_bus = statement.range != Connection::no_select;
      out_ += fmt::format("  wire {}{};\n", is_bus ? range(n_.selects[statement.range]) + " " : "", unused);
    }
  }

  void write_statement(const CellSyntax& cell, std::uint32_t number) {
    const Statement& s = n_.statements[cell.first_statement + number];
    out_ += "  ";
    const Attributes* a = s.attributes == Connection::no_select ? nullptr : &n_.attributes[s.attributes];
    if (a != nullptr && (!a->part.empty() || !a->place.empty())) {
      out_ += "(* ";
      if (!a->part.empty()) out_ += fmt::format("part = \"{}\"{}", a->part, a->place.empty() ? " " : ", ");
      if (!a->place.empty()) out_ += fmt::format("place = \"{}\" ", a->place);
      out_ += "*) ";
    }
    out_ += s.builtin >= 0 ? std::string(n_.symbols->text(s.kind)) : name(s.kind);
    out_ += ' ';
    if (a != nullptr && a->has_delay) {
      out_ += a->rise == a->fall ? fmt::format("#({}) ", delay(a->rise, a->unit))
                                 : fmt::format("#({}, {}) ", delay(a->rise, a->unit), delay(a->fall, a->unit));
    }
    out_ += instance_names_[number];
    if (s.range != Connection::no_select) out_ += fmt::format(" {}", range(n_.selects[s.range]));
    out_ += '(';
    const auto connection = [&](std::uint32_t i) -> const Connection& { return n_.connections[s.first + i]; };
    if (s.builtin >= 0) {
      // An open output has no name of its own; a gate must drive a net.
      const auto unused = unused_nets_.find(number);
      out_ += unused != unused_nets_.end() ? unused->second : terminal(connection(s.inputs));
      for (std::uint32_t i = 0; i < s.inputs; ++i) out_ += ", " + terminal(connection(i));
    } else {
      const CellSyntax& target = n_.cells[static_cast<std::size_t>(n_.find_cell(s.kind))];
      for (std::uint32_t i = 0; i < s.inputs + s.outputs; ++i) {
        const Connection& c = connection(i);
        const Symbol pin = c.pin != no_symbol ? c.pin : i < s.inputs ? target.inputs[i].name : target.outputs[i - s.inputs].name;
        out_ += fmt::format("{}.{}({})", i == 0 ? "" : ", ", name(pin), terminal(c));
      }
    }
    out_ += ");\n";
  }

  void write_module(const CellSyntax& cell) {
    write_ports(cell);
    write_wires(cell);
    name_instances(cell);
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) write_statement(cell, s);
    out_ += "endmodule\n";
  }

  const Netlist& n_;
  std::string out_;
  TimeUnit unit_ = TimeUnit::none;
  std::map<Symbol, Declared> declared_;  // ports and nets of the module
  std::vector<std::string> instance_names_;
  std::unordered_map<std::uint32_t, std::string> unused_nets_;  // by number of the statement
};

}  // namespace

std::string write_ieee1364(const Netlist& netlist) { return HdlWriter(netlist).run(); }

}  // namespace settle
