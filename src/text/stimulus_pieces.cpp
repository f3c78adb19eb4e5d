// What the statements of a stimulus are made of, and the messages about them.
#include <fmt/format.h>

#include <array>
#include <utility>

#include "text/net_name.h"
#include "text/stimulus_parser.h"
#include "text/time_literal.h"
#include "text/value_literal.h"

namespace settle {

bool StimulusParser::read_net(std::string& net, std::uint32_t& offset, std::uint32_t& length) {
  const Token& token = peek();
  if (token.kind != Token::Kind::word) return fail_missing("a net");
  const std::string_view name = text_of(token);
  if (const auto error = check_net_name(name)) return fail(token, *error);
  net = name;
  offset = token.offset;
  length = token.length;
  ++at_;
  return true;
}

bool StimulusParser::read_assignment(Assignment& assignment) {
  if (peek().kind == Token::Kind::equals) return fail(peek().offset, "the net before '=' is missing");
  if (peek().kind == Token::Kind::string) return fail_unexpected();
  if (!read_net(assignment.net, assignment.offset, assignment.length)) return false;
  if (peek().kind != Token::Kind::equals) {
    const std::string net = shortened(assignment.net);
    const bool is_statement = stimulus_word_from(assignment.net).has_value();
    return fail(
        assignment.offset, fmt::format("'{}' has no value", net),
        is_statement ? "statements are separated by ';' or line ends" : fmt::format("write: {}=1", net));
  }
  ++at_;
  const Token& token = peek();
  if (token.kind == Token::Kind::equals) {
    return fail(token.offset, "unexpected '='", "an assignment and an expectation have a single '='");
  }
  if (token.kind == Token::Kind::string) return fail(token.offset - 1, "values are written without quotes");
  if (!at_plain_word()) {
    return fail(tokens_[at_ - 1].offset + 1,
                fmt::format("the value of '{}' is missing", shortened(assignment.net)));
  }
  if (const auto error = read_value(text_of(token), assignment.value)) return fail(token, *error);
  assignment.value.offset = token.offset;
  assignment.value.length = token.length;
  ++at_;
  return true;
}

bool StimulusParser::read_assignments(std::vector<Assignment>& assignments) {
  while (!at_end() && !at_keyword("for")) {
    if (!read_assignment(assignments.emplace_back())) return false;
  }
  if (assignments.empty()) return fail_missing("NET=VALUE");
  return true;
}

/// Like read_assignments(), for statements that give values to nets: each bit only once.
bool StimulusParser::read_settings(std::vector<Assignment>& assignments) {
  if (!read_assignments(assignments)) return false;
  if (const auto overlap = first_overlap(assignments)) {
    const Assignment& earlier = assignments[overlap->earlier];
    const Assignment& later = assignments[overlap->later];
    return fail(
        later.offset, fmt::format("'{}' is set twice in one statement", shortened(later.net)),
        earlier.net == later.net ? "" : fmt::format("'{}' has bits of it, too", shortened(earlier.net)));
  }
  return true;
}

bool StimulusParser::read_time(Duration& duration, std::uint32_t& offset) {
  const Token& token = peek();
  if (token.kind != Token::Kind::word) return fail_missing("a time");
  const Token& next = peek(1);
  const bool next_is_plain = next.kind == Token::Kind::word && peek(2).kind != Token::Kind::equals;
  bool took_next = false;
  const auto error =
      read_duration(text_of(token), next_is_plain ? text_of(next) : std::string_view(), duration, took_next);
  if (error) return fail(token, *error);
  if (const auto wrong = misspelt_unit(text_of(next)); next_is_plain && !took_next && wrong)
    return fail(next, *wrong);
  offset = token.offset;
  at_ += took_next ? 2 : 1;
  if (duration.unit != TimeUnit::none &&
      (stimulus_.finest_unit == TimeUnit::none || duration.unit < stimulus_.finest_unit)) {
    stimulus_.finest_unit = duration.unit;
  }
  return true;
}

bool StimulusParser::read_number(std::string_view what, std::uint64_t& number) {
  const Token& token = peek();
  if (token.kind != Token::Kind::word) return fail_missing(fmt::format("the {}", what));
  if (const auto error = read_count(text_of(token), what, number)) return fail(token, *error);
  ++at_;
  return true;
}

bool StimulusParser::read_seed(std::uint64_t& seed) {
  return !take_keyword("seed") || read_number("seed", seed);
}

bool StimulusParser::take_keyword(std::string_view keyword) {
  if (!at_keyword(keyword)) {
    wanted_ = keyword;
    wanted_at_ = at_;
    return false;
  }
  ++at_;
  return true;
}

bool StimulusParser::require_keyword(std::string_view keyword) {
  if (take_keyword(keyword)) return true;
  if (at_plain_word() && !nearest_name(text_of(peek()), std::array{keyword}).empty())
    return fail_unexpected();
  return fail_missing(fmt::format("'{}'", keyword));
}

bool StimulusParser::fail(std::uint32_t offset, std::string text, std::string hint) {
  diagnostics_.error({stimulus_.file, offset}, std::move(text), std::move(hint));
  return false;
}

bool StimulusParser::fail(const Token& token, const TextError& error) {
  return fail(token.offset + static_cast<std::uint32_t>(error.at), error.text, error.hint);
}

bool StimulusParser::fail_missing(std::string_view what) {
  const std::uint32_t quote = peek().kind == Token::Kind::string ? 1 : 0;
  return fail(peek().offset - quote, fmt::format("{} is missing", what), form_hint());
}

bool StimulusParser::fail_unexpected() {
  const Token& token = peek();
  if (token.kind == Token::Kind::string)
    return fail(token.offset - 1, "unexpected text in quotes", form_hint());
  const std::string_view text = text_of(token);
  const std::string message = fmt::format("unexpected '{}'", shortened(text));
  if (wanted_at_ == at_ && !nearest_name(text, std::array{wanted_}).empty()) {
    return fail(token.offset, message, fmt::format("did you mean '{}'?", wanted_));
  }
  const bool is_statement = token.kind == Token::Kind::word && stimulus_word_from(text);
  return fail(token.offset, message,
              is_statement ? "statements are separated by ';' or line ends" : form_hint());
}

std::string StimulusParser::line_of(std::uint32_t offset) const {
  return fmt::format("line {}", sources_.locate({stimulus_.file, offset}).line);
}

}  // namespace settle
