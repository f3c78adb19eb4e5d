#include "settle/run.h"

namespace settle {

std::string_view name_of(Finding::Kind kind) { return warning_words[static_cast<std::size_t>(kind)]; }

std::optional<Finding::Kind> finding_kind_from(std::string_view name) {
  for (std::size_t i = 0; i < warning_words.size(); ++i) {
    if (warning_words[i] == name) return static_cast<Finding::Kind>(i);
  }
  return std::nullopt;
}

bool RunResult::passes() const {
  if (failed != 0) return false;
  for (const Finding& f : findings) {
    if (f.severity == FindingSeverity::warning && !f.expected) return false;
  }
  return true;
}

}  // namespace settle
