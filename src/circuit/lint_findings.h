// What the lint functions of all layers share: findings in the order of the text, a bounded number.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "settle/lint.h"

namespace settle {

/// A place to be told about, and whatever its kind needs to word it.
struct LintFinding {
  Place place;
  std::uint32_t subject = 0;
};

struct LintWords {
  std::string text, hint;
};

/// Sorts by place, keeps the first of each place.
void sort_findings(std::vector<LintFinding>& findings);

/// Tells the first findings, worded by `words(subject)`, and how many more there are.
template <class Words>
void tell_findings(std::string_view kind, std::vector<LintFinding> findings, const LintOptions& options,
                   Diagnostics& diagnostics, const Words& words);

/// Adds with the severity of the kind.
void add_finding(std::string_view kind, Place place, LintWords words, Diagnostics& diagnostics);
void add_more(std::string_view kind, Place place, std::size_t count, Diagnostics& diagnostics);

/// One finding for each gate of the text whose flat gates are all marked; its subject is the first of them.
/// `among`: the flat gates that count; empty: all.
std::vector<LintFinding> true_in_all_uses(const Circuit& circuit, const std::vector<GateId>& marked,
                                          const std::vector<GateId>& among = {});

/// The name of a gate as its cell knows it, in quotes.
std::string local_name(const Circuit& circuit, GateId gate);

/// "1 gate", "3 gates".
std::string counted(std::size_t count, std::string_view thing);

template <class Words>
void tell_findings(std::string_view kind, std::vector<LintFinding> findings, const LintOptions& options,
                   Diagnostics& diagnostics, const Words& words) {
  sort_findings(findings);
  for (std::size_t i = 0; i < findings.size(); ++i) {
    if (i == options.most) return add_more(kind, findings[i].place, findings.size() - i, diagnostics);
    add_finding(kind, findings[i].place, words(findings[i].subject), diagnostics);
  }
}

}  // namespace settle
