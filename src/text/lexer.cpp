// The rare tokens and the errors of the lexer; the common path is in the header.
#include "text/lexer.h"

#include <fmt/format.h>

#include <utility>

#include "text/utf8.h"

namespace settle {

constexpr std::array<std::uint8_t, 256> make_classes(unsigned blank, unsigned letter, unsigned digit,
                                                     unsigned mark) {
  std::array<std::uint8_t, 256> table{};
  const auto put = [&](std::string_view characters, unsigned value) {
    for (const char c : characters) table[static_cast<unsigned char>(c)] = static_cast<std::uint8_t>(value);
  };
  put(" \t", blank);
  put("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_", letter);
  put("0123456789", digit);
  put(":=[]{}-\n", mark);
  return table;
}

constexpr std::array<std::uint8_t, 256> Lexer::classes = make_classes(blank, letter, digit, mark);

Lexer::Lexer(std::string_view text, std::uint32_t file, Diagnostics& diagnostics)
    : start_(text.data()), at_(text.data()), end_(text.data() + text.size()), file_(file),
      diagnostics_(&diagnostics) {
  if (text.starts_with("\xef\xbb\xbf")) at_ += 3;  // a byte order mark says nothing in UTF-8
  if (text.starts_with("\xff\xfe") || text.starts_with("\xfe\xff")) {
    report("the file is not UTF-8 text; its first two bytes look like UTF-16",
           "save it as UTF-8 in your editor");
    at_ = end_;
  }
}

Token Lexer::report(std::string text, std::string hint) {
  const Token token{TokenKind::bad, static_cast<std::uint32_t>(at_ - start_),
                    static_cast<std::uint32_t>(at_ - start_)};
  diagnostics_->error(place(token), std::move(text), std::move(hint));
  return token;
}

bool Lexer::skip_continuation() {
  if (at_[1] == '\n') {
    at_ += 2;
    return true;
  }
  if (at_[1] == '\r' && at_[2] == '\n') {
    at_ += 3;
    return true;
  }
  return false;
}

Token Lexer::special() {
  const char* begin = at_;
  switch (*at_) {
    case '\0':
      if (at_ == end_) return make(TokenKind::file_end, begin);
      break;
    case '\r':
      if (at_[1] == '\n') return make(TokenKind::line_end, begin);
      break;
    case '#': return comment();
    case '"': return string();
    default: break;
  }
  return stray();
}

Token Lexer::comment() {
  const char* begin = at_;
  while (at_ != end_ && *at_ != '\n' && !(at_[0] == '\r' && at_[1] == '\n')) {
    if (!skip_text_character()) return make(TokenKind::bad, at_);
  }
  return make(at_ == end_ ? TokenKind::file_end : TokenKind::line_end, begin);
}

Token Lexer::string() {
  const char* begin = at_;
  ++at_;
  for (;;) {
    if (at_ == end_ || *at_ == '\n' || (at_[0] == '\r' && at_[1] == '\n')) {
      at_ = begin;
      return report("the closing '\"' is missing", "the name ends on the same line: include \"latches.gates\"");
    }
    if (*at_ == '"') {
      ++at_;
      return make(TokenKind::string, begin);
    }
    if (!skip_text_character()) return make(TokenKind::bad, at_);
  }
}

bool Lexer::skip_text_character() {
  const auto byte = static_cast<unsigned char>(*at_);
  if (byte >= 0x20 && byte < 0x7f) {
    ++at_;
    return true;
  }
  if (byte == '\t') {
    ++at_;
    return true;
  }
  if (byte == 0 || byte < 0x20 || byte == 0x7f) {
    report(fmt::format("control character 0x{:02x} in the text", byte),
           byte == 0 ? "is this a text file?" : byte == '\r' ? "lines end with LF or CR LF, never with CR alone"
                                                             : "delete it in your editor");
    return false;
  }
  const Utf8Character character = decode_utf8({at_, static_cast<std::size_t>(end_ - at_)});
  if (!character.is_valid) {
    report(fmt::format("byte 0x{:02x} is not valid UTF-8", byte), "save the file as UTF-8 in your editor");
    return false;
  }
  at_ += character.length;
  return true;
}

Token Lexer::stray() {
  const char* begin = at_;
  if (!skip_text_character()) return make(TokenKind::bad, at_);
  if (begin[0] == '=') ++at_;  // "=>"
  const std::string_view sign{begin, static_cast<std::size_t>(at_ - begin)};
  const std::string_view follows{at_, static_cast<std::size_t>(end_ - at_)};
  at_ = begin;
  if (sign == "\\") {
    const std::size_t end = follows.find_first_not_of(" \t\r");
    if (end == std::string_view::npos) {
      return report("'\\' continues a line, but the file ends here", "delete it");
    }
    const Token bad = report("'\\' must be the very last character of a line",
                             follows[end] == '\n'  ? "delete the blanks behind it"
                             : follows[end] == '#' ? "a continued line cannot have a comment"
                                                   : "it joins a line to the next one and has no other use");
    // The next line was meant to belong to this one, so it is passed over as well.
    const std::size_t line_end = follows.find('\n');
    if ((follows[end] == '\n' || follows[end] == '#') && line_end != std::string_view::npos) {
      at_ += 2 + line_end;
    }
    return bad;
  }
  std::string hint;
  if (sign == ",") {
    hint = "separate names with blanks";
  } else if (sign == ";") {
    hint = "write one statement on each line";
  } else if (sign == "/" && (follows.starts_with("/") || follows.starts_with("*"))) {
    hint = "a comment starts with '#'";
  } else if (sign == "-" || sign == "=>" || sign == ">" || sign == "\xe2\x86\x92") {
    hint = "the arrow between inputs and outputs is written '->'";
  } else if (sign == "~" || sign == "!") {
    hint = "invert a net with a gate: 'not NAME: INPUT -> OUTPUT'";
  } else if (sign == ".") {
    hint = "names in a netlist have no dots; use the name inside its own cell";
  } else if (sign == "(" || sign == ")") {
    hint = "bits are written with brackets, as in 'lever[3]'";
  } else if (sign == "\xc2\xa0") {
    return report("a no-break blank (U+00A0) in the line", "replace it by an ordinary blank");
  } else {
    hint = "names are made of A-Z, a-z, 0-9 and '_'";
  }
  return report(fmt::format("'{}' cannot be used here", sign), std::move(hint));
}

Token Lexer::value() {
  for (;;) {
    if (char_class(*at_) == blank) ++at_;
    else if (*at_ != '\\' || !skip_continuation()) break;
  }
  const char* begin = at_;
  while (char_class(*at_) - letter <= 1u || *at_ == '.' || *at_ == '+' || *at_ == '-' || *at_ == '/') ++at_;
  return make(TokenKind::word, begin);
}

void Lexer::skip_line() {
  bool in_comment = false;
  for (; at_ != end_; ++at_) {
    if (*at_ == '\n') {
      ++at_;
      return;
    }
    if (*at_ == '#') in_comment = true;
    if (*at_ == '\\' && !in_comment) {
      if (at_[1] == '\n') ++at_;
      else if (at_[1] == '\r' && at_[2] == '\n') at_ += 2;
    }
  }
}

bool Lexer::rest_of_line(std::string& text) {
  text.clear();
  for (;;) {
    if (at_ == end_ || *at_ == '\n' || (at_[0] == '\r' && at_[1] == '\n')) break;
    if (*at_ == '#') {
      if (comment().kind == TokenKind::bad) return false;
      break;
    }
    if (*at_ == '\\' && skip_continuation()) {
      text += ' ';
      continue;
    }
    const char* begin = at_;
    if (!skip_text_character()) return false;
    text.append(begin, at_);
  }
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.pop_back();
  const std::size_t first = text.find_first_not_of(" \t");
  text.erase(0, first == std::string::npos ? text.size() : first);
  return true;
}

}  // namespace settle
