// Names that are easy to mix up, and cells that nobody uses.
//
// Two names are near when taking one letter out of each (or out of the longer one) leaves the same
// text. So every name is stored under all its shortened forms, and only names that share one are
// compared. Cost: names times letters; cells of more names than anybody reads are passed over.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <unordered_map>
#include <unordered_set>

#include "circuit/lint_findings.h"

namespace settle {
namespace {

constexpr std::size_t most_names = 2000;  // of one cell
constexpr std::size_t longest_name = 60;  // longer ones are not compared
constexpr std::size_t shortest_word = 4;  // letters that a name needs to be mixed up

bool is_letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }
char lower(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

/// Does the letter at `at` stand alone, as `b` in hold_b and gate_b_n? Then it is meant to tell names apart.
bool stands_alone(std::string_view name, std::size_t at) {
  const auto is_end = [&](std::size_t i) { return i >= name.size() || !is_letter(name[i]); };
  return (at == 0 || is_end(at - 1)) && is_end(at + 1);
}

/// Digits and letters that look alike in many fonts.
bool look_alike(char a, char b) {
  const auto is_pair = [&](char c, char d) { return (a == c && b == d) || (a == d && b == c); };
  return is_pair('0', 'O') || is_pair('1', 'l') || is_pair('1', 'I') || is_pair('l', 'I');
}

/// One letter replaced.
bool are_near_alike(std::string_view a, std::string_view b) {
  const auto at = static_cast<std::size_t>(std::mismatch(a.begin(), a.end(), b.begin()).first - a.begin());
  if (at == a.size() || a.substr(at + 1) != b.substr(at + 1)) return false;
  if (look_alike(a[at], b[at])) return true;
  if (!is_letter(a[at]) || !is_letter(b[at]) || a.size() < shortest_word) return false;
  if (lower(a[at]) == lower(b[at])) return true;
  // A letter at the end often counts or inverts: rowa rowb, laneN laneS.
  return at + 1 < a.size() && is_letter(a[at + 1]) && !stands_alone(a, at);
}

/// One letter more.
bool are_near_longer(std::string_view shorter, std::string_view longer) {
  const auto at = static_cast<std::size_t>(
      std::mismatch(shorter.begin(), shorter.end(), longer.begin()).first - shorter.begin());
  if (shorter.substr(at) != longer.substr(at + 1) || shorter.size() < shortest_word) return false;
  if (!is_letter(longer[at]) || stands_alone(longer, at)) return false;
  // An n, b or q at the front or end marks an inverse or an output.
  const bool is_outer =
      at == 0 || at + 1 == longer.size() || !is_letter(longer[at + 1]) || !is_letter(longer[at - 1]);
  return !is_outer || std::string_view("nbq").find(lower(longer[at])) == std::string_view::npos;
}

bool are_near(std::string_view a, std::string_view b) {
  if (a.size() == b.size()) return are_near_alike(a, b);
  if (a.size() + 1 == b.size()) return are_near_longer(a, b);
  return b.size() + 1 == a.size() && are_near_longer(b, a);
}

struct NamedNet {
  std::string_view name;
  Place place;
};

/// Names of nets and pins of a cell in the order of their first use; nothing when there are too many.
std::vector<NamedNet> names_of_cell(const Netlist& netlist, const CellSyntax& cell) {
  std::vector<NamedNet> names;
  std::unordered_set<Symbol> seen;
  const auto add = [&](Symbol name, std::uint32_t offset) {
    if (!seen.insert(name).second) return;
    names.push_back({netlist.symbols->text(name), {cell.place.file, offset}});
  };
  for (const auto& pin : cell.inputs) add(pin.name, pin.offset);
  for (const auto& pin : cell.outputs) add(pin.name, pin.offset);
  for (std::uint32_t s = 0; s < cell.statement_count && names.size() <= most_names; ++s) {
    const auto& statement = netlist.statements[cell.first_statement + s];
    for (std::uint32_t c = 0; c < statement.inputs + statement.outputs; ++c) {
      const auto& connection = netlist.connections[statement.first + c];
      if (connection.kind == Connection::Kind::net) add(connection.net, connection.offset);
    }
  }
  if (names.size() > most_names) names.clear();
  std::erase_if(names, [](const NamedNet& net) { return net.name.size() > longest_name; });
  return names;
}

struct NearPair {
  NamedNet first, second;
};

void find_near_names(const Netlist& netlist, const CellSyntax& cell, std::vector<NearPair>& pairs) {
  const auto names = names_of_cell(netlist, cell);
  std::unordered_map<std::string, std::vector<std::uint32_t>> by_form;
  for (std::uint32_t i = 0; i < names.size(); ++i) {
    std::uint32_t nearest = i;
    const auto look = [&](const std::string& form) {
      auto& others = by_form[form];
      for (const auto other : others) {
        if (other < nearest && are_near(names[other].name, names[i].name)) nearest = other;
      }
      constexpr std::size_t enough = 16;  // a row of names such as a1b a2b a3b tells nothing
      if (others.size() < enough) others.push_back(i);
    };
    look(std::string(names[i].name));
    for (std::size_t cut = 0; cut < names[i].name.size(); ++cut) {
      std::string form(names[i].name);
      form.erase(cut, 1);
      look(form);
    }
    if (nearest != i) pairs.push_back({names[nearest], names[i]});
  }
}

}  // namespace

void lint_names(const Netlist& netlist, std::span<const std::uint32_t> tops, const LintOptions& options,
                Diagnostics& diagnostics) {
  std::vector<NearPair> pairs;
  std::unordered_set<std::uint32_t> files;  // what they include is linted on its own
  for (const auto top : tops) files.insert(netlist.cells[top].place.file);
  for (const auto& cell : netlist.cells) {
    if (tops.empty() || files.contains(cell.place.file)) find_near_names(netlist, cell, pairs);
  }
  std::vector<LintFinding> findings;
  for (std::uint32_t i = 0; i < pairs.size(); ++i) findings.push_back({pairs[i].second.place, i});
  tell_findings("near-names", std::move(findings), options, diagnostics, [&](std::uint32_t i) {
    return LintWords{
        fmt::format("nets '{}' and '{}' are easy to mix up", pairs[i].first.name, pairs[i].second.name),
        "if they are meant to be one net, give them one name; if not, names that differ more help"};
  });
}

void lint_unused_cells(const Netlist& netlist, std::uint32_t file, std::span<const std::uint32_t> used,
                       const LintOptions& options, Diagnostics& diagnostics) {
  std::unordered_map<Symbol, std::uint32_t> cell_of;
  for (std::uint32_t i = 0; i < netlist.cells.size(); ++i) cell_of.try_emplace(netlist.cells[i].name, i);
  std::vector<bool> is_used(netlist.cells.size());
  std::vector<std::uint32_t> open;
  const auto use = [&](std::uint32_t cell) {
    if (is_used[cell]) return;
    is_used[cell] = true;
    open.push_back(cell);
  };
  for (const auto cell : used) use(cell);
  while (!open.empty()) {
    const auto& cell = netlist.cells[open.back()];
    open.pop_back();
    for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
      const auto& statement = netlist.statements[cell.first_statement + s];
      if (statement.builtin >= 0) continue;
      if (const auto found = cell_of.find(statement.kind); found != cell_of.end()) use(found->second);
    }
  }
  std::vector<LintFinding> findings;
  for (std::uint32_t i = 0; i < netlist.cells.size(); ++i) {
    if (!is_used[i] && netlist.cells[i].place.file == file) findings.push_back({netlist.cells[i].place, i});
  }
  tell_findings("unused-cell", std::move(findings), options, diagnostics, [&](std::uint32_t cell) {
    return LintWords{
        fmt::format("no cell that is run uses cell '{}'", netlist.symbols->text(netlist.cells[cell].name)),
        "take it out, or give it a stimulus of its own, unless another file includes it for this cell"};
  });
}

}  // namespace settle
