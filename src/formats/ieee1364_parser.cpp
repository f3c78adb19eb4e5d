// Structural subset of IEEE Std 1364-2005 -> HdlFile. Grammar: annex A; the clause of everything
// outside the subset is named in its message (clause numbers from memory).
//
// One pass, one token of look-ahead; an error costs its item, up to the next ';'. Linear.
#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include <fmt/format.h>

#include "formats/ieee1364_lexer.h"
#include "formats/ieee1364_delays.h"
#include "formats/ieee1364_tree.h"
#include "formats/ieee1364_words.h"
#include "settle/diagnostic.h"
#include "settle/time.h"

namespace settle {
namespace {

using Kind = HdlToken::Kind;

class Ieee1364Parser {
 public:
  Ieee1364Parser(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits)
      : file_(file), sources_(sources), diagnostics_(diagnostics), limits_(limits), lexer_(sources.text(file), file, diagnostics) {
    advance();
  }

  HdlFile parse() {
    while (token_.kind != Kind::end && !diagnostics_.is_full()) {
      if (take_word("module")) {
        parse_module();
      } else if (token_.is_word("endmodule")) {
        fail("'endmodule' without a module to end");
        advance();
      } else if (!say_outside()) {
        fail(fmt::format("expected 'module', not {}", quoted()));
        skip_to_module();
      } else {
        skip_to_module();
      }
    }
    return std::move(parsed_);
  }

 private:
  void advance() {
    for (;;) {
      token_ = lexer_.next();
      if (token_.kind == Kind::directive) {
        directive();
      } else if (token_.is("(*")) {
        attribute();
      } else {
        return;
      }
    }
  }

  bool fail(std::string text, std::string hint = {}) { return fail_at(token_.offset, std::move(text), std::move(hint)); }
  bool fail_at(std::uint32_t offset, std::string text, std::string hint = {}) {
    diagnostics_.error({file_, offset}, std::move(text), std::move(hint));
    return false;
  }
  bool fail_outside(std::uint32_t offset, std::string_view what, std::string_view clause) {
    return fail_at(offset, fmt::format("{} is outside the structural subset (IEEE 1364-2005, clause {})", what, clause),
                   "docs/formats.md lists what is read");
  }
  bool say_outside() {
    const HdlOutside* found = token_.kind == Kind::name ? find_outside(token_.text) : nullptr;
    if (found == nullptr) return false;
    fail_outside(token_.offset, fmt::format("'{}', {},", found->word, found->what), found->clause);
    return true;
  }
  std::string quoted() const {
    if (token_.kind == Kind::end) return "the end of the file";
    return fmt::format("'{}'", token_.text.substr(0, 40));
  }
  bool take(std::string_view mark) {
    if (!token_.is(mark)) return false;
    advance();
    return true;
  }
  bool take_word(std::string_view word) {
    if (!token_.is_word(word)) return false;
    advance();
    return true;
  }
  bool expect(std::string_view mark, std::string_view after) {
    if (take(mark)) return true;
    return fail(fmt::format("expected '{}' after {}, not {}", mark, after, quoted()));
  }
  void skip_item() {
    while (token_.kind != Kind::end && !token_.is(";") && !token_.is_word("endmodule")) advance();
    take(";");
  }
  void skip_to_module() {
    do advance();
    while (token_.kind != Kind::end && !token_.is_word("module"));
  }

  void directive() {
    const auto word = token_.text;
    const auto place = token_.offset;
    if (word == "timescale") {
      parse_timescale(rest_of_directive(), place);
    } else if (word == "default_nettype") {
      default_net_type(rest_of_directive(), place);
    } else if (word == "resetall") {
      scale_ = {};
      wants_declarations_ = false;
    } else if (word != "celldefine" && word != "endcelldefine" && word != "nounconnected_drive") {
      fail_outside(place, fmt::format("the directive '`{}'", word), "19");
      lexer_.rest_of_line();
    }
  }

  /// The rest of the line, without blanks around it and without a comment.
  std::string_view rest_of_directive() {
    std::string_view text = lexer_.rest_of_line();
    text = text.substr(0, std::min(text.find("//"), text.find("/*")));
    const auto begin = text.find_first_not_of(" \t\r\f");
    if (begin == std::string_view::npos) return {};
    return text.substr(begin, text.find_last_not_of(" \t\r\f") + 1 - begin);
  }

  void default_net_type(std::string_view type, std::uint32_t place) {
    wants_declarations_ = type == "none";
    if (type == "none" || type == "wire" || type == "tri") return;
    if (const HdlOutside* found = find_outside(type)) {
      fail_outside(place, fmt::format("'{}', {},", type, found->what), found->clause);
    } else {
      fail_at(place, fmt::format("'{}' is no type of nets", type), "wire, tri or none (clause 19.2)");
    }
  }

  void parse_timescale(std::string_view text, std::uint32_t place) {
    if (const auto scale = parse_time_scale(text)) {
      scale_ = *scale;
    } else {
      fail_at(place, "this is no time scale", "for example: `timescale 1ns / 100ps; the second, the precision, is no coarser (clause 19.8)");
    }
  }

  /// (* part = "74HC02", place = "U1.2" *): these two are kept, others mean nothing here.
  void attribute() {
    std::string_view name;
    for (HdlToken t = lexer_.next(); !t.is("*)"); t = lexer_.next()) {
      if (t.kind == Kind::end) {
        fail_at(token_.offset, "this attribute has no end", "close it with '*)'");
        return;
      }
      if (t.kind == Kind::name) name = t.text;
      if (t.kind != Kind::string || (name != "part" && name != "place")) continue;
      if (!is_attribute_word(t.text)) {
        fail_at(t.offset, fmt::format("'{}' cannot be a {}", t.text, name));
        continue;
      }
      (name == "part" ? next_part_ : next_place_) = t.text;
    }
  }

  // ---- Modules and declarations

  HdlModule& module() { return parsed_.modules.back(); }

  std::uint32_t net_number(std::string_view name, std::uint32_t offset) {
    const std::uint32_t number = module().names.add(name);
    if (number == module().nets.size()) {
      module().nets.emplace_back();
      module().nets.back().offset = offset;
      module().nets.back().wants_declaration = wants_declarations_;
    }
    return number;
  }

  /// An identifier that is no keyword.
  bool identifier(std::string_view what, HdlToken& name) {
    name = token_;
    if (!token_.is_identifier() || (token_.kind == Kind::name && is_hdl_keyword(token_.text))) {
      if (token_.is_identifier() && say_outside()) return false;
      return fail(fmt::format("expected the name of {}, not {}", what, quoted()));
    }
    if (token_.text.empty()) return fail("an escaped name needs at least one character");
    advance();
    if (token_.is(".")) return fail_outside(name.offset, fmt::format("a hierarchical name, '{}.',", name.text), "12.5");
    return true;
  }

  void parse_module() {
    HdlToken name;
    parsed_.modules.emplace_back();
    module().offset = token_.offset;
    if (!identifier("a module", name)) {
      skip_item();
    } else {
      module().name = name.text;
      for (std::size_t m = 0; m + 1 < parsed_.modules.size(); ++m) {
        if (parsed_.modules[m].name == name.text) {
          fail_at(name.offset, fmt::format("module '{}' again; the first is in line {}", name.text,
                                           sources_.locate({file_, parsed_.modules[m].offset}).line));
        }
      }
      if (!parse_header()) skip_item();
    }
    while (!token_.is_word("endmodule")) {
      if (token_.kind == Kind::end || token_.is_word("module")) {
        fail(fmt::format("module '{}' has no end", module().name), "close it with 'endmodule'");
        check_ports();
        return;
      }
      if (diagnostics_.is_full()) return;
      // What stands in front of an item was read when the one before it ended.
      part_ = std::exchange(next_part_, {});
      place_ = std::exchange(next_place_, {});
      if (!parse_item()) skip_item();
    }
    check_ports();
    advance();
  }

  bool parse_header() {
    if (token_.is("#")) return fail_outside(token_.offset, "a module parameter list", "12.2");
    if (take(";")) return true;
    if (!expect("(", "the name of the module")) return false;
    if (take(")")) return expect(";", "the ports");
    if (token_.is_word("input") || token_.is_word("output") || token_.is_word("inout")) {
      HdlNet::Role role = HdlNet::Role::input;
      std::optional<HdlRange> range;
      do {
        if (token_.is_word("input") || token_.is_word("output")) {
          role = token_.is_word("input") ? HdlNet::Role::input : HdlNet::Role::output;
          advance();
          if (!net_type_words() || !parse_optional_range(range)) return false;
        }
        if (!declare(role, range, true)) return false;
      } while (take(","));
    } else {
      do {
        if (token_.is(".")) return fail_outside(token_.offset, "a port with a name of its own", "12.3.2");
        HdlToken name;
        if (!identifier("a port", name)) return false;
        if (token_.is("[")) return fail_outside(token_.offset, "a port that is a part of a net", "12.3.2");
        const std::uint32_t number = net_number(name.text, name.offset);
        if (module().nets[number].is_in_header) return fail_at(name.offset, fmt::format("port '{}' again", name.text));
        module().nets[number].is_in_header = true;
        module().ports.push_back(number);
      } while (take(","));
    }
    return expect(")", "the ports") && expect(";", "the header");
  }

  /// `wire`, `tri`, `signed`, ... after a direction; `reg` is outside.
  bool net_type_words() {
    if (token_.is_word("reg")) return !say_outside();
    take_word("wire") || take_word("tri");
    if (token_.is_word("signed")) return fail_outside(token_.offset, "a signed net", "4.3");
    return true;
  }

  bool declare(HdlNet::Role role, const std::optional<HdlRange>& range, bool in_header) {
    HdlToken name;
    if (!identifier(role == HdlNet::Role::input || role == HdlNet::Role::output ? "a port" : "a net", name)) return false;
    const std::uint32_t number = net_number(name.text, name.offset);
    HdlNet& net = module().nets[number];
    const bool is_port = role == HdlNet::Role::input || role == HdlNet::Role::output;
    const bool was_port = net.role == HdlNet::Role::input || net.role == HdlNet::Role::output;
    if (in_header) {
      if (net.is_in_header) return fail_at(name.offset, fmt::format("port '{}' again", name.text));
      net.is_in_header = true;
      module().ports.push_back(number);
    } else if (is_port && !net.is_in_header) {
      return fail_at(name.offset, fmt::format("'{}' is no port of module '{}'", name.text, module().name), "add it to the ports in the header");
    }
    if (is_port && was_port) return fail_at(name.offset, fmt::format("port '{}' has a direction already", name.text));
    // A port may be declared as a wire as well, with the same range (clause 12.3.3).
    if (net.is_declared && net.range != range) {
      return fail_at(name.offset, fmt::format("'{}' was declared with another range in line {}", name.text,
                                              sources_.locate({file_, net.offset}).line));
    }
    if (net.is_declared && !is_port && !was_port) return fail_at(name.offset, fmt::format("net '{}' again", name.text));
    net.range = range;
    net.is_declared = true;
    if (is_port || !was_port) net.role = role;
    net.offset = name.offset;
    return true;
  }

  void check_ports() {
    for (const std::uint32_t port : module().ports) {
      const HdlNet& net = module().nets[port];
      if (net.role != HdlNet::Role::input && net.role != HdlNet::Role::output) {
        fail_at(net.offset, fmt::format("port '{}' has no direction", module().names.text(port)), "declare it with 'input' or 'output'");
      }
    }
    for (std::uint32_t n = 0; n < module().nets.size(); ++n) {
      const HdlNet& net = module().nets[n];
      if (!net.wants_declaration || net.is_declared || net.is_in_header) continue;
      fail_at(net.offset, fmt::format("net '{}' is not declared", module().names.text(n)),
              "`default_nettype none asks for it (clause 19.2)");
    }
  }

  bool parse_number(std::uint32_t& value) {
    const auto result = std::from_chars(token_.text.data(), token_.text.data() + token_.text.size(), value);
    if (token_.kind != Kind::number || result.ec != std::errc() || result.ptr != token_.text.data() + token_.text.size()) {
      if (token_.is_identifier() || token_.is("(")) return fail_outside(token_.offset, "an expression in a range", "5");
      return fail(fmt::format("expected a whole number, not {}", quoted()));
    }
    advance();
    return true;
  }

  bool parse_range(HdlRange& range) {
    const auto place = token_.offset;
    if (!expect("[", "") || !parse_number(range.msb)) return false;
    if (!expect(":", "the first bit") || !parse_number(range.lsb) || !expect("]", "the range")) return false;
    return check_width(range, place);
  }
  bool check_width(const HdlRange& r, std::uint32_t place) {
    const std::uint64_t width = (r.msb > r.lsb ? std::uint64_t{r.msb} - r.lsb : std::uint64_t{r.lsb} - r.msb) + 1;
    if (width <= limits_.bus_width) return true;
    return fail_at(place, fmt::format("{} bits are more than the limit of {}", width, limits_.bus_width));
  }
  bool parse_optional_range(std::optional<HdlRange>& range) {
    range.reset();
    if (!token_.is("[")) return true;
    HdlRange r;
    if (!parse_range(r)) return false;
    range = r;
    return true;
  }

  // ---- Items

  bool parse_item() {
    if (take(";")) return true;
    static constexpr std::array<std::pair<std::string_view, HdlNet::Role>, 6> declarations = {{
        {"input", HdlNet::Role::input}, {"output", HdlNet::Role::output}, {"wire", HdlNet::Role::wire},
        {"tri", HdlNet::Role::wire}, {"supply0", HdlNet::Role::supply0}, {"supply1", HdlNet::Role::supply1}}};
    for (const auto& [word, role] : declarations) {
      if (take_word(word)) return parse_declaration(role);
    }
    if (take_word("assign")) return parse_assigns();
    if (say_outside()) {
      skip_block();
      return true;
    }
    if (token_.kind == Kind::name) {
      if (const auto kind = gate_kind_from(token_.text)) {
        advance();
        return parse_gates(*kind);
      }
    }
    HdlToken name;
    return identifier("a gate or a module", name) && parse_instances(name);
  }

  /// Jumps over an item that is outside, with all it holds, so that it is told only once.
  void skip_block() {
    static constexpr std::array<std::pair<std::string_view, std::string_view>, 7> blocks = {{
        {"specify", "endspecify"}, {"function", "endfunction"}, {"task", "endtask"}, {"generate", "endgenerate"},
        {"primitive", "endprimitive"}, {"config", "endconfig"}, {"case", "endcase"}}};
    for (const auto& [open, close] : blocks) {
      if (!token_.is_word(open)) continue;
      while (token_.kind != Kind::end && !token_.is_word(close) && !token_.is_word("endmodule")) advance();
      take_word(close);
      return;
    }
    // A statement: one ';', or as many 'end' as 'begin' where it is a block.
    std::size_t depth = 0;
    for (; token_.kind != Kind::end && !token_.is_word("endmodule"); advance()) {
      if (token_.is_word("begin") || token_.is_word("case")) ++depth;
      const bool closes = token_.is_word("end") || token_.is_word("endcase");
      if (closes && depth > 0) --depth;
      if (depth == 0 && (closes || token_.is(";"))) {
        advance();
        return;
      }
    }
  }

  bool parse_declaration(HdlNet::Role role) {
    std::optional<HdlRange> range;
    const bool is_port = role == HdlNet::Role::input || role == HdlNet::Role::output;
    if (is_port && !net_type_words()) return false;
    take_word("scalared") || take_word("vectored");
    if (token_.is_word("signed")) return fail_outside(token_.offset, "a signed net", "4.3");
    if (token_.is("(")) return fail_outside(token_.offset, "a drive strength", "7.9");
    if (!parse_optional_range(range)) return false;
    if (token_.is("#")) return fail_outside(token_.offset, "a net delay", "7.14");
    do {
      const HdlToken name = token_;
      if (!declare(role, range, false)) return false;
      if (token_.is("[")) return fail_outside(token_.offset, "an array of nets", "4.9");
      if (token_.is("=")) {
        // wire a = b; is a declaration and an assign (clause 6.1.1).
        advance();
        HdlAssign assign;
        assign.to.kind = HdlTerminal::Kind::net;
        assign.to.net = module().names.find(name.text);
        assign.to.offset = name.offset;
        if (!parse_terminal(assign.from)) return false;
        module().assigns.push_back(assign);
      }
    } while (take(","));
    return expect(";", "the declaration");
  }

  bool parse_assigns() {
    if (token_.is("#")) return fail_outside(token_.offset, "an assign with a delay", "6.1.3");
    if (token_.is("(")) return fail_outside(token_.offset, "a drive strength", "6.1.4");
    do {
      HdlAssign assign;
      if (!parse_terminal(assign.to) || !expect("=", "the net assigned to") || !parse_terminal(assign.from)) return false;
      if (assign.to.kind != HdlTerminal::Kind::net) return fail_at(assign.to.offset, "only a net can be assigned to");
      module().assigns.push_back(assign);
    } while (take(","));
    return expect(";", "the assign");
  }

  /// A net, a bit or part of one, or 1'b0 or 1'b1.
  bool parse_terminal(HdlTerminal& t) {
    t.offset = token_.offset;
    if (token_.kind == Kind::number) {
      std::string_view digits = token_.text;
      if (const auto quote = digits.find('\''); quote != std::string_view::npos && digits.size() == quote + 3) {
        const char size = quote == 0 ? '1' : digits[0], base = digits[quote + 1];
        if (quote <= 1 && size == '1' && (base == 'b' || base == 'B' || base == 'd' || base == 'h' || base == 'o')) digits = digits.substr(quote + 2);
      }
      if (digits != "0" && digits != "1") {
        return fail_outside(token_.offset, fmt::format("the constant '{}', which is not one bit 0 or 1,", token_.text), "3.5.1");
      }
      t.kind = digits == "0" ? HdlTerminal::Kind::zero : HdlTerminal::Kind::one;
      advance();
      return check_expression_end();
    }
    if (token_.is("{")) return parse_bits(t) && check_expression_end();
    if (token_.kind == Kind::mark) return fail_outside(token_.offset, fmt::format("an expression ('{}')", token_.text), "5");
    HdlToken name;
    if (!identifier("a net", name)) return false;
    t.kind = HdlTerminal::Kind::net;
    t.net = net_number(name.text, name.offset);
    if (token_.is("[")) {
      HdlRange range;
      const auto place = token_.offset;
      advance();
      if (!parse_number(range.msb)) return false;
      range.lsb = range.msb;
      t.is_bit = !token_.is(":");
      if (token_.is("+") || token_.is("-")) return fail_outside(token_.offset, "an indexed part-select", "5.2.1");
      if (!t.is_bit) {
        advance();
        if (!parse_number(range.lsb)) return false;
      }
      if (!expect("]", "the select") || !check_width(range, place)) return false;
      t.select = range;
    }
    return check_expression_end();
  }

  /// {a[1], a[2]}: neighbouring bits of one net; other concatenations are outside.
  bool parse_bits(HdlTerminal& t) {
    HdlRange range;
    std::uint32_t count = 0;
    do {
      advance();
      HdlTerminal bit;
      if (!token_.is_identifier()) return fail_outside(t.offset, "a concatenation", "5.1.14");
      if (!parse_terminal(bit)) return false;
      const bool falls = range.lsb < range.msb;
      const bool fits = count == 0 || (bit.net == t.net && bit.is_bit &&
                                       ((bit.select->lsb + 1 == range.lsb && (count == 1 || falls)) ||
                                        (bit.select->lsb == range.lsb + 1 && (count == 1 || !falls))));
      if (!bit.is_bit) return fail_outside(t.offset, "a concatenation", "5.1.14");
      if (!fits) return fail_outside(t.offset, "a concatenation of other than neighbouring bits of one net", "5.1.14");
      if (count++ == 0) range.msb = bit.select->msb;
      range.lsb = bit.select->lsb;
      t.kind = HdlTerminal::Kind::net;
      t.net = bit.net;
    } while (token_.is(","));
    t.select = range;
    t.is_bit = count == 1;
    t.is_list = true;
    return expect("}", "the bits") && check_width(range, t.offset);
  }

  bool check_expression_end() {
    if (token_.kind != Kind::mark || token_.is(",") || token_.is(")") || token_.is(";") || token_.is("=") || token_.is("}")) return true;
    return fail_outside(token_.offset, fmt::format("an expression ('{}')", token_.text), "5");
  }

  /// One number: whole, or with decimals that a finer unit turns whole.
  bool parse_delay_number(double& value) {
    const std::string text(token_.text);
    if (token_.kind != Kind::number || text.find('\'') != std::string::npos) {
      return token_.is_identifier() ? fail_outside(token_.offset, "a delay that is an expression", "5")
                                    : fail(fmt::format("expected a delay, not {}", quoted()));
    }
    const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
    if (result.ec != std::errc() || result.ptr != text.data() + text.size() || value > 1e15) return fail(fmt::format("'{}' is no delay", text));
    if (value == 0) return fail("a gate without delay cannot be simulated here", "gates have a delay of at least 1; leave '#0' out for one unit");
    advance();
    return true;
  }

  bool parse_delays(HdlInstance& gate, GateKind kind) {
    const auto place = token_.offset;
    advance();  // '#'
    std::array<std::array<double, 3>, 3> delays{};
    std::size_t count = 0;
    if (take("(")) {
      do {
        if (count == 3) return fail("a gate has at most three delays");
        auto& d = delays[count++];
        if (!parse_delay_number(d[0])) return false;
        d[1] = d[2] = d[0];
        if (take(":") && (!parse_delay_number(d[1]) || !expect(":", "the typical delay") || !parse_delay_number(d[2]))) return false;
        if (d[0] > d[1] || d[1] > d[2]) return fail_at(place, "the three delays of min:typ:max must not fall");
      } while (take(","));
      if (!expect(")", "the delays")) return false;
    } else {
      count = 1;
      if (!parse_delay_number(delays[0][0])) return false;
      delays[0][1] = delays[0][2] = delays[0][0];
    }
    if (is_pull(kind)) return fail_at(place, "a pull has no delay (clause 7.8)");
    if (scale_.unit == TimeUnit::none) {
      if (first_unscaled_ == no_place) first_unscaled_ = place;
    } else if (first_unscaled_ != no_place) {
      const auto unscaled = std::exchange(first_unscaled_, no_place);
      return fail_at(unscaled, "this delay has no time scale, but others in the file have one",
                     "put a `timescale in front of the first module, or none at all");
    }
    if (count == 3) return fail_outside(place, "a turn-off delay of its own", "7.14");
    const std::string_view wrong = set_delays({delays[0], delays[count - 1]}, scale_, place, gate);
    return wrong.empty() || fail_at(place, std::string(wrong), "for example: `timescale 1ns / 100ps in front of the module");
  }

  void keep_attributes(HdlInstance& instance) const {
    instance.attributes.part = part_;
    instance.attributes.place = place_;
    instance.has_attributes = instance.has_attributes || !part_.empty() || !place_.empty();
  }

  bool parse_gates(GateKind kind) {
    HdlInstance common;
    common.kind = static_cast<int>(kind);
    if (token_.is("(") && !is_pull(kind)) {
      // ( strength , strength ) or the terminals of a gate without a name: the words tell.
      const HdlToken open = token_;
      advance();
      for (const std::string_view word : {"supply0", "supply1", "strong0", "strong1", "pull0", "pull1", "weak0", "weak1", "highz0", "highz1"}) {
        if (token_.is_word(word)) return fail_outside(open.offset, "a drive strength", "7.9");
      }
      common.offset = open.offset;
      return parse_gate_terminals(common, kind) && more_gates(common, kind);
    }
    if (token_.is("#") && !parse_delays(common, kind)) return false;
    return one_gate(common, kind) && more_gates(common, kind);
  }

  bool more_gates(const HdlInstance& common, GateKind kind) {
    while (take(",")) {
      if (!one_gate(common, kind)) return false;
    }
    return expect(";", "the gate");
  }

  bool one_gate(HdlInstance gate, GateKind kind) {
    gate.offset = token_.offset;
    if (!token_.is("(")) {
      HdlToken name;
      if (!identifier("a gate", name) || !parse_optional_range(gate.range)) return false;
      gate.name = name.text;
    }
    return expect("(", "the gate") && parse_gate_terminals(gate, kind);
  }

  /// After '(': outputs first. A buf or not with several outputs becomes several gates.
  bool parse_gate_terminals(HdlInstance gate, GateKind kind) {
    std::vector<HdlTerminal> all;
    do {
      if (token_.is(".")) return fail("a gate is connected by position (clause 7.1)");
      HdlTerminal t;
      if (!parse_terminal(t)) return false;
      all.push_back(t);
    } while (take(","));
    if (!expect(")", "the terminals")) return false;
    const bool many_outputs = kind == GateKind::buf || kind == GateKind::not_ || is_pull(kind);
    const std::size_t inputs = is_pull(kind) ? 0 : many_outputs ? 1 : all.size() - 1;
    const FanInRange range = fan_in_of(kind);
    if (all.size() < inputs + 1 || inputs < range.least || inputs > range.most) {
      return fail_at(gate.offset, fmt::format("'{}' cannot have {} terminal{}", name_of(kind), all.size(), all.size() == 1 ? "" : "s"));
    }
    keep_attributes(gate);
    for (std::size_t output = 0; output < (many_outputs ? all.size() - inputs : 1); ++output) {
      if (all[output].kind != HdlTerminal::Kind::net) return fail_at(all[output].offset, "the output of a gate must be a net");
      gate.first = static_cast<std::uint32_t>(module().terminals.size());
      module().terminals.push_back(all[output]);
      module().terminals.insert(module().terminals.end(), all.end() - static_cast<std::ptrdiff_t>(inputs), all.end());
      gate.count = static_cast<std::uint32_t>(inputs) + 1;
      module().instances.push_back(gate);
    }
    return true;
  }

  bool parse_instances(const HdlToken& module_name) {
    if (token_.is("#")) return fail_outside(token_.offset, "a parameter value", "12.2.2");
    do {
      HdlInstance instance;
      instance.module = module_name.text;
      instance.offset = module_name.offset;
      if (token_.is("(")) return fail(fmt::format("an instance of module '{}' needs a name (clause 12.1.2)", module_name.text));
      HdlToken name;
      if (!identifier("an instance", name) || !parse_optional_range(instance.range)) return false;
      instance.name = name.text;
      instance.offset = name.offset;
      keep_attributes(instance);
      if (!expect("(", "the instance") || !parse_connections(instance)) return false;
      module().instances.push_back(instance);
    } while (take(","));
    return expect(";", "the instance");
  }

  bool parse_connections(HdlInstance& instance) {
    instance.first = static_cast<std::uint32_t>(module().terminals.size());
    instance.by_name = token_.is(".");
    if (take(")")) return true;
    do {
      HdlTerminal t;
      t.offset = token_.offset;
      if (token_.is(".") != instance.by_name) return fail("the connections are partly by name and partly by position (clause 12.3.6)");
      if (instance.by_name) {
        advance();
        HdlToken port;
        if (!identifier("a port", port) || !expect("(", "the port")) return false;
        const auto number = parsed_.port_names.add(port.text);
        if (!token_.is(")") && !parse_terminal(t)) return false;
        t.port = number;
        t.offset = port.offset;
        if (!expect(")", "the net")) return false;
      } else if (!token_.is(",") && !token_.is(")") && !parse_terminal(t)) {
        return false;
      }
      module().terminals.push_back(t);
    } while (take(","));
    instance.count = static_cast<std::uint32_t>(module().terminals.size()) - instance.first;
    return expect(")", "the connections");
  }

  std::uint32_t file_;
  const Sources& sources_;
  Diagnostics& diagnostics_;
  ParseLimits limits_;
  HdlLexer lexer_;
  HdlToken token_;
  HdlFile parsed_;
  HdlTimeScale scale_;
  bool wants_declarations_ = false;          // after `default_nettype none
  static constexpr std::uint32_t no_place = 0xffffffffu;
  std::uint32_t first_unscaled_ = no_place;  // a delay without a time scale, not yet told
  std::string_view part_, place_;            // of the attributes in front of the item
  std::string_view next_part_, next_place_;  // of those in front of the next one
};

}  // namespace

HdlFile parse_ieee1364(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits) {
  return Ieee1364Parser(file, sources, diagnostics, limits).parse();
}

}  // namespace settle
