// Characters -> tokens, one at a time, for netlists.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "settle/diagnostic.h"
#include "settle/source.h"

namespace settle {

enum class TokenKind : std::uint8_t {
  word,           ///< letters, digits and _, not starting with a digit
  number,         ///< digits only
  number_word,    ///< starts with a digit, has letters: never right
  string,         ///< "...", quotes included
  colon, equals, arrow, open_bracket, close_bracket, open_brace, close_brace,
  line_end,       ///< not consumed: skip_line() goes on
  file_end,
  bad,            ///< an error that has been reported
};

struct Token {
  TokenKind kind = TokenKind::file_end;
  std::uint32_t begin = 0, end = 0;  ///< byte offsets
};

/// One pass over a text. Blanks, comments and continued lines vanish here. What cannot be part of
/// any netlist (control characters, bytes that are not UTF-8, stray signs) is reported here.
class Lexer {
 public:
  Lexer() = default;
  /// `text` must be followed by a NUL byte, as the texts of Sources are.
  Lexer(std::string_view text, std::uint32_t file, Diagnostics& diagnostics);

  Token next();
  /// The run of letters, digits and . _ + - / that stands next: the value of an attribute.
  Token value();
  /// Goes to the start of the next line; continued lines count as one.
  void skip_line();
  /// The rest of the line from here on, without its comment; continuations become blanks. Gives
  /// false when a character in it had to be reported.
  bool rest_of_line(std::string& text);

  std::string_view text(Token token) const { return {start_ + token.begin, token.end - token.begin}; }
  std::uint32_t file() const { return file_; }
  Place place(Token token) const { return {file_, token.begin}; }

 private:
  enum Class : std::uint8_t { other, blank, letter, digit, mark };
  static const std::array<std::uint8_t, 256> classes;
  static unsigned char_class(char c) { return classes[static_cast<unsigned char>(c)]; }

  Token make(TokenKind kind, const char* begin) const {
    return {kind, static_cast<std::uint32_t>(begin - start_), static_cast<std::uint32_t>(at_ - start_)};
  }
  Token special();
  Token string();
  Token comment();
  Token stray();
  Token report(std::string text, std::string hint);
  bool skip_continuation();
  /// False when the character at at_ is not fit for a text; then it has been reported.
  bool skip_text_character();

  const char* start_ = nullptr;
  const char* at_ = nullptr;
  const char* end_ = nullptr;
  std::uint32_t file_ = Place::none;
  Diagnostics* diagnostics_ = nullptr;
};

inline Token Lexer::next() {
  for (;;) {
    switch (char_class(*at_)) {
      case blank:
        ++at_;
        continue;
      case letter: {
        const char* begin = at_;
        do ++at_;
        while (char_class(*at_) - letter <= 1u);
        return make(TokenKind::word, begin);
      }
      case digit: {
        const char* begin = at_;
        do ++at_;
        while (char_class(*at_) == digit);
        if (char_class(*at_) != letter) return make(TokenKind::number, begin);
        do ++at_;
        while (char_class(*at_) - letter <= 1u);
        return make(TokenKind::number_word, begin);
      }
      case mark: {
        const char* begin = at_;
        const char c = *at_++;
        switch (c) {
          case ':': return make(TokenKind::colon, begin);
          case '=':
            if (*at_ == '>') break;
            return make(TokenKind::equals, begin);
          case '[': return make(TokenKind::open_bracket, begin);
          case ']': return make(TokenKind::close_bracket, begin);
          case '{': return make(TokenKind::open_brace, begin);
          case '}': return make(TokenKind::close_brace, begin);
          case '-':
            if (*at_ == '>') {
              ++at_;
              return make(TokenKind::arrow, begin);
            }
            break;
          case '\n':
            --at_;
            return make(TokenKind::line_end, begin);
          default: break;
        }
        at_ = begin;
        break;
      }
      default: break;
    }
    if (*at_ == '\\' && skip_continuation()) continue;
    return special();
  }
}

}  // namespace settle
