// `{delay=3}`, `{rise=4ns fall=2..3..5ns}`, `{part=74HC02 place=U1.2}`.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <string>
#include <utility>

#include "settle/time.h"
#include "text/characters.h"
#include "text/netlist_parser.h"

namespace settle {
namespace {

enum Attribute : std::size_t { delay, rise, fall, part, place_, attribute_count };
constexpr std::array<std::string_view, attribute_count> attribute_names = {"delay", "rise", "fall", "part", "place"};

/// One delay as written: min, typical, max.
struct Written {
  std::array<Duration, 3> values;
};

/// What is wrong with a delay, and what to do.
struct Complaint {
  std::string text;
  std::string hint;
  bool is_about_fall = false;  // of two delays, the second
};

Complaint complain(std::string text, std::string hint) { return {std::move(text), std::move(hint), false}; }

std::optional<Complaint> read_number(std::string_view& text, Duration& value) {
  const char* begin = text.data();
  const auto [end, error] = std::from_chars(begin, begin + text.size(), value.count);
  if (error == std::errc::result_out_of_range) return complain("the number is too large", "");
  if (error != std::errc{}) return complain("it is not a whole number", "for example: delay=3, delay=9ns, delay=2..3..5");
  text.remove_prefix(static_cast<std::size_t>(end - begin));
  std::size_t letters = 0;
  while (letters < text.size() && text[letters] != '.') ++letters;
  if (letters > 0) {
    const auto unit = time_unit_from(text.substr(0, letters));
    if (!unit) {
      return complain(fmt::format("'{}' is no unit of time", text.substr(0, letters)),
                       "the units are fs, ps, ns, us, ms and s");
    }
    value.unit = *unit;
    text.remove_prefix(letters);
  }
  return {};
}

std::optional<Complaint> read_delay(std::string_view text, Written& written) {
  std::size_t count = 0;
  for (;;) {
    if (auto complaint = read_number(text, written.values[count])) return complaint;
    ++count;
    if (text.empty()) break;
    if (!text.starts_with("..")) {
      return complain("delays are whole numbers", "use a finer unit, for example 1500ps for 1.5ns");
    }
    if (count == 3) return complain("it has more than three numbers", "write min..typical..max");
    text.remove_prefix(2);
  }
  auto& values = written.values;
  if (count == 2) return complain("it has two numbers", "write one number, or min..typical..max");
  if (count == 1) {
    values[1] = values[2] = values[0];
  } else if (values[0].unit == TimeUnit::none && values[1].unit == TimeUnit::none) {
    values[0].unit = values[1].unit = values[2].unit;  // 2..3..5ns
  }
  return {};
}

/// Both delays in the finest unit written.
std::optional<Complaint> fit(const Written& up, const Written& down, Attributes& attributes) {
  TimeUnit finest = TimeUnit::s;
  bool has_bare = false;
  bool has_unit = false;
  for (const Written* written : {&up, &down}) {
    for (const Duration& value : written->values) {
      if (value.unit == TimeUnit::none) {
        has_bare = true;
      } else {
        has_unit = true;
        finest = std::min(finest, value.unit);
      }
    }
  }
  if (has_bare && has_unit) {
    return complain("some numbers have a unit of time and some have none", "give all of them a unit, or none");
  }
  attributes.unit = has_unit ? finest : TimeUnit::none;
  const auto fit_one = [&](const Written& written, DelayTriple& triple) -> std::optional<Complaint> {
    std::array<std::uint64_t, 3> ticks{};
    for (std::size_t i = 0; i < 3; ++i) {
      const auto value = to_ticks(written.values[i], attributes.unit);
      if (!value) return complain("the number is too large", "");
      if (*value == 0) return complain("a gate has a delay of at least 1", "");
      ticks[i] = *value;
    }
    if (ticks[0] > ticks[1] || ticks[1] > ticks[2]) {
      return complain("the three numbers must not fall", "write min..typical..max");
    }
    triple = {ticks[0], ticks[1], ticks[2]};
    return {};
  };
  if (auto complaint = fit_one(up, attributes.rise)) return complaint;
  auto complaint = fit_one(down, attributes.fall);
  if (complaint) complaint->is_about_fall = true;
  return complaint;
}

}  // namespace

bool NetlistParser::parse_attributes(Statement& statement) {
  const Token brace = token_;
  Attributes attributes;
  attributes.offset = brace.begin;
  std::array<bool, attribute_count> is_given{};
  std::array<Token, attribute_count> values{};
  std::array<Written, attribute_count> delays{};
  std::uint32_t end = brace.end;  // of the last word
  advance();
  while (token_.kind != TokenKind::close_brace) {
    const Token name = token_;
    if (at_line_end()) return fail({TokenKind::line_end, end, end}, "the closing '}' is missing on this line");
    if (name.kind != TokenKind::word) {
      return fail(name, fmt::format("expected 'ATTRIBUTE=VALUE' or '}}', not {}", quoted(name)),
                  "the attributes are delay, rise, fall, part and place");
    }
    const std::string_view word = lexer_.text(name);
    const auto found = std::find(attribute_names.begin(), attribute_names.end(), word);
    if (found == attribute_names.end()) {
      if (time_unit_from(word)) {
        return fail(name, fmt::format("'{}' stands alone", word), "write the unit directly behind its number, as in 9ns");
      }
      const std::string_view nearest = nearest_name(word, attribute_names);
      return fail(name, fmt::format("unknown attribute {}", quoted(name)),
                  nearest.empty() ? "the attributes are delay, rise, fall, part and place"
                                  : fmt::format("did you mean '{}'?", nearest));
    }
    const auto which = static_cast<std::size_t>(found - attribute_names.begin());
    if (is_given[which]) return fail(name, fmt::format("'{}' is given twice", word));
    advance();
    if (token_.kind != TokenKind::equals) {
      return fail(token_, fmt::format("expected '=' after '{}', not {}", word, quoted(token_)));
    }
    const Token value = lexer_.value();
    end = value.end;
    advance();
    if (token_.kind == TokenKind::equals || value.begin == value.end) {
      return fail(name, fmt::format("no value after '{}='", word),
                  which <= fall ? "for example: delay=9ns" : which == part ? "for example: part=74HC02" : "for example: place=U1.2");
    }
    is_given[which] = true;
    values[which] = value;
    if (which <= fall) {
      if (auto complaint = read_delay(lexer_.text(value), delays[which])) {
        return fail(value, fmt::format("{} {}: {}", word, quoted(value), complaint->text), complaint->hint);
      }
    }
  }
  advance();

  const bool has_edges = is_given[rise] || is_given[fall];
  if (is_given[delay] && has_edges) {
    const Token edge = is_given[rise] ? values[rise] : values[fall];
    return fail(edge, "'delay' and 'rise' or 'fall' in one statement",
                "'delay' is for both edges; 'rise' and 'fall' are for one each");
  }
  if (is_given[rise] != is_given[fall]) {
    const std::string_view given = is_given[rise] ? "rise" : "fall";
    const std::string_view missing = is_given[rise] ? "fall" : "rise";
    const Token value = is_given[rise] ? values[rise] : values[fall];
    return fail(value, fmt::format("'{}' without '{}'", given, missing),
                fmt::format("add '{}=...', or write 'delay={}' for both edges", missing, lexer_.text(value)));
  }
  attributes.has_delay = is_given[delay] || has_edges;
  if (attributes.has_delay) {
    const std::size_t up = is_given[delay] ? delay : rise;
    const std::size_t down = is_given[delay] ? delay : fall;
    if (statement.builtin < 0) {
      return fail(values[up], "a cell has no delay of its own", "give delays to the gates inside the cell");
    }
    if (is_pull(static_cast<GateKind>(statement.builtin))) {
      return fail(values[up], fmt::format("a '{}' has no delay", name_of(static_cast<GateKind>(statement.builtin))),
                  "it holds its net at one level all the time");
    }
    if (auto complaint = fit(delays[up], delays[down], attributes)) {
      const std::size_t which = complaint->is_about_fall ? down : up;
      return fail(values[which], fmt::format("{} {}: {}", attribute_names[which], quoted(values[which]), complaint->text),
                  complaint->hint);
    }
  }
  if (is_given[part]) attributes.part = lexer_.text(values[part]);
  if (is_given[place_]) attributes.place = lexer_.text(values[place_]);
  if (std::find(is_given.begin(), is_given.end(), true) != is_given.end()) {
    statement.attributes = static_cast<std::uint32_t>(netlist_.attributes.size());
    netlist_.attributes.push_back(attributes);
  }
  return true;
}

bool is_attribute_word(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) {
    return continues_name(c) || std::string_view(".+-/").find(c) != std::string_view::npos;
  });
}

}  // namespace settle
