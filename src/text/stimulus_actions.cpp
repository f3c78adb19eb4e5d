// The statements of a stimulus behind its head.
#include <fmt/format.h>

#include <algorithm>

#include "text/stimulus_parser.h"
#include "text/time_literal.h"

namespace settle {
namespace {

using Kind = StimulusStatement::Kind;

}  // namespace

bool StimulusParser::parse_action(StimulusStatement& statement) {
  switch (word_) {
    case StimulusWord::set: statement.kind = Kind::set; return read_settings(statement.assignments);
    case StimulusWord::wait: return parse_wait(statement);
    case StimulusWord::settle: statement.kind = Kind::settle; return true;
    case StimulusWord::expect: return parse_expect(statement);
    case StimulusWord::pulse: return parse_pulse(statement);
    case StimulusWord::clock: return parse_clock(statement);
    case StimulusWord::bounce: return parse_bounce(statement);
    case StimulusWord::at:
      statement.kind = Kind::at;
      return read_time(statement.duration, statement.duration_offset);
    case StimulusWord::observe:
      statement.kind = Kind::observe;
      return read_assignments(statement.assignments);
    default: return false;  // the others are dealt with in start_statement()
  }
}

bool StimulusParser::parse_wait(StimulusStatement& statement) {
  statement.kind = Kind::wait;
  if (!at_end()) return read_time(statement.duration, statement.duration_offset);
  statement.duration = stimulus_.unit;
  statement.duration_offset = statement.offset;
  return true;
}

bool StimulusParser::parse_expect(StimulusStatement& statement) {
  if (at_plain_word() && peek(1).kind == Token::Kind::word && text_of(peek(1)) == "changes") {
    return parse_changes(statement);
  }
  if (take_keyword("warning")) return parse_warning(statement);
  if (at_keyword("delay") || at_keyword("setup") || at_keyword("hold")) return parse_time_between(statement);
  statement.kind = Kind::expect;
  if (!read_assignments(statement.assignments)) return false;
  if (!take_keyword("for")) return true;
  statement.kind = Kind::expect_for;
  if (!read_time(statement.duration, statement.duration_offset)) return false;
  if (statement.duration.count != 0) return true;
  return fail(statement.duration_offset, "'for' needs a time above 0",
              "to look at this instant only, leave 'for' out");
}

bool StimulusParser::parse_changes(StimulusStatement& statement) {
  statement.kind = Kind::expect_changes;
  if (!read_net(statement.net, statement.net_offset, statement.net_length)) return false;
  ++at_;  // changes
  if (!read_number("number of changes", statement.count)) return false;
  return !take_keyword("since") || read_time(statement.since, statement.since_offset);
}

// delay NET -> NET <= TIME, setup NET before NET [rises|falls] >= TIME, hold NET after ...
bool StimulusParser::parse_time_between(StimulusStatement& statement) {
  statement.kind = Kind::expect_time;
  statement.word = text_of(peek());
  statement.word_offset = peek().offset;
  ++at_;
  const bool is_delay = statement.word == "delay";
  if (!read_net(statement.net, statement.net_offset, statement.net_length)) return false;
  if (!require_keyword(is_delay ? "->" : statement.word == "setup" ? "before" : "after")) return false;
  if (!read_net(statement.other_net, statement.other_offset, statement.other_length)) return false;
  if (!is_delay && take_keyword("rises")) {
    statement.other_rises = true;
  } else if (!is_delay && take_keyword("falls")) {
    statement.other_rises = false;
  }
  return require_keyword(is_delay ? "<=" : ">=") && read_time(statement.duration, statement.duration_offset);
}

bool StimulusParser::parse_warning(StimulusStatement& statement) {
  statement.kind = Kind::expect_warning;
  if (at_end()) return fail_missing("the kind of warning");
  if (peek().kind != Token::Kind::word) return fail_unexpected();
  const std::string_view text = text_of(peek());
  if (std::find(warning_words.begin(), warning_words.end(), text) == warning_words.end()) {
    const std::string_view nearest = nearest_name(text, warning_words);
    return fail(peek().offset, fmt::format("'{}' is not a kind of warning", shortened(text)),
                nearest.empty() ? fmt::format("kinds are {}", fmt::join(warning_words, ", "))
                                : fmt::format("did you mean '{}'?", nearest));
  }
  statement.word = text;
  statement.word_offset = peek().offset;
  ++at_;
  return true;
}

bool StimulusParser::parse_pulse(StimulusStatement& statement) {
  statement.kind = Kind::pulse;
  if (!read_settings(statement.assignments)) return false;
  if (!require_keyword("for")) return false;
  if (!read_time(statement.duration, statement.duration_offset)) return false;
  return statement.duration.count != 0 || fail(statement.duration_offset, "the pulse must be longer than 0");
}

bool StimulusParser::parse_clock(StimulusStatement& statement) {
  statement.kind = Kind::clock;
  if (!read_net(statement.net, statement.net_offset, statement.net_length)) return false;
  if (!require_keyword("period")) return false;
  if (!read_time(statement.period, statement.period_offset)) return false;
  if (!require_keyword("high")) return false;
  if (!read_time(statement.high, statement.high_offset)) return false;
  if (statement.high.count == 0) return fail(statement.high_offset, "the clock must be high for more than 0");
  if (const auto longer = is_longer(statement.period, statement.high); longer && !*longer) {
    return fail(statement.period_offset,
                "the period must be longer than the time for which the clock is high");
  }
  if (!take_keyword("until")) return true;
  statement.has_until = true;
  return read_time(statement.until, statement.until_offset);
}

bool StimulusParser::parse_bounce(StimulusStatement& statement) {
  statement.kind = Kind::bounce;
  if (at_end()) return fail_missing("NET=VALUE");
  Assignment& assignment = statement.assignments.emplace_back();
  if (!read_assignment(assignment)) return false;
  const std::string_view bits = assignment.value.bits;
  if (bits != "0" && bits != "1") {
    return fail(assignment.value.offset, "a contact bounces to 0 or 1 only");
  }
  if (!take_keyword("edges")) {
    if (peek(1).kind == Token::Kind::equals) {
      return fail(peek().offset, "one net bounces at a time", form_hint());
    }
    return require_keyword("edges");
  }
  const std::uint32_t edges_at = peek().offset;
  if (!read_number("number of edges", statement.count)) return false;
  if (statement.count % 2 == 0) {
    return fail(edges_at, fmt::format("the number of edges must be odd, not {}", statement.count),
                "with an even number the net ends at the value that it started from");
  }
  if (!require_keyword("within")) return false;
  if (!read_time(statement.duration, statement.duration_offset)) return false;
  // With a unit the count of ticks is not known yet.
  if (statement.duration.unit == TimeUnit::none && statement.duration.count < statement.count - 1) {
    return fail(statement.duration_offset,
                fmt::format("{} edges do not fit within {}", statement.count, statement.duration.count),
                fmt::format("edges fall at different times: write {} or more", statement.count - 1));
  }
  return read_seed(statement.seed);
}

}  // namespace settle
