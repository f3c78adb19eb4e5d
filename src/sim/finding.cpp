#include <array>
#include <utility>

#include "settle/run.h"

namespace settle {
namespace {

constexpr std::array<std::pair<Finding::Kind, std::string_view>, 9> kind_names{{
    {Finding::Kind::delay_dependent, "delay-dependent"},
    {Finding::Kind::indeterminate, "indeterminate"},
    {Finding::Kind::oscillation, "oscillation"},
    {Finding::Kind::hazard, "hazard"},
    {Finding::Kind::contention, "contention"},
    {Finding::Kind::unsettled_change, "unsettled-change"},
    {Finding::Kind::not_settled, "not-settled"},
    {Finding::Kind::unjudged, "unjudged"},
    {Finding::Kind::skew, "skew"},
}};

}  // namespace

std::string_view name_of(Finding::Kind kind) {
  for (const auto& [k, name] : kind_names) {
    if (k == kind) return name;
  }
  return {};
}

std::optional<Finding::Kind> finding_kind_from(std::string_view name) {
  for (const auto& [kind, n] : kind_names) {
    if (n == name) return kind;
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
