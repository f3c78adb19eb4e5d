#include "formats/ieee1364_lexer.h"

#include "text/characters.h"

namespace settle {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }
bool continues_identifier(char c) { return continues_name(c) || c == '$'; }

}  // namespace

void HdlLexer::skip_blanks() {
  for (;;) {
    while (at_ < text_.size() && is_blank(text_[at_])) ++at_;
    if (text_.substr(at_, 2) == "//") {
      while (at_ < text_.size() && text_[at_] != '\n') ++at_;
    } else if (text_.substr(at_, 2) == "/*") {
      const auto end = text_.find("*/", at_ + 2);
      if (end == std::string_view::npos) {
        diagnostics_.error({file_, static_cast<std::uint32_t>(at_)}, "this comment has no end", "close it with '*/'");
        at_ = text_.size();
      } else {
        at_ = end + 2;
      }
    } else {
      return;
    }
  }
}

std::string_view HdlLexer::rest_of_line() {
  const std::size_t begin = at_;
  while (at_ < text_.size() && text_[at_] != '\n') ++at_;
  return text_.substr(begin, at_ - begin);
}

HdlToken HdlLexer::next() {
  using Kind = HdlToken::Kind;
  skip_blanks();
  const std::size_t begin = at_;
  if (at_ == text_.size()) return make(Kind::end, at_, at_, at_ == 0 ? 0 : at_ - 1);
  const char c = text_[at_];
  if (starts_name(c)) {
    while (at_ < text_.size() && continues_identifier(text_[at_])) ++at_;
    return make(Kind::name, begin, at_, begin);
  }
  if (c == '\\') {
    while (at_ < text_.size() && !is_blank(text_[at_])) ++at_;
    return make(Kind::escaped, begin + 1, at_, begin);
  }
  if (c == '`') {
    ++at_;
    while (at_ < text_.size() && continues_identifier(text_[at_])) ++at_;
    return make(Kind::directive, begin + 1, at_, begin);
  }
  if (is_digit(c) || c == '\'') {
    while (at_ < text_.size() && (continues_name(text_[at_]) || text_[at_] == '\'' || text_[at_] == '?' ||
                                  (text_[at_] == '.' && at_ + 1 < text_.size() && is_digit(text_[at_ + 1])))) {
      ++at_;
    }
    return make(Kind::number, begin, at_, begin);
  }
  if (c == '"') {
    ++at_;
    while (at_ < text_.size() && text_[at_] != '"' && text_[at_] != '\n') at_ += text_[at_] == '\\' && at_ + 1 < text_.size() ? 2 : 1;
    if (at_ >= text_.size() || text_[at_] != '"') {
      at_ = at_ < text_.size() ? at_ : text_.size();
      diagnostics_.error({file_, static_cast<std::uint32_t>(begin)}, "this string has no end", "close it with '\"' in the same line");
      return make(Kind::string, begin + 1, at_, begin);
    }
    ++at_;
    return make(Kind::string, begin + 1, at_ - 1, begin);
  }
  // (*) is no attribute (clause 3.8), but only event controls have it, which are no part of structure.
  const std::string_view two = text_.substr(at_, 2);
  at_ += two == "(*" || two == "*)" ? 2 : character_at(text_, at_).size();
  return make(Kind::mark, begin, at_, begin);
}

}  // namespace settle
