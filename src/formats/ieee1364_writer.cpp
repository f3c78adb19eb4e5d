// Syntax tree -> structural text of IEEE Std 1364-2005.
//
// A cell is a module; instances of cells are connected by name, gates by position with the output
// first (clause 7.1). Names that are keywords there are escaped (clause 3.7.1). Inner buses are
// declared with the range that covers their uses. An open input cannot be (it is an error before).
#include <algorithm>
#include <array>
#include <map>

#include <fmt/format.h>

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
    return name(c.net) + select_text(n_, c.select);
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
    std::map<Symbol, std::size_t> index;
    struct Wire {
      Symbol name;
      bool is_bus;
      Select cover;
    };
    std::vector<Wire> wires;
    for (const auto* pins : {&cell.inputs, &cell.outputs}) {
      for (const PinDeclaration& pin : *pins) index.emplace(pin.name, std::size_t(-1));
    }
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const Statement& statement = n_.statements[cell.first_statement + s];
      for (std::uint32_t i = 0; i < statement.inputs + statement.outputs; ++i) {
        const Connection& c = n_.connections[statement.first + i];
        if (c.kind != Connection::Kind::net) continue;
        const bool is_bus = c.select != Connection::no_select;
        const Select select = is_bus ? n_.selects[c.select] : Select{};
        const auto [at, is_new] = index.emplace(c.net, wires.size());
        if (is_new) {
          wires.push_back({c.net, is_bus, {std::max(select.msb, select.lsb), std::min(select.msb, select.lsb), false}});
        } else if (at->second != std::size_t(-1) && is_bus) {
          Select& cover = wires[at->second].cover;
          cover.msb = std::max({cover.msb, select.msb, select.lsb});
          cover.lsb = std::min({cover.lsb, select.msb, select.lsb});
        }
      }
    }
    for (const Wire& wire : wires) {
      out_ += fmt::format("  wire {}{};\n", wire.is_bus ? range(wire.cover) + " " : "", name(wire.name));
    }
  }

  void write_statement(const Statement& s) {
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
    out_ += name(s.name);
    if (s.range != Connection::no_select) out_ += fmt::format(" {}", range(n_.selects[s.range]));
    out_ += '(';
    const auto connection = [&](std::uint32_t i) -> const Connection& { return n_.connections[s.first + i]; };
    if (s.builtin >= 0) {
      // An open output has no name of its own; a gate must drive a net.
      out_ += connection(s.inputs).kind == Connection::Kind::open ? fmt::format("unused_{}", n_.symbols->text(s.name))
                                                                   : terminal(connection(s.inputs));
      for (std::uint32_t i = 0; i < s.inputs; ++i) out_ += ", " + terminal(connection(i));
    } else {
      const CellSyntax& cell = n_.cells[static_cast<std::size_t>(n_.find_cell(s.kind))];
      for (std::uint32_t i = 0; i < s.inputs + s.outputs; ++i) {
        const Connection& c = connection(i);
        const Symbol pin = c.pin != no_symbol ? c.pin : i < s.inputs ? cell.inputs[i].name : cell.outputs[i - s.inputs].name;
        out_ += fmt::format("{}.{}({})", i == 0 ? "" : ", ", name(pin), terminal(c));
      }
    }
    out_ += ");\n";
  }

  void write_module(const CellSyntax& cell) {
    write_ports(cell);
    write_wires(cell);
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) write_statement(n_.statements[cell.first_statement + s]);
    out_ += "endmodule\n";
  }

  const Netlist& n_;
  std::string out_;
  TimeUnit unit_ = TimeUnit::none;
};

}  // namespace

std::string write_ieee1364(const Netlist& netlist) { return HdlWriter(netlist).run(); }

}  // namespace settle
