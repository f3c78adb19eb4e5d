// Messages: collected here, rendered in one form everywhere.
#include "settle/diagnostic.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "text/utf8.h"
#include "text/visible_text.h"

namespace settle {
namespace {

constexpr std::size_t shown_columns = 100;

/// The source line, cut around the place, and the caret under it.
std::string excerpt(std::string_view line, std::size_t column) {
  std::vector<std::size_t> starts;  // byte offsets of the characters shown
  const std::size_t target = column - 1;
  // Only a window around the place is decoded: lines may be very long.
  std::size_t first = target > shown_columns / 2 ? target - shown_columns / 2 : 0;
  std::size_t index = 0;
  std::size_t at = 0;
  while (at < line.size() && index < first + shown_columns + 1) {
    const Utf8Character character = decode_utf8(line.substr(at));
    if (index >= first) starts.push_back(at);
    at += character.length;
    ++index;
  }
  // A short line is shown from its start.
  if (first > 0 && at >= line.size() && index <= shown_columns) {
    first = 0;
    starts.clear();
    for (at = 0; at < line.size();) {
      starts.push_back(at);
      at += decode_utf8(line.substr(at)).length;
    }
  }
  std::string shown = first > 0 ? "..." : "";
  std::size_t width = shown.size();
  std::size_t caret = 0;
  bool has_caret = false;
  const std::size_t count = std::min(starts.size(), shown_columns);
  for (std::size_t i = 0; i < count; ++i) {
    if (first + i == target) {
      caret = width;
      has_caret = true;
    }
    const std::string_view rest = line.substr(starts[i]);
    const Utf8Character character = decode_utf8(rest);
    width += append_visible(shown, character, rest.substr(0, character.length));
  }
  if (!has_caret) caret = width;
  if (starts.size() > count) shown += "...";
  while (!shown.empty() && shown.back() == ' ') shown.pop_back();
  return fmt::format("  {}\n  {}^\n", shown, std::string(caret, ' '));
}

}  // namespace

std::string_view name_of(Severity severity) {
  switch (severity) {
    case Severity::error: return "error";
    case Severity::warning: return "warning";
    case Severity::note: return "note";
  }
  return "error";
}

void Diagnostics::add(Diagnostic diagnostic) { all_.push_back(std::move(diagnostic)); }

void Diagnostics::error(Place place, std::string text, std::string hint) {
  ++errors_;
  if (errors_ <= limit_) add({Severity::error, place, std::move(text), std::move(hint), {}});
}

void Diagnostics::limit(Place place, std::string text, std::string hint) {
  ++limits_;
  error(place, std::move(text), std::move(hint));
}

void Diagnostics::warning(Place place, std::string kind, std::string text, std::string hint) {
  ++warnings_;
  add({Severity::warning, place, std::move(text), std::move(hint), std::move(kind)});
}

void Diagnostics::note(Place place, std::string kind, std::string text, std::string hint) {
  add({Severity::note, place, std::move(text), std::move(hint), std::move(kind)});
}

void Diagnostics::clear() {
  all_.clear();
  errors_ = 0;
  limits_ = 0;
  warnings_ = 0;
}

std::string render(const Diagnostic& diagnostic, const Sources& sources) {
  std::string out;
  const bool has_place = diagnostic.place.exists() && diagnostic.place.file < sources.count();
  if (has_place) {
    const auto [line, column] = sources.locate(diagnostic.place);
    out = fmt::format("{}:{}:{}: {}: {}\n", visible_text(sources.path(diagnostic.place.file)), line, column,
                      name_of(diagnostic.severity), visible_text(diagnostic.text));
    const std::string_view source_line = sources.line_at(diagnostic.place);
    if (!source_line.empty()) out += excerpt(source_line, column);
  } else {
    out = fmt::format("settle: {}: {}\n", name_of(diagnostic.severity), visible_text(diagnostic.text));
  }
  if (!diagnostic.hint.empty()) out += fmt::format("  hint: {}\n", visible_text(diagnostic.hint));
  return out;
}

std::string render(const Diagnostics& diagnostics, const Sources& sources) {
  std::string out;
  std::size_t shown = 0;
  for (const Diagnostic& diagnostic : diagnostics.all()) {
    out += render(diagnostic, sources);
    if (diagnostic.severity == Severity::error) ++shown;
  }
  if (diagnostics.error_count() > shown) {
    out += fmt::format("{} errors, {} more not shown; --limit-errors shows more\n", diagnostics.error_count(),
                       diagnostics.error_count() - shown);
  }
  return out;
}

}  // namespace settle
