#include "circuit/lint_findings.h"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

namespace settle {
namespace {

std::uint64_t key_of(Place place) { return (std::uint64_t{place.file} << 32) | place.offset; }

}  // namespace

void sort_findings(std::vector<LintFinding>& findings) {
  std::stable_sort(findings.begin(), findings.end(), [](const LintFinding& a, const LintFinding& b) {
    return key_of(a.place) < key_of(b.place);
  });
  const auto same = [](const LintFinding& a, const LintFinding& b) {
    return key_of(a.place) == key_of(b.place);
  };
  findings.erase(std::unique(findings.begin(), findings.end(), same), findings.end());
}

void add_finding(std::string_view kind, Place place, LintWords words, Diagnostics& diagnostics) {
  const auto kinds = lint_kinds();
  const auto known =
      std::find_if(kinds.begin(), kinds.end(), [&](const LintKind& k) { return k.name == kind; });
  if (known != kinds.end() && known->severity == Severity::note) {
    diagnostics.note(place, std::string(kind), std::move(words.text), std::move(words.hint));
  } else {
    diagnostics.warning(place, std::string(kind), std::move(words.text), std::move(words.hint));
  }
}

void add_more(std::string_view kind, Place place, std::size_t count, Diagnostics& diagnostics) {
  add_finding(kind, place, {fmt::format("{} more of the kind '{}' from here on", count, kind), {}},
              diagnostics);
}

std::vector<LintFinding> true_in_all_uses(const Circuit& circuit, const std::vector<GateId>& marked,
                                          const std::vector<GateId>& among) {
  std::vector<LintFinding> findings;
  if (marked.empty()) return findings;
  struct Uses {
    GateId first;
    std::uint32_t marked;
  };
  std::unordered_map<std::uint64_t, Uses> uses;
  for (const GateId gate : marked) {
    ++uses.try_emplace(key_of(circuit.gate_place(gate)), Uses{gate, 0}).first->second.marked;
  }
  // Counted down by every gate of the text, marked or not.
  const auto count_down = [&](GateId gate) {
    const auto found = uses.find(key_of(circuit.gate_place(gate)));
    if (found != uses.end()) --found->second.marked;
  };
  for (const GateId gate : among) count_down(gate);
  for (GateId gate = 0; gate < circuit.gate_count() && among.empty(); ++gate) count_down(gate);
  for (const auto& [key, use] : uses) {
    if (use.marked == 0) findings.push_back({circuit.gate_place(use.first), use.first});
  }
  sort_findings(findings);
  return findings;
}

std::string local_name(const Circuit& circuit, GateId gate) {
  const auto& names = circuit.names();
  return fmt::format("'{}'", names.symbols->text(names.gates[gate].name));
}

std::string counted(std::size_t count, std::string_view thing) {
  return fmt::format("{} {}{}", count, thing, count == 1 ? "" : "s");
}

}  // namespace settle
