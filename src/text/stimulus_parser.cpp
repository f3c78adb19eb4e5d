// Lines, blocks and the head of a stimulus.
#include "text/stimulus_parser.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "text/characters.h"

namespace settle {
namespace {

using Kind = StimulusStatement::Kind;

constexpr std::uint64_t repeat_limit = 1'000'000'000;
constexpr std::array<std::string_view, 3> power_up_words = {"unknown", "random", "every"};

}  // namespace

void StimulusParser::parse() {
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
void StimulusParser::parse_line() {
  for (;;) {
    const std::size_t first = at_;
    if (lexer_.is_damaged() || !start_statement()) {
      at_ = first;
      keep_blocks_balanced();
      return;
    }
    if (at_end()) return;
    if (word_ != StimulusWord::at) {
      fail_unexpected();
      return;
    }
  }
}

bool StimulusParser::start_statement() {
  const Token& token = peek();
  const auto word = token.kind == Token::Kind::word ? stimulus_word_from(text_of(token)) : std::nullopt;
  if (!word) return unknown_statement();
  word_ = *word;
  ++at_;
  if (is_stimulus_head(word_)) {
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
  if (word_ == StimulusWord::end) return close_block();
  if (word_ == StimulusWord::repeat) {
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

bool StimulusParser::read_repeat_count(std::uint64_t& count) {
  const std::uint32_t offset = peek().offset;
  if (!read_number("number of repeats", count)) return false;
  if (count >= 1 && count <= repeat_limit) return true;
  return fail(offset, fmt::format("a repeat runs 1 to {} times, not {}", repeat_limit, count),
              count == 0 ? "put '#' in front of statements to leave them out" : "");
}

bool StimulusParser::unknown_statement() {
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
  const std::string_view nearest = nearest_name(text, stimulus_words);
  if (!nearest.empty()) return fail(token.offset, message, fmt::format("did you mean '{}'?", nearest));
  return fail(token.offset, message, fmt::format("statements are {}", fmt::join(stimulus_words, ", ")));
}

/// After an error: a `repeat` or `end` in what is skipped still counts, or each would bring a
/// second message far away.
void StimulusParser::keep_blocks_balanced() {
  bool may_start = true;
  for (; !at_end(); ++at_) {
    if (!at_plain_word()) continue;
    const std::string_view text = text_of(peek());
    const auto is_like = [&](StimulusWord word) {
      const std::string_view name = stimulus_words[static_cast<std::size_t>(word)];
      return text == name || (may_start && nearest_name(text, stimulus_words) == name);
    };
    if (is_like(StimulusWord::repeat)) {
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

void StimulusParser::open_block(std::uint32_t offset) {
  StimulusStatement repeat;
  repeat.kind = Kind::repeat;
  repeat.offset = offset;
  repeat.length = 6;
  repeat.count = 1;
  open_blocks_.push_back(static_cast<std::uint32_t>(stimulus_.statements.size()));
  stimulus_.statements.push_back(std::move(repeat));
}

bool StimulusParser::close_block() {
  if (open_blocks_.empty()) return fail(tokens_[at_ - 1].offset, "'end' without 'repeat'");
  stimulus_.statements[open_blocks_.back()].body_end =
      static_cast<std::uint32_t>(stimulus_.statements.size());
  open_blocks_.pop_back();
  return true;
}

bool StimulusParser::parse_head() {
  switch (word_) {
    case StimulusWord::cell: return parse_cell();
    case StimulusWord::netlist: return parse_netlist_file();
    case StimulusWord::power_up: return parse_power_up();
    default: break;
  }
  Duration unit;
  if (!read_time(unit, stimulus_.unit_offset)) return false;
  if (unit.count == 0) return fail(stimulus_.unit_offset, "the unit must be at least 1");
  stimulus_.unit = unit;
  return true;
}

bool StimulusParser::parse_cell() {
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

bool StimulusParser::parse_netlist_file() {
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

bool StimulusParser::parse_power_up() {
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

Stimulus parse_stimulus(const std::string& path, FileReader& files, Sources& sources,
                        Diagnostics& diagnostics) {
  Stimulus stimulus;
  std::string text, error;
  if (!files.read(path, text, error)) {
    const std::string message = fmt::format("cannot read '{}': {}", path, error);
    if (files.limit_met() != 0) {
      diagnostics.limit({}, message, limit_hint(LimitKind::file, files.limit_met()));
    } else {
      diagnostics.error({}, message);
    }
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
  StimulusParser(stimulus, stored, sources, diagnostics).parse();
  return stimulus;
}

}  // namespace settle
