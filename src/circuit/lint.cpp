// Warnings about one cell: what nothing drives and what nothing reads.
//
// compile() has marked each bit as read, driven or both; here the odd ones are gathered to runs of
// neighbouring bits of a bus, one warning each, and put in the order of the text. Only if there are
// any are the connections looked at again, to find where such a bit is used first. An output without
// driver and a driven net of nearly its name that nothing reads are one mistake, told where the net is.
// Cost: linear in bits and connections; the number of warnings is bounded.
#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>

#include "circuit/cell_plan.h"
#include "circuit/complement_name.h"
#include "circuit/power_names.h"

namespace settle {
namespace {

constexpr std::size_t most_warnings = 50;      // of one cell
constexpr std::size_t most_candidates = 5000;  // names that a likely misspelling is looked for among

class CellLint {
 public:
  CellLint(const Netlist& netlist, std::uint32_t cell, const CellPlan& plan, bool own_language, Diagnostics& diagnostics)
      : netlist_(netlist), cell_(netlist.cells[cell]), plan_(plan), own_language_(own_language), diagnostics_(diagnostics) {}

  std::vector<UndrivenNet> run() {
    for (std::uint32_t i = 0; i < plan_.names.size(); ++i) find_runs(i);
    if (findings_.empty()) return {};
    find_places();
    join_misspelt();
    std::stable_sort(findings_.begin(), findings_.end(),
                     [](const Finding& a, const Finding& b) { return a.offset < b.offset; });
    for (std::size_t i = 0; i < std::min(findings_.size(), most_warnings); ++i) report(findings_[i]);
    if (findings_.size() > most_warnings) {
      diagnostics_.warning(cell_.place, "unused-output",
                           fmt::format("{} more nets of this cell have no driver or no reader",
                                       findings_.size() - most_warnings));
    }
    return std::move(undriven_);
  }

 private:
  enum class Kind : std::uint8_t { fine, undriven, unread_net, unread_input };
  struct Finding {
    Kind kind;
    std::uint32_t name;   // index into CellPlan::names
    std::uint32_t first;  // bits of the run, in the order of the bus
    std::uint32_t last;
    std::uint32_t offset;
    std::string found = {};  // an output: the net that was probably meant to be it
    std::uint32_t width() const { return last - first + 1; }
  };

  Kind judge(const LocalName& name, std::uint8_t marks) const {
    const bool is_read = (marks & CellPlan::is_read) != 0, is_driven = (marks & CellPlan::is_driven) != 0;
    switch (name.role) {
      case LocalName::Role::input: return is_read ? Kind::fine : Kind::unread_input;
      case LocalName::Role::output: return is_driven ? Kind::fine : Kind::undriven;
      case LocalName::Role::inner: break;
    }
    // A gap in a bus that is not declared is no net at all.
    if (is_read == is_driven) return Kind::fine;
    return is_read ? Kind::undriven : Kind::unread_net;
  }

  void find_runs(std::uint32_t index) {
    const auto& name = plan_.names[index];
    if (std::binary_search(netlist_.reported_nets.begin(), netlist_.reported_nets.end(), name.name)) return;
    auto run = Kind::fine;
    for (auto bit = name.first; bit < name.first + name.width; ++bit) {
      const auto kind = judge(name, plan_.bits[bit]);
      if (kind != Kind::fine && kind == run) {
        findings_.back().last = bit;
      } else if (kind != Kind::fine) {
        findings_.push_back({kind, index, bit, bit, name.offset});
      }
      run = kind;
    }
  }

  /// Moves the findings about inner nets to the first use of one of their bits.
  void find_places() {
    std::unordered_map<Symbol, std::uint32_t> first_finding;  // findings of a name are neighbours
    for (auto i = static_cast<std::uint32_t>(findings_.size()); i-- > 0;) {
      const auto& name = plan_.names[findings_[i].name];
      if (name.is_bus && name.role == LocalName::Role::inner) first_finding[name.name] = i;
    }
    if (first_finding.empty()) return;
    std::vector<bool> is_placed(findings_.size());
    for (std::uint32_t s = 0; s < cell_.statement_count; ++s) {
      const auto& statement = netlist_.statements[cell_.first_statement + s];
      for (std::uint32_t c = 0; c < statement.inputs + statement.outputs; ++c) {
        const auto& connection = netlist_.connections[statement.first + c];
        if (connection.kind != Connection::Kind::net) continue;
        const auto found = first_finding.find(connection.net);
        if (found != first_finding.end()) place_use(connection, found->second, is_placed);
      }
    }
  }

  void place_use(const Connection& connection, std::uint32_t finding, std::vector<bool>& is_placed) {
    const auto owner = findings_[finding].name;
    const auto& name = plan_.names[owner];
    auto low = name.first, high = name.first + name.width - 1;
    if (connection.select != Connection::no_select) {
      const auto& select = netlist_.selects[connection.select];
      low = std::min(name.bit_of(select.msb), name.bit_of(select.lsb));
      high = std::max(name.bit_of(select.msb), name.bit_of(select.lsb));
    }
    for (auto i = finding; i < findings_.size() && findings_[i].name == owner && findings_[i].first <= high;
         ++i) {
      if (findings_[i].last < low || is_placed[i]) continue;
      is_placed[i] = true;
      findings_[i].offset = connection.offset;
    }
  }

  std::string text_of_run(const Finding& finding) const {
    const auto& name = plan_.names[finding.name];
    const auto word = netlist_.symbols->text(name.name);
    if (!name.is_bus || (finding.first == name.first && finding.last == name.first + name.width - 1)) {
      return std::string(word);
    }
    const auto msb = name.index_of(finding.first), lsb = name.index_of(finding.last);
    return msb == lsb ? fmt::format("{}[{}]", word, msb) : fmt::format("{}[{}:{}]", word, msb, lsb);
  }

  std::string_view text(const LocalName& name) const { return netlist_.symbols->text(name.name); }
  bool is_driven(const LocalName& name, std::uint32_t bit) const {
    return name.role == LocalName::Role::input || (plan_.bits[bit] & CellPlan::is_driven) != 0;
  }

  /// Outputs whose driver has another name by mistake.
  void join_misspelt() {
    std::size_t looked_at = 0;
    for (Finding& output : findings_) {
      const auto& name = plan_.names[output.name];
      if (output.kind != Kind::undriven || name.role != LocalName::Role::output) continue;
      if (++looked_at > most_warnings) break;
      std::vector<std::string_view> names;
      std::vector<Finding*> unread;
      for (Finding& other : findings_) {
        if (names.size() == most_candidates) break;
        if (other.kind != Kind::unread_net || other.width() != output.width()) continue;
        if (are_complements(text(plan_.names[other.name]), text(name))) continue;
        names.push_back(text(plan_.names[other.name]));
        unread.push_back(&other);
      }
      const auto nearest = std::find(names.begin(), names.end(), nearest_name(text(name), names));
      if (nearest == names.end()) continue;
      Finding& driven = *unread[static_cast<std::size_t>(nearest - names.begin())];
      output.offset = driven.offset;
      output.found = text_of_run(driven);
      driven.kind = Kind::fine;
    }
    std::erase_if(findings_, [](const Finding& finding) { return finding.kind == Kind::fine; });
  }

  /// The name of a driven net that this one may have been meant to be: never its complement.
  std::string nearest_driven(const LocalName& missing) {
    if (candidates_.empty()) {
      for (const auto& name : plan_.names) {
        if (candidates_.size() == most_candidates) break;
        if (is_driven(name, name.first)) candidates_.push_back(text(name));
      }
    }
    auto candidates = candidates_;
    std::erase_if(candidates, [&](std::string_view name) { return are_complements(name, text(missing)); });
    const auto nearest = nearest_name(text(missing), candidates);
    return nearest == text(missing) ? std::string() : suggestion(nearest);  // a bus with some bits driven is near itself
  }

  /// The inverter that would drive the bits, when the name marks the inverse of a net that is there. For an output
  /// of an input only: of two outputs that are inverses, as those of a latch, each has a gate of its own.
  std::string inverter_for(const Finding& finding) const {
    const auto& missing = plan_.names[finding.name];
    const auto msb = missing.index_of(finding.first), lsb = missing.index_of(finding.last);
    const auto fits = [&](const LocalName& base) {
      if (!marks_inverse_of(text(missing), text(base)) || base.is_bus != missing.is_bus) return false;
      if (missing.role == LocalName::Role::output && base.role != LocalName::Role::input) return false;
      if (!base.is_bus) return is_driven(base, base.first);
      return base.has_index(msb) && base.has_index(lsb) && (base.msb >= base.lsb) == (missing.msb >= missing.lsb) &&
             is_driven(base, base.bit_of(msb));
    };
    const auto base = std::find_if(plan_.names.begin(), plan_.names.end(), fits);
    if (base == plan_.names.end()) return {};
    std::string gate = fmt::format("invert_{}", text(*base));
    while (netlist_.symbols->find(gate) != no_symbol) gate += '_';
    const std::string range = !missing.is_bus ? "" : msb == lsb ? fmt::format("[{}]", msb) : fmt::format("[{}:{}]", msb, lsb);
    return fmt::format("not {}{}: {}{} -> {}{}", gate, msb == lsb ? "" : range, text(*base), range, text(missing), range);
  }

  std::string driver_hint(const Finding& finding, const std::string& what) {
    const auto& name = plan_.names[finding.name];
    if (!own_language_) return name.role == LocalName::Role::output ? std::string() : nearest_driven(name);
    if (const auto inverter = inverter_for(finding); !inverter.empty()) {
      return fmt::format("a gate must drive it, as in: {}", inverter);
    }
    if (name.role == LocalName::Role::output) return fmt::format("end a gate with '-> {}'", what);
    if (const auto level = level_of_power_name(text(name))) {
      return fmt::format("'{}' is an ordinary name: write {}", text(name), *level);
    }
    if (auto near = nearest_driven(name); !near.empty()) return near;
    return fmt::format("end a gate with '-> {}', or make it an input of the cell", what);
  }

  void report(const Finding& finding) {
    const auto& name = plan_.names[finding.name];
    const auto what = text_of_run(finding);
    const Place place{cell_.place.file, finding.offset};
    switch (finding.kind) {
      case Kind::undriven:
        if (!finding.found.empty()) {
          diagnostics_.warning(place, "undriven-net",
                               fmt::format("nothing drives output '{}', and nothing reads net '{}'", what, finding.found),
                               suggestion(what));
          break;
        }
        diagnostics_.warning(
            place, "undriven-net",
            fmt::format("nothing drives {} '{}'", name.role == LocalName::Role::output ? "output" : "net", what),
            driver_hint(finding, what));
        undriven_.push_back({name.name, what});
        break;
      case Kind::unread_net:
        diagnostics_.warning(place, "unused-output", fmt::format("nothing reads net '{}'", what),
                             own_language_ ? "write '_' to leave an output open" : "");
        break;
      case Kind::unread_input:
        diagnostics_.warning(place, "unused-input", fmt::format("nothing reads input '{}'", what));
        break;
      case Kind::fine: break;
    }
  }

  const Netlist& netlist_;
  const CellSyntax& cell_;
  const CellPlan& plan_;
  bool own_language_;  // else hints hold no statement
  Diagnostics& diagnostics_;
  std::vector<Finding> findings_;
  std::vector<std::string_view> candidates_;
  std::vector<UndrivenNet> undriven_;
};

}  // namespace

std::vector<UndrivenNet> lint_cell(const Netlist& netlist, std::uint32_t cell, const CellPlan& plan, bool own_language,
                                   Diagnostics& diagnostics) {
  return CellLint(netlist, cell, plan, own_language, diagnostics).run();
}

}  // namespace settle
