// Equal cells are those of the same kind with the same clock, gate or enable. Where every cell would
// stand alone though all are of one kind, they are taken together.
#include "analysis/cell_groups.h"

#include <algorithm>
#include <bit>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/cell_study.h"

namespace settle {
namespace {

bool is_storage(const ExplainedCell& cell) {
  return cell.core != CellCore::none && cell.core != CellCore::oscillator;
}
bool is_clocked(CellCore core) { return core >= CellCore::d && core <= CellCore::clocked_logic; }

bool is_common_role(const InputRole& role) {
  return role.role == "clock" || role.role == "gate" || role.role == "enable" || role.role == "select";
}
bool is_data_role(const InputRole& role) { return role.role == "data" || role.role == "J" || role.role == "toggle"; }

std::string data_of(const ExplainedCell& cell) {
  std::string data;
  for (const InputRole& role : cell.inputs) {
    if (!is_data_role(role)) continue;
    if (!data.empty()) return {};
    data = role.input;
  }
  return data;
}

// Each cell's data is the output, or the opposite output, of another: the order from first to last.
bool order_chain(std::vector<CellInstance*>& cells) {
  std::map<std::string, std::size_t> owner;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (!is_clocked(cells[i]->facts.core) && cells[i]->facts.core != CellCore::transparent) return false;
    for (const std::string& name : cells[i]->observed) owner.emplace(name, i);
  }
  std::vector<std::size_t> next(cells.size(), no_id);
  std::size_t first = no_id, linked = 0;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const auto source = owner.find(data_of(cells[i]->facts));
    if (source == owner.end()) {
      if (first != no_id) return false;
      first = i;
    } else {
      if (next[source->second] != no_id) return false;
      next[source->second] = i;
      ++linked;
    }
  }
  if (first == no_id || linked + 1 != cells.size()) return false;
  std::vector<CellInstance*> ordered;
  for (std::size_t i = first; i != no_id && ordered.size() < cells.size(); i = next[i]) ordered.push_back(cells[i]);
  if (ordered.size() != cells.size()) return false;
  cells = ordered;
  return true;
}

enum class Ripple { none, up, down, mixed };

// Cells of which each is clocked by an output of the one before. Where a falling output carries, they count up.
Ripple ripple_of(const std::vector<CellInstance*>& cells) {
  std::size_t linked = 0, up = 0;
  for (const CellInstance* cell : cells) {
    if (cell->facts.core != CellCore::toggle) return Ripple::none;
    for (const InputRole& role : cell->facts.inputs) {
      if (role.role != "clock") continue;
      for (const CellInstance* other : cells) {
        const auto from = std::find(other->observed.begin(), other->observed.end(), role.input);
        if (other == cell || from == other->observed.end()) continue;
        ++linked;
        const auto carry = static_cast<std::size_t>(from - other->observed.begin());
        const auto shown = static_cast<std::size_t>(
            std::find(other->observed.begin(), other->observed.end(), other->facts.output) - other->observed.begin());
        if (shown == other->observed.size() || carry >= other->is_opposite.size()) continue;
        const bool opposite = other->first_alike[carry] == other->first_alike[shown] &&
                              other->is_opposite[carry] != other->is_opposite[shown];
        up += role.active_high == opposite ? 1 : 0;
      }
    }
  }
  if (linked + 1 != cells.size()) return Ripple::none;
  return up == linked ? Ripple::up : up == 0 ? Ripple::down : Ripple::mixed;
}

std::string kind_of_group(const ExplainedCell& cell, Ripple ripple) {
  if (cell.copies == 1) return cell.kind;
  if (cell.stored_bits_alike > 1) {
    return fmt::format("{}{}", cell.copies * cell.stored_bits_alike, cell.kind.substr(cell.kind.find('-')));
  }
  if (cell.core == CellCore::unknown) return fmt::format("{} unrecognised cells", cell.copies);
  const bool common = std::any_of(cell.inputs.begin(), cell.inputs.end(), [&](const InputRole& role) {
    return (role.role == "clock" || role.role == "gate") &&
           std::find(cell.shared.begin(), cell.shared.end(), role.input) != cell.shared.end();
  });
  if (ripple != Ripple::none) {
    const std::string_view direction = ripple == Ripple::up ? "up-" : ripple == Ripple::down ? "down-" : "";
    return fmt::format("{}-bit ripple {}counter of {}", cell.copies, direction, plural_of(cell.kind));
  }
  if (cell.is_chain && common) return fmt::format("{}-bit shift register of {}", cell.copies, plural_of(cell.kind));
  return common ? fmt::format("{}-bit register of {}", cell.copies, plural_of(cell.kind)) : fmt::format("{} {}", cell.copies, plural_of(cell.kind));
}

void add_own_clocks(const std::vector<CellInstance*>& cells, bool ripple, ExplainedCell& cell) {
  std::vector<std::string> clocks;
  for (const CellInstance* instance : cells) {
    for (const InputRole& role : instance->facts.inputs) {
      if (role.role != "clock" && role.role != "gate") continue;
      if (std::find(cell.shared.begin(), cell.shared.end(), role.input) != cell.shared.end()) return;
      clocks.push_back(role.input);
    }
  }
  if (!ripple && clocks.size() == cells.size()) cell.own_clocks = std::move(clocks);
}

void add_group(std::vector<CellInstance*>& cells, Explanation& result) {
  const auto index = static_cast<std::uint32_t>(result.cells.size());
  const Ripple ripple = cells.size() > 1 ? ripple_of(cells) : Ripple::none;
  // Latches that are open at the same time are no chain: the data runs through all of them.
  std::set<std::string> gates;
  for (const CellInstance* instance : cells) {
    for (const InputRole& role : instance->facts.inputs) {
      if (role.role == "gate") gates.insert(role.input);
    }
  }
  const bool open_row = cells[0]->facts.core == CellCore::transparent && gates.size() != cells.size();
  const bool chain = ripple != Ripple::none || (cells.size() > 1 && !open_row && order_chain(cells));
  ExplainedCell cell = cells[0]->facts;
  cell.copies = static_cast<std::uint32_t>(cells.size());
  cell.is_chain = chain;
  for (CellInstance* instance : cells) {
    instance->cell = index;
    if (const std::string data = data_of(instance->facts); !data.empty()) cell.data.push_back(data);
    for (const std::string& output : instance->outputs) cell.outputs.push_back(output);
  }
  if (cells.size() > 1) {
    for (std::size_t r = 0; r < cell.inputs.size(); ++r) {
      const bool same = std::all_of(cells.begin(), cells.end(), [&](const CellInstance* other) {
        return r < other->facts.inputs.size() && other->facts.inputs[r].input == cell.inputs[r].input;
      });
      if (same) cell.shared.push_back(cell.inputs[r].input);
    }
    add_own_clocks(cells, ripple != Ripple::none, cell);
    cell.is_fed = std::any_of(cells.begin(), cells.end(), [](const CellInstance* other) { return !other->facts.fed_by.empty(); });
    cell.same_counts = std::all_of(cells.begin(), cells.end(), [&](const CellInstance* other) {
      return other->facts.stable_states == cell.stable_states;
    });
  }
  cell.group_kind = kind_of_group(cell, ripple);
  result.cells.push_back(std::move(cell));
}

// A sequence that steps through the numbers from 0 without a gap, the first bit the highest or the lowest.
std::string counter_kind(const std::vector<std::vector<std::string>>& counts) {
  if (counts.empty() || counts[0].size() < 3) return {};
  const std::vector<std::string>& sequence = counts[0];
  const std::size_t bits = sequence[0].size(), length = sequence.size();
  for (const bool first_is_highest : {true, false}) {
    std::vector<std::size_t> numbers;
    for (std::string value : sequence) {
      if (!first_is_highest) std::reverse(value.begin(), value.end());
      numbers.push_back(std::stoul(value, nullptr, 2));
    }
    for (const bool up : {true, false}) {
      bool steps = true;
      for (std::size_t k = 0; k < length && steps; ++k) {
        const std::size_t other = numbers[(k + 1) % length];
        steps = up ? other == (numbers[k] + 1) % length : numbers[k] == (other + 1) % length;
      }
      if (!steps) continue;
      const std::string_view direction = up ? "up" : "down";
      if (length == std::size_t{1} << bits) return fmt::format("{}-bit synchronous {}-counter", bits, direction);
      return fmt::format("synchronous {}-counter modulo {}", direction, length);
    }
  }
  return {};
}

// One loop that stores several bits, every output with a rule for the same edge: what the feedback makes.
std::string feedback_kind(const CellInstance& instance) {
  const OutputRule* first = nullptr;
  for (const OutputRule* rule : instance.rules) {
    if (rule->kind != OutputRule::Kind::edge || rule->clocks.size() != 1) return {};
    if (first == nullptr) first = rule;
    if (rule->clocks[0].input != first->clocks[0].input || rule->clocks[0].rises != first->clocks[0].rises) return {};
  }
  if (first == nullptr || instance.rules.size() < 2) return {};
  const std::string edge = first->clocks[0].rises ? "rising-edge " : "falling-edge ";

  // Each bit takes over exactly one other bit or input: a ring, or a chain that begins at an input.
  const std::size_t nets = instance.rules.size(), inputs = instance.inputs.size();
  std::vector<std::size_t> source(nets, nets);   // nets: an input
  std::vector<unsigned> taken(nets, 0);
  std::size_t n = 0;
  unsigned inverted = 0, from_inputs = 0;
  bool copies_only = true;
  for (std::size_t o = 0; o < nets && copies_only; ++o) {
    if (instance.first_alike[o] != o) continue;   // shows a bit a second time, perhaps upside down
    ++n;
    const OutputRule& rule = *instance.rules[o];
    const std::vector<Cube> sum = without_controls(rule, true).minimal();
    copies_only = sum.size() == 1 && std::popcount(sum[0].care) == 1;
    if (!copies_only) break;
    const std::size_t variable = rule.variables() - 1 - static_cast<unsigned>(std::countr_zero(sum[0].care));
    inverted += sum[0].value == 0 ? 1 : 0;
    if (variable < inputs) {
      ++from_inputs;
    } else {
      // An opposite net as source turns the ring over once more; how often is told by the rule of the bit itself.
      const unsigned from = rule.stored[variable - inputs];
      source[o] = instance.first_alike[from];
      inverted += source[o] != from && instance.is_opposite[from] ? 1 : 0;
      copies_only = ++taken[source[o]] == 1;
    }
  }
  if (n < 2) return {};
  if (copies_only && from_inputs == 1) return fmt::format("{}{}-bit shift register", edge, n);
  if (copies_only && from_inputs == 0) {
    std::size_t at = 0, length = 0;
    do {
      at = source[at];
      ++length;
    } while (at != 0 && length < n);
    if (at == 0 && length == n) {
      return fmt::format("{}{}-stage {}", edge, n, inverted % 2 == 1 ? "twisted-ring counter (Johnson counter)" : "ring counter");
    }
  }
  if (const std::string counter = counter_kind(instance.facts.counts); !counter.empty()) return edge + counter;
  return edge + "register with feedback";
}

}  // namespace

void group_cells(std::vector<CellInstance>& instances, Explanation& result) {
  std::vector<std::vector<CellInstance*>> groups;
  std::map<std::string, std::size_t> known;
  for (CellInstance& instance : instances) {
    const bool may_be_register = is_clocked(instance.facts.core) || instance.facts.core == CellCore::unknown;
    if (may_be_register && instance.facts.states_held > 2 && !instance.facts.is_pulse_triggered) {
      const std::string kind = feedback_kind(instance);
      if (!kind.empty()) {
        std::string controls;
        instance.facts.core = CellCore::clocked_logic;
        const std::size_t direct = instance.facts.direct_controls;
        // ", asynchronous reset active low" of the kind that it had.
        if (const std::size_t at = instance.facts.kind.find(", asynchronous"); at != std::string::npos) {
          controls = instance.facts.kind.substr(at);
        }
        instance.facts.kind = kind + controls;
        std::vector<InputRole> kept;
        for (std::size_t r = 0; r < instance.facts.inputs.size(); ++r) {
          const InputRole& role = instance.facts.inputs[r];
          if (r < direct || role.role == "clock" || role.role == "data") kept.push_back(role);
        }
        instance.facts.inputs = std::move(kept);
      }
    }
    std::string key = instance.facts.kind;
    if (instance.facts.core == CellCore::oscillator) key += "/" + instance.facts.never_stable_when;
    for (const InputRole& role : instance.facts.inputs) {
      if (is_common_role(role)) key += "/" + role.input;
    }
    const auto [at, is_new] = known.emplace(key, groups.size());
    if (is_new) groups.emplace_back();
    groups[at->second].push_back(&instance);
  }
  const bool alone = groups.size() > 1 && std::all_of(groups.begin(), groups.end(), [&](const auto& group) {
    return group.size() == 1 && is_storage(group[0]->facts) && group[0]->facts.kind == instances[0].facts.kind;
  });
  if (alone) {
    for (std::size_t g = 1; g < groups.size(); ++g) groups[0].push_back(groups[g][0]);
    groups.resize(1);
  }
  for (auto& group : groups) add_group(group, result);
  for (ExplainedOutput& output : result.outputs) {
    if (output.cell != no_id) output.cell = instances[output.cell].cell;
  }
  for (ExplainedOutput& inner : result.inner) inner.cell = instances[inner.cell].cell;
}

std::string kind_of_all(const Explanation& result, const std::vector<CellInstance>& instances) {
  if (!result.has_loops || instances.empty()) return "no storage";
  std::vector<const ExplainedCell*> storing;
  const ExplainedCell* oscillator = nullptr;
  for (const ExplainedCell& cell : result.cells) {
    if (is_storage(cell)) storing.push_back(&cell);
    if (cell.core == CellCore::oscillator) oscillator = &cell;
  }
  if (storing.empty()) return oscillator != nullptr ? oscillator->kind : "no storage";
  if (storing.size() > 3) return fmt::format("{} kinds of storage cells", storing.size());
  std::vector<std::string> kinds;
  for (const ExplainedCell* cell : storing) kinds.push_back(cell->group_kind);
  std::sort(kinds.begin(), kinds.end());
  return listed(kinds, " and ");
}

}  // namespace settle
