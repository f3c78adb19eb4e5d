// Messages about input texts: collected as values, rendered in one place.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "settle/limits.h"
#include "settle/source.h"

namespace settle {

enum class Severity : std::uint8_t {
  error,    ///< the input cannot be used
  warning,  ///< it can, but it is probably not what was meant
  note,     ///< worth knowing
};
std::string_view name_of(Severity severity);

/// One message. Texts start in lower case, quote the user's words with '...', end without a stop.
struct Diagnostic {
  Severity severity = Severity::error;
  Place place;       ///< may be absent: then the message is printed with `settle:` in front
  std::string text;  ///< what is wrong
  std::string hint;  ///< the likely fix; may be empty
  std::string kind;  ///< short name of a lint finding ("undriven-net"), empty for plain errors
};

/// Collects messages in the order found. Errors beyond `limit` are counted but not kept.
class Diagnostics {
 public:
  explicit Diagnostics(std::size_t limit = default_limit(LimitKind::errors)) : limit_(limit) {}

  void error(Place place, std::string text, std::string hint = {});
  /// An error that is no fault of the input: it is larger than a limit allows.
  void limit(Place place, std::string text, std::string hint);
  void warning(Place place, std::string kind, std::string text, std::string hint = {});
  void note(Place place, std::string kind, std::string text, std::string hint = {});

  bool has_errors() const { return errors_ != 0; }
  /// Limits are all that is wrong.
  bool only_limits() const { return limits_ != 0 && limits_ == errors_; }
  std::size_t error_count() const { return errors_; }
  std::size_t warning_count() const { return warnings_; }
  /// True once the limit is reached: parsers stop soon after.
  bool is_full() const { return errors_ >= limit_; }
  const std::vector<Diagnostic>& all() const { return all_; }
  void clear();

 private:
  void add(Diagnostic diagnostic);
  std::vector<Diagnostic> all_;
  std::size_t limit_;
  std::size_t errors_ = 0;
  std::size_t limits_ = 0;  // of errors_
  std::size_t warnings_ = 0;
};

/// `file:line:column: error: text`, the source line (cut to 100 columns around the place), a caret
/// line, and `  hint: ...` when there is one. Control characters of the input are made visible.
std::string render(const Diagnostic& diagnostic, const Sources& sources);

/// All of them, then "N errors, M more not shown" when some were not kept.
std::string render(const Diagnostics& diagnostics, const Sources& sources);

/// The candidate nearest to `name`, if near enough to be a likely misspelling; else an empty view.
/// Edit distance with swaps of neighbours as one step (Damerau 1964, Levenshtein 1966), letter case
/// ignored; at most a third of the letters and at most 3 steps. The first of equals wins.
std::string_view nearest_name(std::string_view name, std::span<const std::string_view> candidates);

}  // namespace settle
