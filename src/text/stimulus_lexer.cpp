#include "text/stimulus_lexer.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "text/characters.h"
#include "text/utf8.h"

namespace settle {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }

bool is_word_character(char c) {
  return continues_name(c) || c == '.' || c == '[' || c == ']' || c == ':' || c == '+' || c == '-';
}

}  // namespace

StimulusLexer::StimulusLexer(std::uint32_t file, std::string_view text, Diagnostics& diagnostics)
    : text_(text), file_(file), diagnostics_(diagnostics) {
  if (text_.starts_with("\xef\xbb\xbf")) at_ = 3;
}

bool StimulusLexer::next(std::vector<StimulusToken>& tokens) {
  tokens.clear();
  is_damaged_ = false;
  while (at_ < text_.size()) {
    const char c = text_[at_];
    if (is_blank(c)) {
      ++at_;
    } else if (c == '#') {
      skip_comment();
    } else if (c == '\\') {
      continue_line();
    } else if (c == '"') {
      read_string(tokens);
    } else if (const std::string_view two = text_.substr(at_, 2); two == "->" || two == "<=" || two == ">=") {
      tokens.push_back({StimulusToken::Kind::word, static_cast<std::uint32_t>(at_), 2});
      at_ += 2;
    } else if (c == '=') {
      tokens.push_back({StimulusToken::Kind::equals, static_cast<std::uint32_t>(at_++), 1});
    } else if (c == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') {
      ++at_;
    } else if (c == '\n' || c == ';') {
      ++at_;
      if (!tokens.empty()) break;
      is_damaged_ = false;  // nothing of that statement is left to recover
    } else if (const Utf8Character character = decode_utf8(text_.substr(at_));
               is_word_character(c) || (character.is_valid && character.code >= 0x80)) {
      read_word(tokens);
    } else {
      refuse_character();
    }
  }
  if (tokens.empty()) return false;
  const StimulusToken& last = tokens.back();
  const std::uint32_t quotes = last.kind == StimulusToken::Kind::string ? 1 : 0;
  tokens.push_back({StimulusToken::Kind::end, last.offset + last.length + quotes, 0});
  return true;
}

void StimulusLexer::skip_comment() { at_ = std::min(text_.find('\n', at_), text_.size()); }

void StimulusLexer::continue_line() {
  std::size_t end = at_ + 1;
  while (end < text_.size() && (is_blank(text_[end]) || text_[end] == '\r')) ++end;
  if (end < text_.size() && text_[end] != '\n') {
    error(at_, "'\\' is possible at the end of a line only", "it continues the statement on the next line");
    ++at_;
  } else {
    at_ = std::min(end + 1, text_.size());
  }
}

void StimulusLexer::read_string(std::vector<StimulusToken>& tokens) {
  const std::size_t first = at_ + 1;
  const std::size_t end = text_.find_first_of("\"\r\n", first);
  if (end == std::string_view::npos || text_[end] != '"') {
    error(at_, "this text has no closing '\"' on its line");
    at_ = std::min(end, text_.size());
    return;
  }
  tokens.push_back({StimulusToken::Kind::string, static_cast<std::uint32_t>(first),
                    static_cast<std::uint32_t>(end - first)});
  at_ = end + 1;
}

void StimulusLexer::read_word(std::vector<StimulusToken>& tokens) {
  const std::size_t first = at_;
  while (at_ < text_.size()) {
    if (is_word_character(text_[at_])) {
      ++at_;
      continue;
    }
    const Utf8Character character = decode_utf8(text_.substr(at_));
    if (!character.is_valid || character.code < 0x80) break;
    at_ += character.length;
  }
  tokens.push_back({StimulusToken::Kind::word, static_cast<std::uint32_t>(first),
                    static_cast<std::uint32_t>(at_ - first)});
}

void StimulusLexer::refuse_character() {
  const Utf8Character character = decode_utf8(text_.substr(at_));
  if (!character.is_valid || is_control(text_[at_])) {
    error(at_, fmt::format("byte 0x{:02x} is not possible here", static_cast<unsigned char>(text_[at_])),
          character.is_valid ? "" : "stimuli are texts in UTF-8");
  } else {
    const bool separates = text_[at_] == ',';
    error(at_, fmt::format("unexpected '{}'", text_[at_]), separates ? "separate assignments by blanks" : "");
  }
  // One message for a run of them.
  while (at_ < text_.size() && !is_blank(text_[at_]) && text_[at_] != '\n' && text_[at_] != ';' &&
         text_[at_] != '#') {
    ++at_;
  }
}

void StimulusLexer::error(std::size_t offset, std::string text, std::string hint) {
  if (!is_damaged_) {  // the rest of a damaged statement is not worth a second message
    diagnostics_.error({file_, static_cast<std::uint32_t>(offset)}, std::move(text), std::move(hint));
  }
  is_damaged_ = true;
}

}  // namespace settle
