// The JSON document netlist/1 -> syntax tree. Form: docs/json.md.
//
// The names, selects and connections in its strings are those of our language and are judged like
// there; unknown members are errors, so that a misspelt one is not lost. Linear in the text.
#include <algorithm>
#include <array>
#include <charconv>

#include <fmt/format.h>

#include "formats/json_walk.h"
#include "formats/netlist_maker.h"
#include "formats/readers.h"
#include "settle/time.h"
#include "text/characters.h"

namespace settle {
namespace {

class NetlistJsonReader : private JsonWalk {
 public:
  NetlistJsonReader(std::uint32_t file, std::vector<JsonNode> nodes, const Sources& sources, Diagnostics& diagnostics,
                    const ParseLimits& limits)
      : JsonWalk(file, std::move(nodes), diagnostics), sources_(sources), limits_(limits), maker_(file) {}

  Netlist read() {
    if (nodes_.empty()) return maker_.take();
    const JsonNode& top = nodes_.front();
    if (top.kind != JsonNode::Kind::object) {
      fail(top, "a netlist document is an object", "for example {\"schema\": \"netlist/1\", \"cells\": [...]}");
      return maker_.take();
    }
    const JsonNode* cells = nullptr;
    bool has_schema = false;
    for_members(0, {"schema", "settle", "cells"}, [&](std::uint32_t i) {
      const JsonNode& n = nodes_[i];
      if (n.key == "cells" && expect(n, JsonNode::Kind::array, "an array of cells")) cells = &n;
      if (n.key == "schema") {
        has_schema = true;
        if (n.text != "netlist/1") fail(n, fmt::format("'{}' is another kind of document", n.text), "this program reads \"netlist/1\"");
      }
    });
    if (!has_schema) fail(top, "the document does not say what it is", "add \"schema\": \"netlist/1\"");
    if (cells == nullptr) {
      if (!diagnostics_.has_errors()) fail(top, "the document has no \"cells\"");
      return maker_.take();
    }
    for_items(index_of(*cells), [&](std::uint32_t i) { read_cell(i); });
    return maker_.take();
  }

 private:
  void read_cell(std::uint32_t at) {
    if (nodes_[at].kind != JsonNode::Kind::object) {
      fail(nodes_[at], "a cell is an object", "for example {\"name\": \"keep\", \"inputs\": [], \"outputs\": [], \"gates\": []}");
      return;
    }
    const JsonNode *name = nullptr, *inputs = nullptr, *outputs = nullptr, *gates = nullptr, *requirements = nullptr;
    for_members(at, {"name", "inputs", "outputs", "gates", "requirements"}, [&](std::uint32_t i) {
      const JsonNode& n = nodes_[i];
      if (n.key == "name") {
        if (expect(n, JsonNode::Kind::string, "a string")) name = &n;
      } else if (expect(n, JsonNode::Kind::array, "an array")) {
        (n.key == "inputs" ? inputs : n.key == "outputs" ? outputs : n.key == "gates" ? gates : requirements) = &n;
      }
    });
    if (name == nullptr) {
      fail(nodes_[at], "a cell needs a \"name\"");
      return;
    }
    if (!check_name(*name, name->text, "a cell")) return;
    const Symbol symbol = maker_.name(name->text);
    if (const int other = maker_.netlist().find_cell(symbol); other >= 0) {
      fail(*name, fmt::format("cell '{}' again; the first is in line {}", name->text,
                              sources_.locate(maker_.netlist().cells[static_cast<std::size_t>(other)].place).line));
      return;
    }
    maker_.open_cell(symbol, name->text_offset);
    pins_.clear();
    names_.clear();
    for (const JsonNode* list : {inputs, outputs}) {
      if (list == nullptr) continue;
      for_items(index_of(*list), [&](std::uint32_t i) { read_pin(nodes_[i], list == inputs); });
    }
    if (gates != nullptr) for_items(index_of(*gates), [&](std::uint32_t i) { read_gate(i); });
    if (requirements != nullptr) {
      for_items(index_of(*requirements), [&](std::uint32_t i) { read_requirement(nodes_[i]); });
    }
    maker_.close_cell();
  }

  void read_requirement(const JsonNode& node) {
    // Written in our language it must be the same again.
    const auto is_control = [](unsigned char c) { return (c < 0x20 && c != '\t') || c == 0x7f; };
    const auto end = node.text.find_last_not_of(" \t");
    if (node.kind != JsonNode::Kind::string || end == std::string::npos ||
        std::any_of(node.text.begin(), node.text.end(), is_control)) {
      fail(node, "a requirement is a string of one line", "for example \"stores 1\"");
      return;
    }
    if (node.text.find('#') != std::string::npos || node.text[end] == '\\') {
      fail(node, "a requirement has no '#' and does not end with '\\'", "for example \"stores 1\"");
      return;
    }
    maker_.require({file_, node.offset}, node.text);
  }

  bool check_name(const JsonNode& node, std::string_view text, std::string_view what) {
    const bool good = !text.empty() && text != "_" && starts_name(text.front()) && std::all_of(text.begin(), text.end(), continues_name);
    if (!good) return fail(node, fmt::format("'{}' cannot be the name of {}", text, what), "names have letters, digits and '_', and do not start with a digit");
    if (is_reserved(text)) return fail(node, fmt::format("'{}' is a word of the language and cannot be the name of {}", text, what));
    return true;
  }

  /// "name", "name[3]" or "name[7:0]": the name and the number of its select.
  bool read_selected(const JsonNode& node, std::string_view text, std::string_view what, Symbol& name, std::uint32_t& select) {
    select = Connection::no_select;
    const auto bracket = text.find('[');
    if (!check_name(node, text.substr(0, bracket), what)) return false;
    name = maker_.name(text.substr(0, bracket));
    if (bracket == std::string_view::npos) return true;
    Select s;
    const char* at = text.data() + bracket + 1;
    const char* const end = text.data() + text.size();
    auto result = std::from_chars(at, end, s.msb);
    bool good = result.ec == std::errc();
    s.lsb = s.msb;
    s.is_bit = true;
    if (good && result.ptr != end && *result.ptr == ':') {
      s.is_bit = false;
      result = std::from_chars(result.ptr + 1, end, s.lsb);
      good = result.ec == std::errc();
    }
    good = good && result.ptr + 1 == end && *result.ptr == ']';
    if (!good) return fail(node, fmt::format("'{}' is no select", text.substr(bracket)), "write [msb:lsb] or [bit]");
    // The width, in 64 bits: [4294967295:0] has one bit more than fits.
    const std::uint64_t width = (s.msb > s.lsb ? std::uint64_t{s.msb} - s.lsb : std::uint64_t{s.lsb} - s.msb) + 1;
    if (width > limits_.bus_width) return fail(node, fmt::format("{} bits are more than the limit of {}", width, limits_.bus_width));
    select = maker_.add_select(s);
    return true;
  }

  void read_pin(const JsonNode& node, bool is_input) {
    if (node.kind != JsonNode::Kind::string) {
      fail(node, "a pin is a string", "for example \"lever[7:0]\"");
      return;
    }
    Symbol name;
    std::uint32_t select;
    if (!read_selected(node, node.text, "a pin", name, select)) return;
    if (select != Connection::no_select && maker_.netlist().selects[select].is_bit) {
      fail(node, "a bus has a range", "write [msb:lsb]");
      return;
    }
    if (seen_twice(pins_, name)) {
      fail(node, fmt::format("pin '{}' again", maker_.symbols().text(name)), "each pin of a cell has its own name");
      return;
    }
    is_input ? maker_.add_input(name, node.text_offset, select) : maker_.add_output(name, node.text_offset, select);
  }

  bool seen_twice(std::vector<std::uint8_t>& seen, Symbol name) {
    if (seen.size() <= name) seen.resize(std::size_t{name} * 2 + 64, 0);
    const bool twice = seen[name] != 0;
    seen[name] = 1;
    return twice;
  }

  void read_gate(std::uint32_t at) {
    if (nodes_[at].kind != JsonNode::Kind::object) {
      fail(nodes_[at], "a gate is an object", R"(for example {"kind": "nor", "name": "hold_a", "inputs": ["leave", "clear"], "outputs": ["occupied"]})");
      return;
    }
    const JsonNode *kind = nullptr, *name = nullptr, *inputs = nullptr, *outputs = nullptr;
    Attributes attributes;
    const JsonNode *delay = nullptr, *rise = nullptr, *fall = nullptr;
    bool has_attributes = false;
    for_members(at, {"kind", "name", "inputs", "outputs", "delay", "rise", "fall", "part", "place"}, [&](std::uint32_t i) {
      const JsonNode& n = nodes_[i];
      if (n.key == "inputs" || n.key == "outputs") {
        if (expect(n, JsonNode::Kind::array, "an array")) (n.key == "inputs" ? inputs : outputs) = &n;
        return;
      }
      if (!expect(n, JsonNode::Kind::string, "a string")) return;
      if (n.key == "kind") kind = &n;
      if (n.key == "name") name = &n;
      if (n.key == "delay") delay = &n;
      if (n.key == "rise") rise = &n;
      if (n.key == "fall") fall = &n;
      if (n.key != "part" && n.key != "place") return;
      has_attributes = true;
      if (!n.is_plain || !is_attribute_word(n.text)) {
        fail(n, fmt::format("'{}' cannot be a {}", n.text, n.key));
        return;
      }
      (n.key == "part" ? attributes.part : attributes.place) = sources_.text(file_).substr(n.text_offset, n.text.size());
    });
    if (kind == nullptr || name == nullptr) {
      fail(nodes_[at], fmt::format("a gate needs a \"{}\"", kind == nullptr ? "kind" : "name"));
      return;
    }
    if (delay != nullptr || rise != nullptr || fall != nullptr) {
      if (!read_delays(delay, rise, fall, attributes)) return;
      has_attributes = true;
    }
    Symbol gate_name;
    std::uint32_t range;
    if (!read_selected(*name, name->text, "a gate", gate_name, range)) return;
    if (range != Connection::no_select && maker_.netlist().selects[range].is_bit) {
      fail(*name, "an array has a range", "write [msb:lsb]");
      return;
    }
    if (seen_twice(names_, gate_name)) {
      fail(*name, fmt::format("'{}' again", name->text), "each gate of a cell has its own name");
      return;
    }
    const auto builtin = gate_kind_from(kind->text);
    if (!builtin && !check_name(*kind, kind->text, "a kind")) return;
    builtin ? maker_.open_gate(*builtin, gate_name, kind->text_offset)
            : maker_.open_instance(maker_.name(kind->text), gate_name, kind->text_offset);
    maker_.set_range(range);
    if (!builtin && attributes.has_delay) fail(*kind, "a cell has no delay of its own", "give delays to the gates inside the cell");
    if (has_attributes) maker_.set_attributes(attributes);
    bool by_name = false, by_position = false;
    for (const JsonNode* list : {inputs, outputs}) {
      if (list == nullptr) continue;
      for_items(index_of(*list), [&](std::uint32_t i) {
        Connection c;
        if (!read_connection(nodes_[i], c)) return;
        (c.pin != no_symbol ? by_name : by_position) = true;
        list == inputs ? maker_.connect_input(c) : maker_.connect_output(c);
      });
    }
    if (by_name && by_position) fail(*name, fmt::format("'{}' is connected partly by name and partly by position", name->text));
    if (by_name) maker_.set_by_name();
    if (builtin && !diagnostics_.has_errors()) check_fan_in(*builtin, *kind, inputs, outputs, by_name);
    maker_.close_statement();
  }

  void check_fan_in(GateKind kind, const JsonNode& place, const JsonNode* inputs, const JsonNode* outputs, bool by_name) {
    const auto count = [&](const JsonNode* list) {
      std::uint32_t n = 0;
      if (list != nullptr) for_items(index_of(*list), [&](std::uint32_t) { ++n; });
      return n;
    };
    const FanInRange range = fan_in_of(kind);
    const std::uint32_t in = count(inputs), out = count(outputs);
    if (by_name) {
      fail(place, fmt::format("the pins of '{}' have no names", place.text), "connect a gate by position");
    } else if (in < range.least || in > range.most) {
      fail(place, fmt::format("'{}' cannot have {} input{}", place.text, in, in == 1 ? "" : "s"));
    } else if (out != 1) {
      fail(place, fmt::format("'{}' has one output, not {}", place.text, out));
    }
  }

  bool read_connection(const JsonNode& node, Connection& c) {
    if (node.kind != JsonNode::Kind::string) return fail(node, "a connection is a string", R"(for example "lever[3]", "0" or "_")");
    c.offset = node.text_offset;
    std::string_view net = node.text;
    if (const auto equals = net.find('='); equals != std::string_view::npos) {
      if (!check_name(node, net.substr(0, equals), "a pin")) return false;
      c.pin = maker_.name(net.substr(0, equals));
      net.remove_prefix(equals + 1);
    }
    if (net == "0" || net == "1" || net == "_") {
      c.kind = net == "0" ? Connection::Kind::zero : net == "1" ? Connection::Kind::one : Connection::Kind::open;
      return true;
    }
    return read_selected(node, net, "a net", c.net, c.select);
  }

  /// "3ns", "2..3..5ns", or rise and fall; one unit for both, the finer one.
  bool read_delays(const JsonNode* delay, const JsonNode* rise, const JsonNode* fall, Attributes& attributes) {
    const JsonNode& place = delay != nullptr ? *delay : rise != nullptr ? *rise : *fall;
    if ((delay != nullptr) == (rise != nullptr || fall != nullptr) || (delay == nullptr && (rise == nullptr || fall == nullptr))) {
      return fail(place, "a gate has a \"delay\", or a \"rise\" and a \"fall\"");
    }
    TimeUnit unit = TimeUnit::none, fall_unit = TimeUnit::none;
    if (!read_triple(place, attributes.rise, unit)) return false;
    attributes.fall = attributes.rise;
    attributes.has_delay = true;
    if (delay == nullptr) {
      if (!read_triple(*fall, attributes.fall, fall_unit)) return false;
      if (unit != fall_unit) return fail(*fall, "rise and fall must have the same unit");
    }
    attributes.unit = unit;
    return true;
  }

  bool read_triple(const JsonNode& node, DelayTriple& triple, TimeUnit& unit) {
    std::array<std::uint64_t, 3> numbers{};
    std::size_t count = 0;
    std::string_view rest = node.text;
    for (;;) {
      const auto result = std::from_chars(rest.data(), rest.data() + rest.size(), numbers[count]);
      if (result.ec != std::errc()) break;
      ++count;
      rest.remove_prefix(static_cast<std::size_t>(result.ptr - rest.data()));
      if (count == 3 || !rest.starts_with("..")) break;
      rest.remove_prefix(2);
    }
    const auto found = rest.empty() ? std::optional(TimeUnit::none) : time_unit_from(rest);
    if ((count != 1 && count != 3) || !found) {
      return fail(node, fmt::format("'{}' is no delay", node.text), "for example \"3\", \"9ns\" or \"2..3..5ns\"");
    }
    triple = count == 1 ? DelayTriple{numbers[0], numbers[0], numbers[0]} : DelayTriple{numbers[0], numbers[1], numbers[2]};
    if (triple.min == 0 || triple.min > triple.typ || triple.typ > triple.max) {
      return fail(node, fmt::format("'{}' is no delay of a gate", node.text), "at least 1, the smallest first");
    }
    unit = *found;
    return true;
  }

  const Sources& sources_;
  ParseLimits limits_;
  NetlistMaker maker_;
  std::vector<std::uint8_t> pins_, names_;  // seen in this cell, by symbol
};

}  // namespace

Netlist read_netlist_json(std::uint32_t file, Sources& sources, Diagnostics& diagnostics, const ParseLimits& limits) {
  return NetlistJsonReader(file, read_json_nodes(file, sources, diagnostics), sources, diagnostics, limits).read();
}

}  // namespace settle
