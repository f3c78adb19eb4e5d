// The reader of stimuli. Statements of one line each are read a statement at a time, without
// backtracking or recursion (nested repeats are a stack of open blocks). After an error the rest of
// the statement is skipped. Linear time, but for the search of bits set twice (n log n in one
// statement).
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "settle/stimulus.h"
#include "text/stimulus_lexer.h"
#include "text/stimulus_words.h"
#include "text/text_error.h"

namespace settle {

/// Fills a Stimulus from its text.
class StimulusParser {
 public:
  /// All must outlive the parser; the text is that of stimulus.file.
  StimulusParser(Stimulus& stimulus, std::string_view text, const Sources& sources, Diagnostics& diagnostics)
      : stimulus_(stimulus),
        text_(text),
        sources_(sources),
        diagnostics_(diagnostics),
        lexer_(stimulus.file, text, diagnostics) {
    head_at_.fill(absent);
  }

  /// To be called once.
  void parse();

 private:
  using Token = StimulusToken;
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
  std::string form_hint() const { return fmt::format("write: {}", stimulus_form(word_)); }
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
  bool parse_time_between(StimulusStatement& statement);
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
  std::string_view wanted_;                                   // the keyword last looked for in vain,
  std::size_t wanted_at_ = 0;                                 // and where
  StimulusWord word_ = StimulusWord::set;                     // first word of the present statement
  std::array<std::uint32_t, stimulus_head_words> head_at_{};  // where each stands, or absent
  std::uint32_t first_action_at_ = absent;
  std::vector<std::uint32_t> open_blocks_;  // indices of repeat statements
};

}  // namespace settle
