// Characters of a stimulus -> the words of one statement at a time.
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"

namespace settle {

struct StimulusToken {
  enum class Kind : std::uint8_t {
    word,    ///< letters, digits and _ . [ ] : + -; or one of -> <= >=
    equals,  ///< =
    string,  ///< "...", without the quotes
    end,     ///< ; line end, end of the text
  };
  Kind kind = Kind::end;
  std::uint32_t offset = 0, length = 0;  ///< of an end: behind the word before it
};

/// Cuts a text into statements. Comments, blanks, `\` continuations, CRLF line ends and a leading
/// byte order mark are skipped. One pass, one statement in memory.
class StimulusLexer {
 public:
  /// The text must outlive the lexer and be shorter than 4 GiB.
  StimulusLexer(std::uint32_t file, std::string_view text, Diagnostics& diagnostics);

  /// The words of the next statement, never empty ones, with one `end` last. False at the end of
  /// the text. Sets is_damaged() when some of it could not be read; that has been reported.
  bool next(std::vector<StimulusToken>& tokens);
  bool is_damaged() const { return is_damaged_; }

 private:
  void skip_comment();
  /// After a `\`: goes on to the next line.
  void continue_line();
  void read_string(std::vector<StimulusToken>& tokens);
  void read_word(std::vector<StimulusToken>& tokens);
  void refuse_character();
  void error(std::size_t offset, std::string text, std::string hint = {});

  std::string_view text_;
  std::size_t at_ = 0;
  std::uint32_t file_;
  bool is_damaged_ = false;
  Diagnostics& diagnostics_;
};

}  // namespace settle
