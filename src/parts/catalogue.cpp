// A file of parts -> Catalogue. Form: docs/wire.md.
//
// A part is taken only when its package adds up: every pin is one input, output, supply pin or named as
// unconnected, exactly once. Linear in the text.
#include "settle/catalogue.h"

#include <algorithm>
#include <charconv>
#include <map>

#include "formats/json_walk.h"
#include "parts/embedded.h"
#include "settle/text_reader.h"
#include "text/characters.h"

namespace settle {
namespace {

constexpr unsigned most_pins = 64;

class PartReader : private JsonWalk {
 public:
  PartReader(std::uint32_t file, std::vector<JsonNode> nodes, Diagnostics& diagnostics, Catalogue& catalogue)
      : JsonWalk(file, std::move(nodes), diagnostics), catalogue_(catalogue) {}

  void read() {
    if (nodes_.empty()) return;
    const JsonNode& top = nodes_.front();
    if (top.kind != JsonNode::Kind::object) {
      fail(top, "a file of parts is an object", R"(for example {"schema": "parts/1", "parts": [...]})");
      return;
    }
    const JsonNode *parts = nullptr, *schema = nullptr;
    for_members(0, {"schema", "parts"}, [&](std::uint32_t i) {
      const JsonNode& n = nodes_[i];
      if (n.key == "schema") schema = &n;
      if (n.key == "parts" && expect(n, JsonNode::Kind::array, "an array of parts")) parts = &n;
    });
    if (schema == nullptr) {
      fail(top, "the document does not say what it is", R"(add "schema": "parts/1")");
    } else if (schema->text != "parts/1") {
      fail(*schema, fmt::format("'{}' is another kind of document", schema->text),
           R"(parts stand in "parts/1")");
    }
    if (parts == nullptr) {
      if (!diagnostics_.has_errors()) fail(top, R"(the document has no "parts")");
      return;
    }
    for_items(index_of(*parts), [&](std::uint32_t i) { read_part(i); });
  }

 private:
  /// A pin number with its place.
  struct Pin {
    std::uint8_t number = 0;
    std::uint32_t offset = 0;
  };

  bool fail_at(std::uint32_t offset, std::string text, std::string hint = {}) {
    diagnostics_.error({file_, offset}, std::move(text), std::move(hint));
    return false;
  }

  void read_part(std::uint32_t at) {
    const JsonNode& node = nodes_[at];
    if (node.kind != JsonNode::Kind::object) {
      fail(node, "a part is an object",
           R"(for example {"part": "7402", "gate": "nor", "gates": ["2 3 -> 1", ...], ...})");
      return;
    }
    std::map<std::string_view, const JsonNode*> found;
    const auto errors = diagnostics_.error_count();
    for_members(at,
                {"part", "title", "gate", "pins", "supply", "ground", "unconnected", "output", "gates",
                 "families", "confidence", "source", "note"},
                [&](std::uint32_t i) {
                  const JsonNode& n = nodes_[i];
                  const bool number = n.key == "pins" || n.key == "supply" || n.key == "ground";
                  const bool list = n.key == "gates" || n.key == "families";
                  const bool good = number ? expect(n, JsonNode::Kind::other, "a number")
                                    : list ? expect(n, JsonNode::Kind::array, "an array of strings")
                                           : expect(n, JsonNode::Kind::string, "a string");
                  if (good) found[n.key] = &n;
                });
    for (const std::string_view needed :
         {"part", "title", "gate", "pins", "supply", "ground", "gates", "families"}) {
      if (diagnostics_.error_count() == errors && !found.contains(needed))
        fail(node, fmt::format("a part needs \"{}\"", needed));
    }
    if (diagnostics_.error_count() != errors) return;
    Part part;
    part.place = {file_, node.offset};
    part.title = found["title"]->text;
    if (found.contains("source")) part.source = found["source"]->text;
    if (found.contains("note")) part.note = found["note"]->text;
    read_number(*found["part"], part);
    read_kind(*found["gate"], part);
    if (found.contains("output")) read_output(*found["output"], part);
    if (found.contains("confidence")) read_confidence(*found["confidence"], part);
    read_families(*found["families"], part);
    if (diagnostics_.error_count() == errors) read_pins(found, part);
    if (diagnostics_.error_count() == errors) catalogue_.add(std::move(part));
  }

  void read_number(const JsonNode& node, Part& part) {
    const auto number = part_number_from(node.text);
    if (!number || number->number != node.text) {
      fail(node, fmt::format("'{}' is no part number", node.text),
           "write it without family: 7402, 74125, 4001");
      return;
    }
    const auto [first, is_new] = places_.emplace(node.text, node.offset);
    if (!is_new) fail(node, fmt::format("part '{}' again", node.text), "a file describes each part once");
    part.number = node.text;
  }

  void read_kind(const JsonNode& node, Part& part) {
    const auto kind = gate_kind_from(node.text);
    if (!kind || is_pull(*kind)) {
      std::vector<std::string_view> names;
      for (int i = 0; i < gate_kind_count; ++i) {
        if (!is_pull(static_cast<GateKind>(i))) names.push_back(name_of(static_cast<GateKind>(i)));
      }
      const auto nearest = nearest_name(node.text, names);
      fail(node, fmt::format("'{}' is no gate", node.text),
           nearest.empty() ? "" : fmt::format("did you mean '{}'?", nearest));
      return;
    }
    part.kind = *kind;
    if (is_three_state(*kind)) part.output = Part::Output::three_state;
  }

  void read_output(const JsonNode& node, Part& part) {
    for (const auto output :
         {Part::Output::push_pull, Part::Output::three_state, Part::Output::open_collector}) {
      if (node.text != name_of(output)) continue;
      if ((output == Part::Output::three_state) != is_three_state(part.kind)) {
        fail(node, fmt::format("'{}' gates have no {} output", name_of(part.kind), node.text),
             "bufif0, bufif1, notif0 and notif1 are three-state, no others");
      }
      part.output = output;
      return;
    }
    fail(node, fmt::format("'{}' is no kind of output", node.text),
         "push-pull, three-state or open-collector");
  }

  void read_confidence(const JsonNode& node, Part& part) {
    using Confidence = Part::Confidence;
    for (const auto confidence :
         {Confidence::sheet, Confidence::memory, Confidence::doubt, Confidence::user}) {
      if (node.text != name_of(confidence)) continue;
      part.confidence = confidence;
      return;
    }
    fail(node, fmt::format("'{}' does not say how sure this is", node.text), "sheet, memory, doubt or user");
  }

  void read_families(const JsonNode& node, Part& part) {
    for_items(index_of(node), [&](std::uint32_t i) {
      const JsonNode& n = nodes_[i];
      const bool good =
          n.kind == JsonNode::Kind::string && !n.text.empty() &&
          std::all_of(n.text.begin(), n.text.end(), [](char c) { return is_letter(c) || is_digit(c); });
      if (!good) {
        fail(n, fmt::format("'{}' is no family", n.text),
             "letters as in part numbers: HC, HCT, LS, AC; or 4000B");
      } else {
        part.families.push_back(n.text);
      }
    });
    if (part.families.empty() && !diagnostics_.has_errors())
      fail(node, "a part is made in one family at least", R"(for example ["HC"])");
  }

  bool read_single(const JsonNode& node, unsigned least, unsigned most, std::uint8_t& result) {
    unsigned value = 0;
    const char* const end = node.text.data() + node.text.size();
    const auto [at, error] = std::from_chars(node.text.data(), end, value);
    if (error != std::errc() || at != end || value < least || value > most) {
      return fail(node, fmt::format("{} is no number from {} to {}", node.text, least, most));
    }
    result = static_cast<std::uint8_t>(value);
    return true;
  }

  /// "2 3 -> 1" or "3 11"; a string with escapes has the place of its end, no better one is known.
  bool read_pin_list(const JsonNode& node, unsigned pin_count, std::vector<Pin>& before,
                     std::vector<Pin>* behind) {
    std::vector<Pin>* list = &before;
    const std::string_view text = node.text;
    const auto place = [&](std::size_t at) {
      return node.text_offset + (node.is_plain ? static_cast<std::uint32_t>(at) : 0);
    };
    for (std::size_t at = 0; at < text.size();) {
      if (text[at] == ' ') {
        ++at;
        continue;
      }
      if (behind != nullptr && list != behind && text.substr(at).starts_with("->")) {
        list = behind;
        at += 2;
        continue;
      }
      const auto start = at;
      while (at < text.size() && text[at] != ' ') ++at;
      const std::string_view word = text.substr(start, at - start);
      unsigned pin = 0;
      const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), pin);
      if (error != std::errc() || end != word.data() + word.size() || pin < 1 || pin > pin_count) {
        return fail_at(place(start), fmt::format("'{}' is no pin of a package with {}", word, pin_count),
                       behind != nullptr
                           ? "a gate is written as its input pins, -> and its output pin: \"2 3 -> 1\""
                           : "pins with blanks between them: \"3 11\"");
      }
      list->push_back({static_cast<std::uint8_t>(pin), place(start)});
    }
    return true;
  }

  void read_pins(std::map<std::string_view, const JsonNode*>& found, Part& part) {
    if (!read_single(*found["pins"], 4, most_pins, part.pin_count)) return;
    if (!read_single(*found["supply"], 1, part.pin_count, part.supply)) return;
    if (!read_single(*found["ground"], 1, part.pin_count, part.ground)) return;
    use_.assign(part.pin_count + 1u, {});
    use({part.supply, found["supply"]->offset}, "the supply");
    use({part.ground, found["ground"]->offset}, "ground");
    std::vector<Pin> unconnected;
    if (found.contains("unconnected") &&
        !read_pin_list(*found["unconnected"], part.pin_count, unconnected, nullptr))
      return;
    for (const Pin& pin : unconnected) {
      use(pin, "unconnected");
      part.unconnected.push_back(pin.number);
    }
    for_items(index_of(*found["gates"]), [&](std::uint32_t i) { read_gate(nodes_[i], part); });
    if (part.gates.empty()) {
      if (!diagnostics_.has_errors()) fail(*found["gates"], "a part has one gate at least");
      return;
    }
    std::string missing;
    for (std::uint8_t pin = 1; pin <= part.pin_count; ++pin) {
      if (use_[pin].empty()) missing += fmt::format("{}{}", missing.empty() ? "" : ", ", pin);
    }
    if (!missing.empty()) {
      fail(*found["part"], fmt::format("part '{}' says nothing of pin {}", part.number, missing),
           "each pin is the supply, ground, one pin of a gate, or in \"unconnected\"");
    }
  }

  void read_gate(const JsonNode& node, Part& part) {
    if (node.kind != JsonNode::Kind::string) {
      fail(node, "a gate is a string", R"(its input pins, -> and its output pin: "2 3 -> 1")");
      return;
    }
    std::vector<Pin> inputs, outputs;
    if (!read_pin_list(node, part.pin_count, inputs, &outputs)) return;
    if (outputs.size() != 1) {
      fail(node, fmt::format("a gate has one output, not {}", outputs.size()),
           R"(its input pins, -> and its output pin: "2 3 -> 1")");
      return;
    }
    const FanInRange range = fan_in_of(part.kind);
    if (inputs.size() < range.least || inputs.size() > range.most) {
      fail(node, fmt::format("'{}' cannot have {} input{}", name_of(part.kind), inputs.size(),
                             inputs.size() == 1 ? "" : "s"));
      return;
    }
    if (!part.gates.empty() && inputs.size() != part.fan_in()) {
      fail(node, fmt::format("this gate has {} inputs, the first one {}", inputs.size(), part.fan_in()),
           "the gates of a part are all alike");
      return;
    }
    PartGate gate;
    const std::string name = fmt::format("gate {}", part.gates.size() + 1);
    for (const Pin& pin : inputs) {
      use(pin, name);
      gate.inputs.push_back(pin.number);
    }
    use(outputs.front(), name);
    gate.output = outputs.front().number;
    part.gates.push_back(std::move(gate));
  }

  void use(const Pin& pin, std::string what) {
    std::string& now = use_[pin.number];
    if (!now.empty()) {
      fail_at(pin.offset, fmt::format("pin {} is used twice: {} and {}", pin.number, now, what));
    }
    now = std::move(what);
  }

  Catalogue& catalogue_;
  std::map<std::string, std::uint32_t> places_;  // of the part numbers in this file
  std::vector<std::string> use_;                 // by pin of the present part
};

}  // namespace

bool Part::is_made_in(std::string_view family) const {
  return std::find(families.begin(), families.end(), family) != families.end();
}

std::string_view name_of(Part::Confidence confidence) {
  static constexpr std::string_view names[] = {"sheet", "memory", "doubt", "user"};
  return names[static_cast<std::size_t>(confidence)];
}

std::string_view name_of(Part::Output output) {
  static constexpr std::string_view names[] = {"push-pull", "three-state", "open-collector"};
  return names[static_cast<std::size_t>(output)];
}

void Catalogue::add(Part part) {
  const auto old =
      std::find_if(parts_.begin(), parts_.end(), [&](const Part& p) { return p.number == part.number; });
  if (old != parts_.end()) {
    *old = std::move(part);
  } else {
    parts_.push_back(std::move(part));
  }
}

bool read_parts(const std::string& path, FileReader& files, Sources& sources, Diagnostics& diagnostics,
                Catalogue& catalogue) {
  const auto errors = diagnostics.error_count();
  std::string text, error;
  if (!files.read(path, text, error)) {
    diagnostics.error({}, fmt::format("cannot read '{}': {}", path, error));
    return false;
  }
  const auto file = sources.add(path, std::move(text));
  PartReader(file, read_json_nodes(file, sources, diagnostics), diagnostics, catalogue).read();
  return diagnostics.error_count() == errors;
}

Catalogue built_in_catalogue() {
  TextReader text{std::string(catalogue_json())};
  Sources sources;
  Diagnostics diagnostics;
  Catalogue catalogue;
  read_parts("catalogue.json", text, sources, diagnostics, catalogue);
  return catalogue;
}

}  // namespace settle
