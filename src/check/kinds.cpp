// The kinds of findings and what a call makes of them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>

#include "settle/check.h"
#include "settle/lint.h"

namespace settle {
namespace {

// In the order of Finding::Kind.
constexpr std::array<std::string_view, warning_words.size()> run_meanings = {
    "a race that is decided by which gate is faster",
    "an input change leaves the circuit undecided",
    "no stable state can be reached",
    "a race that needs delays in wires",
    "two drivers hold a wire at different values",
    "an input changed while gates were still changing",
    "the limit of time came before the circuit was at rest",
    "a limit left a step without verdict",
    "inputs that changed together: the result depends on which comes first",
};

constexpr std::string_view all_warnings = "warnings";
constexpr std::string_view all_notes = "notes";

void check_words(std::span<const std::string> words, std::string_view option, Diagnostics& diagnostics) {
  std::vector<std::string_view> known{all_warnings, all_notes};
  for (const CheckKind& kind : check_kinds()) known.push_back(kind.name);
  for (const std::string& word : words) {
    if (std::find(known.begin(), known.end(), word) != known.end()) continue;
    const std::string_view near = nearest_name(word, known);
    diagnostics.error(
        {}, fmt::format("{}: '{}' is not a kind of finding", option, word),
        near.empty() ? "--list-kinds shows all kinds" : fmt::format("did you mean '{}'?", near));
  }
}

}  // namespace

std::vector<CheckKind> check_kinds() {
  std::vector<CheckKind> kinds;
  for (const LintKind& kind : lint_kinds()) {
    kinds.push_back(
        {kind.name, kind.subject == LintKind::Subject::netlist ? "netlist" : "stimulus", kind.meaning});
  }
  const auto lint = static_cast<std::ptrdiff_t>(kinds.size());
  for (std::size_t i = 0; i < warning_words.size(); ++i)
    kinds.push_back({warning_words[i], "run", run_meanings[i]});
  std::sort(kinds.begin() + lint, kinds.end(),
            [](const CheckKind& a, const CheckKind& b) { return a.name < b.name; });
  return kinds;
}

CheckPolicy CheckPolicy::parse(std::span<const std::string> fail_on, std::span<const std::string> allow,
                               Diagnostics& diagnostics) {
  check_words(fail_on, "--fail-on", diagnostics);
  check_words(allow, "--allow", diagnostics);
  for (const std::string& word : fail_on) {
    if (std::find(allow.begin(), allow.end(), word) == allow.end()) continue;
    diagnostics.error({}, fmt::format("--fail-on and --allow both name '{}'", word));
  }
  CheckPolicy policy;
  policy.fail_on_.assign(fail_on.begin(), fail_on.end());
  policy.allow_.assign(allow.begin(), allow.end());
  return policy;
}

bool CheckPolicy::names(const std::vector<std::string>& list, std::string_view kind, Severity severity) {
  return std::any_of(list.begin(), list.end(), [&](const std::string& word) {
    return word == kind || (word == all_warnings && severity == Severity::warning) ||
           (word == all_notes && severity == Severity::note);
  });
}

// A kind named outweighs a group named.
bool CheckPolicy::allows(std::string_view kind, Severity severity) const {
  if (std::find(allow_.begin(), allow_.end(), kind) != allow_.end()) return true;
  if (std::find(fail_on_.begin(), fail_on_.end(), kind) != fail_on_.end()) return false;
  return names(allow_, kind, severity);
}

bool CheckPolicy::fails(std::string_view kind, Severity severity, bool by_default) const {
  if (allows(kind, severity)) return false;
  return by_default || names(fail_on_, kind, severity);
}

}  // namespace settle
