// Tokens of structural IEEE 1364-2005 text (clause 3).
#pragma once

#include <cstdint>
#include <string_view>

#include "settle/diagnostic.h"

namespace settle {

struct HdlToken {
  enum class Kind : std::uint8_t {
    name,        ///< simple identifier or keyword; text as written
    escaped,     ///< \name, text without the backslash
    number,      ///< decimal digits, '.', ' and base letters: 12, 1.5, 1'b0
    string,      ///< text without the quotes
    directive,   ///< `timescale, text without the grave accent
    mark,        ///< one character, or (* and *)
    end,         ///< of the text
  };
  Kind kind = Kind::end;
  std::string_view text;
  std::uint32_t offset = 0;
  bool is(std::string_view mark) const { return kind == Kind::mark && text == mark; }
  bool is_word(std::string_view word) const { return kind == Kind::name && text == word; }
  bool is_identifier() const { return kind == Kind::name || kind == Kind::escaped; }
};

class HdlLexer {
 public:
  HdlLexer(std::string_view text, std::uint32_t file, Diagnostics& diagnostics)
      : text_(text), file_(file), diagnostics_(diagnostics) {}
  /// The next token; blanks and comments vanish. A comment or string without end is reported.
  HdlToken next();
  /// The rest of the line, for directives.
  std::string_view rest_of_line();

 private:
  void skip_blanks();
  HdlToken make(HdlToken::Kind kind, std::size_t begin, std::size_t end, std::size_t place) const {
    return {kind, text_.substr(begin, end - begin), static_cast<std::uint32_t>(place)};
  }
  std::string_view text_;
  std::uint32_t file_;
  Diagnostics& diagnostics_;
  std::size_t at_ = 0;
};

}  // namespace settle
