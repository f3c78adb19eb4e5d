// The JSON document families/1 -> FamilyLibrary. Form: docs/families.md.
//
// Every member is judged where it stands, unknown ones are errors, and figures that the text leaves
// out follow from the rules in family.h. Linear in the text.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <initializer_list>

#include "formats/json_walk.h"
#include "parts/embedded.h"
#include "settle/catalogue.h"
#include "settle/family.h"
#include "settle/text_reader.h"

namespace settle {
namespace {

constexpr std::uint64_t longest_ps = 1'000'000'000;  // a millisecond: far above any gate

class FamilyReader : private JsonWalk {
 public:
  FamilyReader(std::uint32_t file, const Sources& sources, Diagnostics& diagnostics, FamilyLibrary& library)
      : JsonWalk(file, read_json_nodes(file, sources, diagnostics), diagnostics), library_(library) {}

  bool read() {
    const auto errors_before = diagnostics_.error_count();
    if (nodes_.empty()) return false;
    if (nodes_[0].kind != JsonNode::Kind::object) {
      fail(nodes_[0], "a family library is an object",
           "for example {\"schema\": \"families/1\", \"sources\": [...], \"families\": [...]}");
      return false;
    }
    const auto members = members_of(0, {"schema", "about", "sources", "families"});
    if (members[0] == 0) {
      fail(nodes_[0], "the document does not say what it is", "add \"schema\": \"families/1\"");
    } else if (nodes_[members[0]].text != "families/1") {
      fail(nodes_[members[0]], fmt::format("'{}' is another kind of document", nodes_[members[0]].text),
           "this program reads \"families/1\"");
      return false;
    }
    if (members[3] == 0) fail(nodes_[0], "the document has no \"families\"");
    for_objects(members[2], [&](std::uint32_t i) { read_source(i); });
    for_objects(members[3], [&](std::uint32_t i) { read_family(i); });
    return diagnostics_.error_count() == errors_before;
  }

 private:
  /// The objects in the array `parent`; none when that is 0, a member that is not there.
  template <typename Visit>
  void for_objects(std::uint32_t parent, const Visit& visit) {
    if (parent == 0 || !expect(nodes_[parent], JsonNode::Kind::array, "an array")) return;
    for_items(parent, [&](std::uint32_t i) {
      if (nodes_[i].kind == JsonNode::Kind::object) {
        visit(i);
      } else {
        fail(nodes_[i], "this must be an object");
      }
    });
  }

  /// Node numbers of the members of an object, 0 for those that are not there.
  template <std::size_t N>
  std::array<std::uint32_t, N> members_of(std::uint32_t parent, const char* const (&names)[N]) {
    std::array<std::uint32_t, N> found{};
    for_members(parent, names, [&](std::uint32_t i) {
      for (std::size_t n = 0; n < N; ++n) {
        if (nodes_[i].key == names[n]) found[n] = i;
      }
    });
    return found;
  }

  /// The text of a member; `what` names the object in the message when it is needed and missing.
  std::string text_of(std::uint32_t parent, std::uint32_t member, std::string_view needed = {}) {
    if (member == 0) {
      if (!needed.empty()) fail(nodes_[parent], fmt::format("\"{}\" is missing", needed));
      return {};
    }
    if (nodes_[member].kind != JsonNode::Kind::string || nodes_[member].text.empty()) {
      fail(nodes_[member], fmt::format("\"{}\" must be a text", nodes_[member].key));
      return {};
    }
    return nodes_[member].text;
  }

  std::optional<std::uint64_t> number_of(std::uint32_t parent, std::uint32_t member, std::string_view name,
                                         std::uint64_t least, std::uint64_t most) {
    if (member == 0) {
      fail(nodes_[parent], fmt::format("\"{}\" is missing", name));
      return {};
    }
    const auto& text = nodes_[member].text;
    std::uint64_t number = 0;
    const auto result = std::from_chars(text.data(), text.data() + text.size(), number);
    if (nodes_[member].kind != JsonNode::Kind::other || result.ec != std::errc() ||
        result.ptr != text.data() + text.size() || number < least || number > most) {
      fail(nodes_[member], fmt::format("\"{}\" must be a whole number from {} to {}", name, least, most));
      return {};
    }
    return number;
  }

  void read_source(std::uint32_t at) {
    const auto m = members_of(at, {"id", "title", "confidence", "conditions"});
    FigureSource source{text_of(at, m[0], "id"), text_of(at, m[1], "title"), text_of(at, m[2], "confidence"),
                        text_of(at, m[3])};
    if (source_of(source.id) != Figure::none) {
      fail(nodes_[m[0]], fmt::format("source '{}' again", source.id));
      return;
    }
    library_.sources.push_back(std::move(source));
  }

  std::uint32_t source_of(std::string_view id) const {
    // A user's file may use an id of the shipped one again: the last counts, within one file they differ.
    for (std::size_t i = library_.sources.size(); i-- > first_source_;) {
      if (library_.sources[i].id == id) return static_cast<std::uint32_t>(i);
    }
    return Figure::none;
  }

  std::optional<GateKind> kind_of(std::uint32_t at, std::uint32_t member) {
    const std::string name = text_of(at, member, "kind");
    if (name.empty()) return {};
    const auto kind = gate_kind_from(name);
    if (kind && !is_pull(*kind)) return kind;
    fail(nodes_[member], fmt::format("'{}' is no kind of gate", name),
         "the kinds are those of netlists: nand, nor, not, ...");
    return {};
  }

  /// The number of inputs, fit for the kind.
  std::optional<std::uint32_t> inputs_of(std::uint32_t at, std::uint32_t member, GateKind kind) {
    const FanInRange range = fan_in_of(kind);
    const auto inputs = number_of(at, member, "inputs", range.least, std::min(range.most, 64u));
    if (!inputs) return {};
    return static_cast<std::uint32_t>(*inputs);
  }

  void read_family(std::uint32_t at) {
    const auto m = members_of(at, {"name", "title", "supply", "aliases", "gates"});
    Family family;
    family.name = text_of(at, m[0], "name");
    family.title = text_of(at, m[1]);
    family.supply = text_of(at, m[2]);
    if (m[3] != 0) {
      if (nodes_[m[3]].kind != JsonNode::Kind::array) fail(nodes_[m[3]], "\"aliases\" must be an array");
      for (std::uint32_t i = m[3] + 1; i < nodes_[m[3]].end; i = nodes_[i].end)
        family.aliases.push_back(text_of(m[3], i));
    }
    const auto errors_before = diagnostics_.error_count();
    for_objects(m[4], [&](std::uint32_t i) { read_gate(i, family); });
    if (diagnostics_.error_count() != errors_before || family.name.empty()) return;
    if (family.gates.empty()) {
      fail(nodes_[at], fmt::format("family '{}' has no \"gates\"", family.name));
      return;
    }
    std::erase_if(library_.families, [&](const Family& f) { return f.name == family.name; });
    library_.families.push_back(std::move(family));
  }

  void read_gate(std::uint32_t at, Family& family) {
    const auto m = members_of(at, {"part", "kind", "inputs", "rise", "fall", "both", "remark"});
    GateFigures gate;
    gate.part = text_of(at, m[0], "part");
    gate.remark = text_of(at, m[6]);
    const auto name = part_number_from(gate.part);
    if (!name && !gate.part.empty()) {
      fail(nodes_[m[0]], fmt::format("'{}' is not the name of a 74 or 4000 series part", gate.part),
           "for example 74HC02 or CD4001B");
    }
    const auto kind = kind_of(at, m[1]);
    if (!kind || !name) return;
    const auto inputs = inputs_of(at, m[2], *kind);
    if (!inputs) return;
    gate.number = name->number;
    gate.kind = *kind;
    gate.inputs = *inputs;
    if (family.find(gate.number) != nullptr) {
      fail(nodes_[m[0]], fmt::format("'{}' again in family '{}'", gate.part, family.name));
      return;
    }
    if (const GateFigures* known = library_.gate_of(gate.number);
        known != nullptr && (known->kind != gate.kind || known->inputs != gate.inputs)) {
      {
        fail(nodes_[m[1]], fmt::format("'{}' is known as a {} with {} inputs", gate.number,
                                       name_of(known->kind), known->inputs));
        return;
      }
    }
    const bool both = m[5] != 0;
    if (both == (m[3] != 0 || m[4] != 0) || (!both && (m[3] == 0 || m[4] == 0))) {
      {
        fail(nodes_[at], "a gate has \"both\", or \"rise\" and \"fall\"");
        return;
      }
    }
    if (read_edge(both ? m[5] : m[3], gate.rise) && read_edge(both ? m[5] : m[4], gate.fall))
      family.gates.push_back(std::move(gate));
  }

  bool read_edge(std::uint32_t at, EdgeFigures& edge) {
    if (nodes_[at].kind != JsonNode::Kind::object) {
      fail(nodes_[at], fmt::format("\"{}\" must be an object", nodes_[at].key));
      return false;
    }
    const auto errors_before = diagnostics_.error_count();
    const auto m = members_of(at, {"min", "typical", "max"});
    const auto min = figure_of(m[0]), typ = figure_of(m[1]), max = figure_of(m[2]);
    if (diagnostics_.error_count() != errors_before) return false;
    if (!max) {
      fail(nodes_[at], "the maximum is missing", "no rule gives it");
      return false;
    }
    edge.max = *max;
    edge.typ = typ.value_or(Figure{std::max<std::uint64_t>(1, max->ps / 2), Figure::none});
    edge.min = min.value_or(Figure{std::max<std::uint64_t>(1, edge.typ.ps / 4), Figure::none});
    if (edge.min.ps <= edge.typ.ps && edge.typ.ps <= edge.max.ps) return true;
    fail(nodes_[at], "minimum, typical and maximum must not fall");
    return false;
  }

  /// Nothing: by rule.
  std::optional<Figure> figure_of(std::uint32_t at) {
    if (at == 0 || nodes_[at].text == "by rule") return {};
    if (nodes_[at].kind != JsonNode::Kind::object) {
      fail(nodes_[at], fmt::format("\"{}\" must be an object or \"by rule\"", nodes_[at].key),
           "for example {\"ps\": 9000, \"source\": \"my-sheet\"}");
      return {};
    }
    const auto m = members_of(at, {"ps", "source"});
    const auto ps = number_of(at, m[0], "ps", 1, longest_ps);
    const std::string id = text_of(at, m[1], "source");
    if (!ps || id.empty()) return {};
    const auto source = source_of(id);
    if (source == Figure::none) {
      fail(nodes_[m[1]], fmt::format("there is no source '{}' in this file", id),
           "add it to \"sources\", with its title and confidence");
      return {};
    }
    return Figure{*ps, source};
  }

  FamilyLibrary& library_;
  std::size_t first_source_ = library_.sources.size();
};

}  // namespace

bool FamilyLibrary::add(const std::string& path, FileReader& files, Sources& texts,
                        Diagnostics& diagnostics) {
  std::string text, why;
  if (!files.read(path, text, why)) {
    diagnostics.error({}, fmt::format("cannot read '{}': {}", path, why));
    return false;
  }
  FamilyLibrary larger = *this;
  if (!FamilyReader(texts.add(path, std::move(text)), texts, diagnostics, larger).read()) return false;
  *this = std::move(larger);
  return true;
}

FamilyLibrary FamilyLibrary::shipped() {
  FamilyLibrary library;
  TextReader text{std::string(families_json())};
  Sources texts;
  Diagnostics diagnostics;
  library.add("families.json", text, texts, diagnostics);
  return library;
}

}  // namespace settle
