// Stimuli: statements of one line each, so the grammar is read a statement at a time, without
// backtracking or recursion (nested repeats are a stack of open blocks). After an error the rest of
// the statement is skipped. Linear time.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>
#include <utility>

#include "settle/stimulus.h"
#include "text/characters.h"
#include "text/net_name.h"
#include "text/stimulus_lexer.h"
#include "text/time_literal.h"
#include "text/value_literal.h"

namespace settle {
namespace {

using Token = StimulusToken;
using Kind = StimulusStatement::Kind;

constexpr std::uint64_t repeat_limit = 1'000'000'000;

enum class Word : std::uint8_t {
  cell,
  netlist,
  power_up,
  unit,  // the head, each once
  set,
  wait,
  settle,
  expect,
  pulse,
  repeat,
  end,
  clock,
  bounce,
  at,
};
constexpr std::size_t head_words = 4;
constexpr std::array<std::string_view, 14> words = {"cell", "netlist", "power-up", "unit",  "set",
                                                    "wait", "settle",  "expect",   "pulse", "repeat",
                                                    "end",  "clock",   "bounce",   "at"};
/// How each is written, for hints.
constexpr std::array<std::string_view, 14> forms = {
    "cell NAME",
    "netlist \"FILE\"",
    "power-up unknown | random [seed N] | every | NET=VALUE ...",
    "unit TIME",
    "set NET=VALUE ...",
    "wait [TIME]",
    "settle",
    "expect NET=VALUE ... [for TIME] | NET changes N [since TIME] | warning KIND",
    "pulse NET=VALUE ... for TIME",
    "repeat N",
    "end",
    "clock NET period TIME high TIME [until TIME]",
    "bounce NET=VALUE edges N within TIME [seed N]",
    "at TIME [STATEMENT]"};
constexpr std::array<std::string_view, 3> power_up_words = {"unknown", "random", "every"};

bool is_head(Word word) { return static_cast<std::size_t>(word) < head_words; }

std::optional<Word> word_from(std::string_view text) {
  const auto found = std::find(words.begin(), words.end(), text);
  if (found == words.end()) return std::nullopt;
  return static_cast<Word>(found - words.begin());
}

class Parser {
 public:
  Parser(Stimulus& stimulus, std::string_view text, const Sources& sources, Diagnostics& diagnostics)
      : stimulus_(stimulus),
        text_(text),
        sources_(sources),
        diagnostics_(diagnostics),
        lexer_(stimulus.file, text, diagnostics) {
    head_at_.fill(absent);
  }

  void parse();

 private:
  static constexpr std::uint32_t absent = std::numeric_limits<std::uint32_t>::max();

  // Words of the present statement.
  const Token& peek(std::size_t ahead = 0) const {
    return tokens_[std::min(at_ + ahead, tokens_.size() - 1)];
  }
  std::string_view text_of(const Token& token) const { return text_.substr(token.offset, token.length); }
  bool at_end() const { return peek().kind == Token::Kind::end; }
  /// A word that is not the net of an assignment, so that nets may be called like keywords.
  bool at_plain_word() const {
    return peek().kind == Token::Kind::word && peek(1).kind != Token::Kind::equals;
  }
  bool at_keyword(std::string_view keyword) const { return at_plain_word() && text_of(peek()) == keyword; }
  bool take_keyword(std::string_view keyword);
  bool require_keyword(std::string_view keyword);

  // Messages; all give false.
  bool fail(std::uint32_t offset, std::string text, std::string hint = {});
  bool fail(const Token& token, const TextError& error);
  bool fail_missing(std::string_view what);
  bool fail_unexpected();
  std::string form_hint() const { return fmt::format("write: {}", forms[static_cast<std::size_t>(word_)]); }
  std::string line_of(std::uint32_t offset) const;

  void parse_line();
  bool start_statement();
  bool unknown_statement();
  bool parse_head();
  bool parse_action(StimulusStatement& statement);
  void open_block(std::uint32_t offset);
  bool close_block();
  void keep_blocks_balanced();

  bool parse_cell();
  bool parse_netlist_file();
  bool parse_power_up();
  bool parse_wait(StimulusStatement& statement);
  bool parse_expect(StimulusStatement& statement);
  bool parse_changes(StimulusStatement& statement);
  bool parse_warning(StimulusStatement& statement);
  bool parse_pulse(StimulusStatement& statement);
  bool parse_clock(StimulusStatement& statement);
  bool parse_bounce(StimulusStatement& statement);

  bool read_net(std::string& net, std::uint32_t& offset, std::uint32_t& length);
  bool read_assignment(Assignment& assignment);
  bool read_assignments(std::vector<Assignment>& assignments);
  bool read_settings(std::vector<Assignment>& assignments);
  bool read_time(Duration& duration, std::uint32_t& offset);
  bool read_number(std::string_view what, std::uint64_t& number);
  bool read_seed(std::uint64_t& seed);
  bool read_repeat_count(std::uint64_t& count);

  Stimulus& stimulus_;
  std::string_view text_;
  const Sources& sources_;
  Diagnostics& diagnostics_;
  StimulusLexer lexer_;
  std::vector<Token> tokens_;
  std::size_t at_ = 0;
  std::string_view wanted_;                          // the keyword last looked for in vain,
  std::size_t wanted_at_ = 0;                        // and where
  Word word_ = Word::set;                            // first word of the present statement
  std::array<std::uint32_t, head_words> head_at_{};  // where each stands, or absent
  std::uint32_t first_action_at_ = absent;
  std::vector<std::uint32_t> open_blocks_;  // indices of repeat statements
};

void Parser::parse() {
  while (!diagnostics_.is_full() && lexer_.next(tokens_)) {
    at_ = wanted_at_ = 0;
    parse_line();
  }
  for (const std::uint32_t index : open_blocks_) {
    StimulusStatement& repeat = stimulus_.statements[index];
    repeat.body_end = static_cast<std::uint32_t>(stimulus_.statements.size());
    if (diagnostics_.is_full()) continue;  // the rest was not read
    fail(repeat.offset, fmt::format("the 'repeat' on {} has no 'end'", line_of(repeat.offset)));
  }
}

/// One statement, or several `at T` with the statement behind them.
void Parser::parse_line() {
  for (;;) {
    const std::size_t first = at_;
    if (lexer_.is_damaged() || !start_statement()) {
      at_ = first;
      keep_blocks_balanced();
      return;
    }
    if (at_end()) return;
    if (word_ != Word::at) {
      fail_unexpected();
      return;
    }
  }
}

bool Parser::start_statement() {
  const Token& token = peek();
  const auto word = token.kind == Token::Kind::word ? word_from(text_of(token)) : std::nullopt;
  if (!word) return unknown_statement();
  word_ = *word;
  ++at_;
  if (is_head(word_)) {
    std::uint32_t& head_at = head_at_[static_cast<std::size_t>(word_)];
    if (head_at != absent) {
      return fail(token.offset, fmt::format("'{}' is written twice", text_of(token)),
                  fmt::format("the first is on {}", line_of(head_at)));
    }
    head_at = token.offset;
    if (first_action_at_ != absent) {
      return fail(token.offset, fmt::format("'{}' must stand before the first action", text_of(token)),
                  fmt::format("the first action is on {}", line_of(first_action_at_)));
    }
    return parse_head();
  }
  if (first_action_at_ == absent) first_action_at_ = token.offset;
  if (word_ == Word::end) return close_block();
  if (word_ == Word::repeat) {
    open_block(token.offset);
    std::uint64_t& count = stimulus_.statements.back().count;
    if (!read_repeat_count(count)) {
      count = 1;
      at_ = tokens_.size() - 1;  // the block is open, so this is no failed statement
    }
    return true;
  }
  StimulusStatement statement;
  statement.offset = token.offset;
  statement.length = token.length;
  if (!parse_action(statement)) return false;
  stimulus_.statements.push_back(std::move(statement));
  return true;
}

bool Parser::read_repeat_count(std::uint64_t& count) {
  const std::uint32_t offset = peek().offset;
  if (!read_number("number of repeats", count)) return false;
  if (count >= 1 && count <= repeat_limit) return true;
  return fail(offset, fmt::format("a repeat runs 1 to {} times, not {}", repeat_limit, count),
              count == 0 ? "put '#' in front of statements to leave them out" : "");
}

bool Parser::unknown_statement() {
  const Token& token = peek();
  if (token.kind != Token::Kind::word) {
    return fail(token.offset - (token.kind == Token::Kind::string ? 1 : 0), "a statement starts with a word");
  }
  const std::string_view text = text_of(token);
  if (text.starts_with("-")) return fail(token.offset, fmt::format("unexpected '{}'", shortened(text)));
  const std::string message = fmt::format("'{}' is not a statement", shortened(text));
  if (peek(1).kind == Token::Kind::equals) {
    return fail(token.offset, message, fmt::format("to change an input write: set {}=...", shortened(text)));
  }
  const std::string_view nearest = nearest_name(text, words);
  if (!nearest.empty()) return fail(token.offset, message, fmt::format("did you mean '{}'?", nearest));
  return fail(token.offset, message, fmt::format("statements are {}", fmt::join(words, ", ")));
}

/// After an error: a `repeat` or `end` in what is skipped still counts, or each would bring a
/// second message far away.
void Parser::keep_blocks_balanced() {
  bool may_start = true;
  for (; !at_end(); ++at_) {
    if (!at_plain_word()) continue;
    const std::string_view text = text_of(peek());
    const auto is_like = [&](Word word) {
      const std::string_view name = words[static_cast<std::size_t>(word)];
      return text == name || (may_start && nearest_name(text, words) == name);
    };
    if (is_like(Word::repeat)) {
      open_block(peek().offset);
      return;
    }
    if (text == "end") {
      if (!open_blocks_.empty()) close_block();
      return;
    }
    if (may_start && text != "at") return;  // only `at` is followed by a second statement
    may_start = false;
  }
}

void Parser::open_block(std::uint32_t offset) {
  StimulusStatement repeat;
  repeat.kind = Kind::repeat;
  repeat.offset = offset;
  repeat.length = 6;
  repeat.count = 1;
  open_blocks_.push_back(static_cast<std::uint32_t>(stimulus_.statements.size()));
  stimulus_.statements.push_back(std::move(repeat));
}

bool Parser::close_block() {
  if (open_blocks_.empty()) return fail(tokens_[at_ - 1].offset, "'end' without 'repeat'");
  stimulus_.statements[open_blocks_.back()].body_end =
      static_cast<std::uint32_t>(stimulus_.statements.size());
  open_blocks_.pop_back();
  return true;
}

bool Parser::parse_head() {
  switch (word_) {
    case Word::cell: return parse_cell();
    case Word::netlist: return parse_netlist_file();
    case Word::power_up: return parse_power_up();
    default: break;
  }
  Duration unit;
  if (!read_time(unit, stimulus_.unit_offset)) return false;
  if (unit.count == 0) return fail(stimulus_.unit_offset, "the unit must be at least 1");
  stimulus_.unit = unit;
  return true;
}

bool Parser::parse_cell() {
  const Token& token = peek();
  if (token.kind == Token::Kind::end) return fail_missing("a name");
  const std::string_view name = text_of(token);
  if (token.kind == Token::Kind::string) return fail(token.offset - 1, "names are written without quotes");
  if (token.kind != Token::Kind::word) return fail_unexpected();
  const auto wrong = std::find_if_not(name.begin(), name.end(), continues_name);
  if (wrong != name.end() || !starts_name(name[0])) {
    return fail(token.offset + static_cast<std::uint32_t>(wrong == name.end() ? 0 : wrong - name.begin()),
                fmt::format("'{}' is not the name of a cell", shortened(name)),
                "a name is made of letters, digits and '_', and starts with no digit");
  }
  stimulus_.cell = name;
  stimulus_.cell_offset = token.offset;
  ++at_;
  return true;
}

bool Parser::parse_netlist_file() {
  const Token& token = peek();
  if (token.kind == Token::Kind::end) return fail_missing("a file name in quotes");
  if (token.kind != Token::Kind::string) {
    const std::string_view name = text_of(token);
    return fail(token.offset, "the file name must be in quotes",
                token.kind == Token::Kind::word ? fmt::format("write: netlist \"{}\"", shortened(name))
                                                : form_hint());
  }
  if (token.length == 0) return fail(token.offset - 1, "the file name is empty");
  stimulus_.netlist = text_of(token);
  stimulus_.netlist_offset = token.offset;
  ++at_;
  return true;
}

bool Parser::parse_power_up() {
  PowerUp& power_up = stimulus_.power_up;
  power_up.offset = tokens_[at_ - 1].offset;
  if (at_end()) return fail_missing("the way to power up");
  if (!at_plain_word()) {
    power_up.kind = PowerUp::Kind::chosen;
    return read_settings(power_up.values);
  }
  if (take_keyword("unknown")) return true;
  if (take_keyword("every")) {
    power_up.kind = PowerUp::Kind::every;
    return true;
  }
  if (take_keyword("random")) {
    power_up.kind = PowerUp::Kind::random;
    return read_seed(power_up.seed);
  }
  const std::string_view text = text_of(peek());
  const std::string_view nearest = nearest_name(text, power_up_words);
  return fail(peek().offset, fmt::format("'{}' is not a way to power up", shortened(text)),
              nearest.empty() ? form_hint() : fmt::format("did you mean '{}'?", nearest));
}

bool Parser::parse_action(StimulusStatement& statement) {
  switch (word_) {
    case Word::set: statement.kind = Kind::set; return read_settings(statement.assignments);
    case Word::wait: return parse_wait(statement);
    case Word::settle: statement.kind = Kind::settle; return true;
    case Word::expect: return parse_expect(statement);
    case Word::pulse: return parse_pulse(statement);
    case Word::clock: return parse_clock(statement);
    case Word::bounce: return parse_bounce(statement);
    case Word::at: statement.kind = Kind::at; return read_time(statement.duration, statement.duration_offset);
    default: return false;  // the others are dealt with in start_statement()
  }
}

bool Parser::parse_wait(StimulusStatement& statement) {
  statement.kind = Kind::wait;
  if (!at_end()) return read_time(statement.duration, statement.duration_offset);
  statement.duration = stimulus_.unit;
  statement.duration_offset = statement.offset;
  return true;
}

bool Parser::parse_expect(StimulusStatement& statement) {
  if (at_plain_word() && peek(1).kind == Token::Kind::word && text_of(peek(1)) == "changes") {
    return parse_changes(statement);
  }
  if (take_keyword("warning")) return parse_warning(statement);
  statement.kind = Kind::expect;
  if (!read_assignments(statement.assignments)) return false;
  if (!take_keyword("for")) return true;
  statement.kind = Kind::expect_for;
  if (!read_time(statement.duration, statement.duration_offset)) return false;
  if (statement.duration.count != 0) return true;
  return fail(statement.duration_offset, "'for' needs a time above 0",
              "to look at this instant only, leave 'for' out");
}

bool Parser::parse_changes(StimulusStatement& statement) {
  statement.kind = Kind::expect_changes;
  if (!read_net(statement.net, statement.net_offset, statement.net_length)) return false;
  ++at_;  // changes
  if (!read_number("number of changes", statement.count)) return false;
  return !take_keyword("since") || read_time(statement.since, statement.since_offset);
}

bool Parser::parse_warning(StimulusStatement& statement) {
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

bool Parser::parse_pulse(StimulusStatement& statement) {
  statement.kind = Kind::pulse;
  if (!read_settings(statement.assignments)) return false;
  if (!require_keyword("for")) return false;
  if (!read_time(statement.duration, statement.duration_offset)) return false;
  return statement.duration.count != 0 || fail(statement.duration_offset, "the pulse must be longer than 0");
}

bool Parser::parse_clock(StimulusStatement& statement) {
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

bool Parser::parse_bounce(StimulusStatement& statement) {
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

bool Parser::read_net(std::string& net, std::uint32_t& offset, std::uint32_t& length) {
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

bool Parser::read_assignment(Assignment& assignment) {
  if (peek().kind == Token::Kind::equals) return fail(peek().offset, "the net before '=' is missing");
  if (peek().kind == Token::Kind::string) return fail_unexpected();
  if (!read_net(assignment.net, assignment.offset, assignment.length)) return false;
  if (peek().kind != Token::Kind::equals) {
    const std::string net = shortened(assignment.net);
    const bool is_statement = word_from(assignment.net).has_value();
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

bool Parser::read_assignments(std::vector<Assignment>& assignments) {
  while (!at_end() && !at_keyword("for")) {
    if (!read_assignment(assignments.emplace_back())) return false;
  }
  if (assignments.empty()) return fail_missing("NET=VALUE");
  return true;
}

/// Like read_assignments(), for statements that give values to nets: each bit only once.
bool Parser::read_settings(std::vector<Assignment>& assignments) {
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

bool Parser::read_time(Duration& duration, std::uint32_t& offset) {
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

bool Parser::read_number(std::string_view what, std::uint64_t& number) {
  const Token& token = peek();
  if (token.kind != Token::Kind::word) return fail_missing(fmt::format("the {}", what));
  if (const auto error = read_count(text_of(token), what, number)) return fail(token, *error);
  ++at_;
  return true;
}

bool Parser::read_seed(std::uint64_t& seed) { return !take_keyword("seed") || read_number("seed", seed); }

bool Parser::take_keyword(std::string_view keyword) {
  if (!at_keyword(keyword)) {
    wanted_ = keyword;
    wanted_at_ = at_;
    return false;
  }
  ++at_;
  return true;
}

bool Parser::require_keyword(std::string_view keyword) {
  if (take_keyword(keyword)) return true;
  if (at_plain_word() && !nearest_name(text_of(peek()), std::array{keyword}).empty())
    return fail_unexpected();
  return fail_missing(fmt::format("'{}'", keyword));
}

bool Parser::fail(std::uint32_t offset, std::string text, std::string hint) {
  diagnostics_.error({stimulus_.file, offset}, std::move(text), std::move(hint));
  return false;
}

bool Parser::fail(const Token& token, const TextError& error) {
  return fail(token.offset + static_cast<std::uint32_t>(error.at), error.text, error.hint);
}

bool Parser::fail_missing(std::string_view what) {
  const std::uint32_t quote = peek().kind == Token::Kind::string ? 1 : 0;
  return fail(peek().offset - quote, fmt::format("{} is missing", what), form_hint());
}

bool Parser::fail_unexpected() {
  const Token& token = peek();
  if (token.kind == Token::Kind::string)
    return fail(token.offset - 1, "unexpected text in quotes", form_hint());
  const std::string_view text = text_of(token);
  const std::string message = fmt::format("unexpected '{}'", shortened(text));
  if (wanted_at_ == at_ && !nearest_name(text, std::array{wanted_}).empty()) {
    return fail(token.offset, message, fmt::format("did you mean '{}'?", wanted_));
  }
  const bool is_statement = token.kind == Token::Kind::word && word_from(text);
  return fail(token.offset, message,
              is_statement ? "statements are separated by ';' or line ends" : form_hint());
}

std::string Parser::line_of(std::uint32_t offset) const {
  return fmt::format("line {}", sources_.locate({stimulus_.file, offset}).line);
}

}  // namespace

Stimulus parse_stimulus(const std::string& path, FileReader& files, Sources& sources,
                        Diagnostics& diagnostics) {
  Stimulus stimulus;
  std::string text, error;
  if (!files.read(path, text, error)) {
    diagnostics.error({}, fmt::format("cannot read '{}': {}", path, error));
    return stimulus;
  }
  if (text.size() >= Place::none) {
    diagnostics.error({}, fmt::format("cannot read '{}': it is larger than 4 GiB", path));
    return stimulus;
  }
  stimulus.file = sources.add(path, std::move(text));
  const std::string_view stored = sources.text(stimulus.file);
  if (const std::size_t at = stored.find('\0'); at != std::string_view::npos) {
    diagnostics.error({stimulus.file, static_cast<std::uint32_t>(at)},
                      "this is not a text: it has a zero byte", "stimuli are texts in UTF-8");
    return stimulus;
  }
  Parser(stimulus, stored, sources, diagnostics).parse();
  return stimulus;
}

}  // namespace settle
