// `require` lines -> demands.
//
// A line is cut into words and quoted texts; each kind of demand is a fixed row of words. The steps of
// `power-up known after` are read by the parser of stimuli, so that names and values are written as there.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>

#include "settle/requirement.h"
#include "settle/stimulus.h"
#include "settle/text_reader.h"
#include "text/text_error.h"
#include "text/time_literal.h"

namespace settle {
namespace {

constexpr std::array<std::string_view, 10> demand_words = {
    "stores", "no-memory", "kind", "settles", "power-up", "delay", "setup", "hold", "recovery", "pulse"};
constexpr std::string_view demand_forms =
    "demands are: stores N, no-memory, kind \"NAME\", settles, settles whatever delays, "
    "power-up known after \"NET=VALUE; ...\", delay IN -> OUT <= TIME, setup IN before IN <= TIME, "
    "hold IN after IN <= TIME, recovery IN before IN <= TIME, pulse IN <= TIME";

struct DemandToken {
  std::string_view text;
  std::size_t at = 0;  // byte in the demand
  bool is_quoted = false;
  bool is_closed = true;
};

std::vector<DemandToken> demand_tokens(std::string_view text) {
  std::vector<DemandToken> tokens;
  std::size_t at = 0;
  while ((at = text.find_first_not_of(" \t", at)) != std::string_view::npos) {
    if (text[at] == '"') {
      const std::size_t end = text.find('"', at + 1);
      const bool closed = end != std::string_view::npos;
      tokens.push_back({text.substr(at + 1, closed ? end - at - 1 : end), at, true, closed});
      at = closed ? end + 1 : text.size();
    } else {
      const std::size_t end = std::min(text.find_first_of(" \t\"", at), text.size());
      tokens.push_back({text.substr(at, end - at), at, false, true});
      at = end;
    }
  }
  return tokens;
}

class DemandReader {
 public:
  DemandReader(const Netlist& netlist, const RequireSyntax& syntax, const Sources& sources,
               Diagnostics& diagnostics)
      : netlist_(netlist),
        syntax_(syntax),
        sources_(sources),
        diagnostics_(diagnostics),
        tokens_(demand_tokens(syntax.text)) {}

  std::optional<Requirement> read() {
    Requirement demand;
    demand.cell = syntax_.cell;
    demand.place = syntax_.place;
    demand.text = syntax_.text;
    return read_words(demand) && at_end() ? std::optional(std::move(demand)) : std::nullopt;
  }

 private:
  bool read_words(Requirement& demand) {
    const DemandToken first = tokens_[next_++];
    if (first.is_quoted) return fail(first.at, "a demand starts with a word", std::string(demand_forms));
    if (first.text == "stores") {
      demand.kind = Requirement::Kind::stores;
      return read_bits(demand.bits);
    }
    if (first.text == "no-memory") {
      demand.kind = Requirement::Kind::no_memory;
      return true;
    }
    if (first.text == "kind") {
      demand.kind = Requirement::Kind::kind;
      return read_quoted("the name of a kind", "as in: require kind \"transparent latch\"", demand.name);
    }
    if (first.text == "settles") {
      demand.kind = Requirement::Kind::settles;
      if (next_ == tokens_.size()) return true;
      demand.kind = Requirement::Kind::settles_always;
      return read_word("whatever") && read_word("delays");
    }
    if (first.text == "power-up") {
      demand.kind = Requirement::Kind::power_up_known;
      std::string steps;
      return read_word("known") && read_word("after") &&
             read_quoted("the steps", "as in: require power-up known after \"reset=1; reset=0\"", steps) &&
             read_steps(steps, tokens_[next_ - 1].at + 1, demand.steps);
    }
    using Kind = Requirement::Kind;
    const auto is_form = [&](std::string_view word, Kind kind) {
      if (first.text == word) demand.kind = kind;
      return first.text == word;
    };
    if (is_form("delay", Kind::delay)) return read_times(demand, "->", false);
    if (is_form("setup", Kind::setup) || is_form("recovery", Kind::recovery))
      return read_times(demand, "before", true);
    if (is_form("hold", Kind::hold)) return read_times(demand, "after", true);
    if (is_form("pulse", Kind::pulse)) return read_times(demand, "", true);
    const std::string_view near = nearest_name(first.text, demand_words);
    return fail(first.at, fmt::format("'{}' is no demand on a cell", shortened(first.text)),
                near.empty() ? std::string(demand_forms) : fmt::format("did you mean '{}'?", near));
  }

  bool at_end() {
    if (next_ == tokens_.size()) return true;
    return fail(tokens_[next_].at,
                fmt::format("unexpected '{}' at the end of a demand", shortened(tokens_[next_].text)));
  }

  bool read_word(std::string_view word) {
    if (next_ == tokens_.size()) return fail_missing(fmt::format("the word '{}'", word));
    const DemandToken& token = tokens_[next_];
    if (token.is_quoted || token.text != word) {
      return fail(token.at, fmt::format("'{}' stands where '{}' is wanted", shortened(token.text), word),
                  std::string(demand_forms));
    }
    ++next_;
    return true;
  }

  // FROM, and behind the word `between` (if any) TO, then <= TIME.
  bool read_times(Requirement& demand, std::string_view between, bool to_is_input) {
    if (!read_pin(demand.from, true)) return false;
    if (!between.empty() && (!read_word(between) || !read_pin(demand.to, to_is_input))) return false;
    if (!read_word("<=")) return false;
    if (next_ == tokens_.size()) return fail_missing("a time");
    const DemandToken token = tokens_[next_++];
    const std::string_view behind = next_ < tokens_.size() ? tokens_[next_].text : std::string_view();
    bool took_next = false;
    if (const auto error = read_duration(token.text, behind, demand.limit, took_next)) {
      return fail(token.at, error->text, error->hint);
    }
    next_ += took_next ? 1 : 0;
    return true;
  }

  bool read_pin(std::string& name, bool is_input) {
    if (next_ == tokens_.size()) return fail_missing(is_input ? "an input" : "an output");
    const DemandToken& token = tokens_[next_++];
    name = token.text;
    return check_pin(token.text.substr(0, token.text.find('[')), token.at, is_input);
  }

  bool read_bits(std::uint64_t& bits) {
    if (next_ == tokens_.size()) return fail_missing("a number of bits");
    const DemandToken& token = tokens_[next_++];
    const char* end = token.text.data() + token.text.size();
    const auto [stop, error] = std::from_chars(token.text.data(), end, bits);
    if (error == std::errc() && stop == end && !token.is_quoted && !token.text.empty()) return true;
    return fail(token.at, fmt::format("'{}' is not a number of bits", shortened(token.text)),
                "as in: require stores 1");
  }

  bool read_quoted(std::string_view what, std::string hint, std::string& text) {
    if (next_ == tokens_.size()) return fail_missing(what, std::move(hint));
    const DemandToken& token = tokens_[next_];
    if (!token.is_quoted) return fail(token.at, fmt::format("{} must be in quotes", what), std::move(hint));
    if (!token.is_closed) return fail(token.at, "the quotes are not closed");
    if (token.text.find_first_not_of(" \t;") == std::string_view::npos) {
      return fail(token.at, "there is nothing between the quotes", std::move(hint));
    }
    text = token.text;
    ++next_;
    return true;
  }

  bool read_steps(const std::string& text, std::size_t offset, std::vector<std::string>& steps) {
    bool good = true;
    for (std::size_t at = 0; at <= text.size();) {
      const std::size_t end = std::min(text.find(';', at), text.size());
      const std::size_t first = text.find_first_not_of(" \t", at);
      if (first < end) {
        steps.push_back(text.substr(first, end - first));
        good = read_step(steps.back(), offset + first) && good;
      }
      at = end + 1;
    }
    return good;
  }

  bool read_step(const std::string& step, std::size_t offset) {
    constexpr std::string_view keyword = "set ";
    TextReader reader(fmt::format("{}{}\n", keyword, step));
    Sources scratch;
    Diagnostics problems;
    const Stimulus stimulus = parse_stimulus("require", reader, scratch, problems);
    const auto at = [&](std::uint32_t place) {
      return offset + (place < keyword.size() ? 0 : place - keyword.size());
    };
    for (const Diagnostic& problem : problems.all())
      fail(at(problem.place.offset), problem.text, problem.hint);
    if (problems.has_errors()) return false;
    bool good = true;
    for (const StimulusStatement& statement : stimulus.statements) {
      for (const Assignment& assignment : statement.assignments) {
        const std::string_view base = std::string_view(assignment.net).substr(0, assignment.net.find('['));
        good = check_pin(base, at(assignment.offset)) && good;
        if (assignment.value.bits.find_first_of("xz") != std::string::npos) {
          good = fail(at(assignment.value.offset), "a step puts inputs at 0 or 1",
                      "leave an input out: then it may be either");
        }
      }
    }
    return good;
  }

  bool check_pin(std::string_view name, std::size_t at, bool is_input = true) {
    std::vector<std::string_view> pins;
    const CellSyntax& cell = netlist_.cells[syntax_.cell];
    for (const PinDeclaration& pin : is_input ? cell.inputs : cell.outputs)
      pins.push_back(netlist_.symbols->text(pin.name));
    if (std::find(pins.begin(), pins.end(), name) != pins.end()) return true;
    const std::string_view near = nearest_name(name, pins);
    return fail(at,
                fmt::format("cell '{}' has no {} '{}'", netlist_.symbols->text(cell.name),
                            is_input ? "input" : "output", shortened(name)),
                near.empty()
                    ? fmt::format("its {} are {}", is_input ? "inputs" : "outputs", fmt::join(pins, ", "))
                    : fmt::format("did you mean '{}'?", near));
  }

  bool fail_missing(std::string_view what, std::string hint = {}) {
    if (hint.empty()) hint = demand_forms;
    return fail(syntax_.text.size(), fmt::format("{} is missing", what), std::move(hint));
  }

  bool fail(std::size_t at, std::string text, std::string hint = {}) {
    diagnostics_.error(place_of(at), std::move(text), std::move(hint));
    return false;
  }

  // A continued line has no such place: then the word `require` stands for it.
  Place place_of(std::size_t at) const {
    const std::string_view source = sources_.text(syntax_.place.file);
    constexpr std::size_t keyword = 7;
    const std::size_t start = source.find_first_not_of(" \t", syntax_.place.offset + keyword);
    if (start == std::string_view::npos || source.substr(start, syntax_.text.size()) != syntax_.text)
      return syntax_.place;
    return {syntax_.place.file, static_cast<std::uint32_t>(start + at)};
  }

  const Netlist& netlist_;
  const RequireSyntax& syntax_;
  const Sources& sources_;
  Diagnostics& diagnostics_;
  std::vector<DemandToken> tokens_;
  std::size_t next_ = 0;
};

}  // namespace

std::vector<Requirement> parse_requirements(const Netlist& netlist, const Sources& sources,
                                            Diagnostics& diagnostics) {
  std::vector<Requirement> demands;
  for (const RequireSyntax& syntax : netlist.requirements) {
    if (diagnostics.is_full()) break;
    if (auto demand = DemandReader(netlist, syntax, sources, diagnostics).read())
      demands.push_back(std::move(*demand));
  }
  return demands;
}

}  // namespace settle
