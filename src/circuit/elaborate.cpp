// Syntax tree -> flat circuit, in four steps:
//
//   choose    the cell to work on, and the cells that it uses, directly or not;
//   compile   each of these cells once (cell_plan.h), with all errors and warnings;
//   count     gates, pins and instances bottom-up, so that limits are judged before memory is used
//             and arrays are reserved exactly; a first time before cells are compiled, with the nets
//             of pins only, since a few wide arrays would keep the compiler busy for hours;
//   place     the instance tree depth first in statement order (place_instances.h).
//
// The cells in use form a graph without cycles (recursion is an error), searched with an explicit
// stack, so nesting may be as deep as the file is long.
// Cost: linear in the cells that are used, then in the flat gates and pins.
#include "settle/elaborate.h"

#include <fmt/format.h>
#include <unordered_set>

#include <algorithm>

#include "circuit/cell_plan.h"
#include "circuit/delay_classes.h"
#include "circuit/kind_names.h"
#include "circuit/part_names.h"
#include "circuit/place_instances.h"

namespace settle {
namespace {

constexpr std::size_t names_shown = 8;

std::string name_list(const std::vector<std::string_view>& names) {
  std::string list;
  for (std::size_t i = 0; i < std::min(names.size(), names_shown); ++i) {
    list += fmt::format("{}'{}'", i == 0 ? "" : ", ", names[i]);
  }
  if (names.size() > names_shown) list += fmt::format(" and {} more", names.size() - names_shown);
  return list;
}

class Elaboration {
 public:
  /// `own`: the netlist again if it may be used up, else nullptr.
  Elaboration(const Netlist& netlist, Netlist* own, const ElaborateOptions& options, const Sources& sources,
              Diagnostics& diagnostics)
      : netlist_(netlist),
        own_(own),
        options_(options),
        sources_(sources),
        diagnostics_(diagnostics),
        errors_before_(diagnostics.error_count()),
        compiler_(netlist, options, diagnostics),
        parts_(netlist) {
    if (own != nullptr) compiler_.use_up(*own);
  }

  std::optional<Circuit> run() {
    if (has_chips_without_gates()) return {};
    const int top = choose_top();
    if (top < 0) return {};
    if (!order_cells(static_cast<std::uint32_t>(top))) return {};
    if (!count(static_cast<std::uint32_t>(top), [this](std::uint32_t cell) { return pin_bits(cell); })) return {};
    compile();
    if (has_errors()) return {};
    compiler_.finish();
    if (own_ != nullptr) own_->connections = std::vector<Connection>();
    const auto sizes = count(static_cast<std::uint32_t>(top), [this](std::uint32_t cell) { return plans_[cell].bits.size(); });
    if (!sizes) return {};
    start_progress(options_.progress, "building", "gates", sizes->gates);
    CircuitBuilder builder(*sizes);
    builder.set_delays(delays_->take(), delays_->tick());
    builder.set_parts(parts_.take());
    if (!place_instances(netlist_, own_, compiler_, plans_, static_cast<std::uint32_t>(top), options_, builder)) {
      diagnostics_.error(netlist_.cells[static_cast<std::size_t>(top)].place, "stopped from outside while this was built");
      return {};
    }
    plans_ = std::vector<CellPlan>();
    if (own_ != nullptr) own_->statements = std::vector<Statement>();
    check_shared_wires(sources_, builder, undriven_, diagnostics_);
    if (has_errors()) return {};
    return builder.finish();
  }

 private:
  std::string_view name_of_cell(std::size_t cell) const {
    return netlist_.symbols->text(netlist_.cells[cell].name);
  }
  bool has_errors() const { return diagnostics_.error_count() != errors_before_; }

  // Only a catalogue of parts tells which gates a chip has.
  bool has_chips_without_gates() {
    const auto chip = std::find_if(netlist_.chips.begin(), netlist_.chips.end(), [](const ChipSyntax& c) { return !c.is_placed; });
    if (chip == netlist_.chips.end()) return false;
    diagnostics_.error({netlist_.cells[chip->cell].place.file, chip->part_offset},
                       fmt::format("no catalogue of parts is at hand to say what a {} is", chip->part));
    return true;
  }

  int choose_top() {
    if (netlist_.cells.empty()) {
      diagnostics_.error({}, "the netlist has no cell", "a cell starts with 'cell NAME' and ends with 'end'");
      return -1;
    }
    std::vector<std::string_view> names;
    if (!options_.cell.empty()) {
      const auto symbol = netlist_.symbols->find(options_.cell);
      const int cell = symbol == no_symbol ? -1 : compiler_.find_cell(symbol);
      if (cell >= 0) return cell;
      for (std::size_t i = 0; i < netlist_.cells.size(); ++i) names.push_back(name_of_cell(i));
      auto hint = suggestion(nearest_name(options_.cell, names));
      if (hint.empty()) hint = "the cells are " + name_list(names);
      diagnostics_.error({}, fmt::format("there is no cell '{}'", options_.cell), hint);
      return -1;
    }
    std::vector<bool> is_used(netlist_.cells.size());
    for (std::size_t cell = 0; cell < netlist_.cells.size(); ++cell) {
      const auto& syntax = netlist_.cells[cell];
      for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
        const int used = used_cell(netlist_.statements[syntax.first_statement + s]);
        if (used >= 0 && static_cast<std::size_t>(used) != cell)
          is_used[static_cast<std::size_t>(used)] = true;
      }
    }
    int top = -1;
    for (std::size_t cell = 0; cell < netlist_.cells.size(); ++cell) {
      if (is_used[cell]) continue;
      top = static_cast<int>(cell);
      names.push_back(name_of_cell(cell));
    }
    if (names.size() == 1) return top;
    // What is included is a store of parts, of which not all need be used.
    const std::uint32_t main_file = netlist_.cells.back().place.file;   // included files come first
    std::vector<int> own;
    for (std::size_t cell = 0; cell < netlist_.cells.size(); ++cell) {
      if (!is_used[cell] && netlist_.cells[cell].place.file == main_file) own.push_back(static_cast<int>(cell));
    }
    if (own.size() == 1 && own.size() != names.size()) return own[0];
    if (names.empty()) {  // cells that use each other: say so
      order_cells(0);
      return -1;
    }
    // A misspelt cell looks unused; say that rather than ask for a choice.
    if (report_unknown_kinds() || report_self_use()) return -1;
    diagnostics_.error({}, fmt::format("{} cells could be the circuit: {}", names.size(), name_list(names)),
                       fmt::format("choose one, as in --cell {}", names.back()));
    return -1;
  }

  bool report_unknown_kinds() {
    for (const auto& cell : netlist_.cells) {
      for (std::uint32_t s = 0; s < cell.statement_count; ++s) {
        const auto& statement = netlist_.statements[cell.first_statement + s];
        if (diagnostics_.is_full()) return true;
        if (statement.builtin < 0 && used_cell(statement) < 0) {
          compiler_.unknown_kind({cell.place.file, statement.offset}, statement.kind);
        }
      }
    }
    return has_errors();
  }

  // A cell that contains itself looks unused as well.
  bool report_self_use() {
    for (std::uint32_t cell = 0; cell < netlist_.cells.size(); ++cell) {
      const auto& syntax = netlist_.cells[cell];
      for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
        const auto& statement = netlist_.statements[syntax.first_statement + s];
        if (used_cell(statement) != static_cast<int>(cell)) continue;
        report_recursion({cell}, {syntax.place.file, statement.offset});
        return true;
      }
    }
    return false;
  }

  int used_cell(const Statement& statement) const {
    return statement.builtin >= 0 ? -1 : compiler_.find_cell(statement.kind);
  }

  /// Fills order_ with the cells in use, users after what they use. False: recursion.
  bool order_cells(std::uint32_t top) {
    enum class Mark : std::uint8_t { fresh, open, done };
    struct Frame {
      std::uint32_t cell;
      std::uint32_t statement;
    };
    std::vector<Mark> marks(netlist_.cells.size(), Mark::fresh);
    std::vector<Frame> stack{{top, 0}};
    marks[top] = Mark::open;
    while (!stack.empty()) {
      auto& [cell, next] = stack.back();
      const auto& syntax = netlist_.cells[cell];
      if (next == syntax.statement_count) {
        marks[cell] = Mark::done;
        order_.push_back(cell);
        stack.pop_back();
        continue;
      }
      const auto& statement = netlist_.statements[syntax.first_statement + next++];
      const int used = used_cell(statement);
      if (used < 0 || marks[static_cast<std::size_t>(used)] == Mark::done) continue;
      if (marks[static_cast<std::size_t>(used)] == Mark::open) {
        std::vector<std::uint32_t> chain;
        for (const auto& frame : stack) {
          if (!chain.empty() || frame.cell == static_cast<std::uint32_t>(used)) chain.push_back(frame.cell);
        }
        report_recursion(chain, {syntax.place.file, statement.offset});
        return false;
      }
      marks[static_cast<std::size_t>(used)] = Mark::open;
      stack.push_back({static_cast<std::uint32_t>(used), 0});
    }
    return true;
  }

  void report_recursion(const std::vector<std::uint32_t>& chain, Place place) {
    std::string text;
    for (std::size_t i = 0; i < chain.size(); ++i) {
      if (chain.size() > names_shown && i >= names_shown / 2 && i < chain.size() - names_shown / 2) {
        if (i == names_shown / 2) text += "... -> ";
        continue;
      }
      text += fmt::format("{} -> ", name_of_cell(chain[i]));
    }
    text += name_of_cell(chain.front());
    diagnostics_.error(place,
                       fmt::format("cell '{}' contains itself: {}", name_of_cell(chain.front()), text),
                       "a cell cannot contain itself; for feedback let a gate read a net that it drives, itself or through others");
  }

  void compile() {
    plans_.resize(netlist_.cells.size());
    auto in_file_order = order_;
    std::sort(in_file_order.begin(), in_file_order.end());
    for (const auto cell : in_file_order) {
      plans_[cell] = compiler_.compile(cell);
      if (diagnostics_.is_full()) return;
    }
    if (has_errors()) return;
    for (const auto cell : in_file_order) {
      auto undriven = lint_cell(netlist_, cell, plans_[cell], options_.own_language, diagnostics_);
      if (!undriven.empty()) undriven_.emplace(netlist_.cells[cell].name, std::move(undriven));
    }
    delays_.emplace(netlist_, options_, diagnostics_);
    for (const auto cell : in_file_order) delays_->look_at(cell, plans_[cell]);
    delays_->choose_tick();
    for (const auto cell : in_file_order) {
      delays_->assign(cell, plans_[cell]);
      parts_.assign(plans_[cell]);
    }
  }

  std::uint64_t pin_bits(std::uint32_t cell) const {
    std::uint64_t bits = 0;
    for (const auto* pins : {&netlist_.cells[cell].inputs, &netlist_.cells[cell].outputs}) {
      for (const auto& pin : *pins) bits += pin.select == Connection::no_select ? 1 : netlist_.selects[pin.select].width();
    }
    return bits;
  }

  /// Sizes of the whole circuit, `nets_of(cell)` being the nets of a cell itself; nothing above a limit.
  template <class NetsOf>
  std::optional<CircuitBuilder::Sizes> count(std::uint32_t top, const NetsOf& nets_of) {
    // All products stay below 2^63: 2^32 a cell at most, times 2^30 elements; so do sums, cut down
    // after each.
    constexpr std::uint64_t most = std::uint64_t{1} << 32;
    struct Total {
      std::uint64_t gates = 0, pins = 0, instances = 1, nets = 0;
    };
    std::vector<Total> totals(netlist_.cells.size());
    for (const auto cell : order_) {
      auto& total = totals[cell];
      const auto& syntax = netlist_.cells[cell];
      total.nets = nets_of(cell);
      for (std::uint32_t s = 0; s < syntax.statement_count; ++s) {
        const auto& statement = netlist_.statements[syntax.first_statement + s];
        const std::uint64_t elements = element_count(netlist_, statement);
        if (statement.builtin >= 0) {
          total.gates += elements;
          total.pins += elements * statement.inputs;
        } else if (const int cell_used = used_cell(statement); cell_used >= 0) {  // else an error, told by compile()
          const auto& used = totals[static_cast<std::size_t>(cell_used)];
          total.gates += elements * used.gates;
          total.pins += elements * used.pins;
          total.instances += elements * used.instances;
          total.nets += elements * used.nets;
        }
        for (auto* sum : {&total.gates, &total.pins, &total.instances, &total.nets})
          *sum = std::min(*sum, most);
      }
    }
    const auto& total = totals[top];
    const auto refuse = [&](std::string_view things, std::uint64_t limit, LimitKind kind) {
      diagnostics_.limit(netlist_.cells[top].place,
                         fmt::format("cell '{}' has more than {} {} when its cells are put in",
                                     name_of_cell(top), limit, things),
                         limit_hint(kind, limit));
      return std::nullopt;
    };
    // Numbers of gates and nets have 32 bits, and net numbers run up to gates + nets + 2.
    constexpr std::uint64_t most_numbers = 0x7ffffff0;
    const auto gate_limit = std::min(options_.gate_limit, most_numbers);
    const auto net_limit = std::min(options_.net_limit, most_numbers);
    if (total.gates > gate_limit) return refuse("gates", gate_limit, LimitKind::gates);
    if (total.nets > net_limit) return refuse("nets", net_limit, LimitKind::nets);
    if (total.instances > net_limit) return refuse("cells", net_limit, LimitKind::nets);
    constexpr std::uint64_t most_pins = 0xfffffffe;
    if (total.pins > most_pins) {
      diagnostics_.limit(netlist_.cells[top].place,
                         fmt::format("cell '{}' has more than {} gate inputs when its cells are put in",
                                     name_of_cell(top), most_pins),
                         "no option allows more; choose a smaller cell with --cell");
      return std::nullopt;
    }
    return CircuitBuilder::Sizes{total.gates, total.pins, total.instances};
  }

  const Netlist& netlist_;
  Netlist* own_;
  const ElaborateOptions& options_;
  const Sources& sources_;
  Diagnostics& diagnostics_;
  std::size_t errors_before_;
  CellCompiler compiler_;
  std::vector<std::uint32_t> order_;
  std::vector<CellPlan> plans_;
  UndrivenNets undriven_;
  std::optional<DelayClasses> delays_;
  PartNames parts_;
};

}  // namespace

void report_misspelt_kinds(const Netlist& netlist, Diagnostics& diagnostics) {
  std::unordered_set<Symbol> known;
  const KindNames kinds(netlist);
  for (const auto& cell : netlist.cells) known.insert(cell.name);
  for (const auto& cell : netlist.cells) {
    for (std::uint32_t s = 0; s < cell.statement_count && !diagnostics.is_full(); ++s) {
      const auto& statement = netlist.statements[cell.first_statement + s];
      if (statement.builtin >= 0 || known.contains(statement.kind)) continue;
      const auto kind = netlist.symbols->text(statement.kind);
      const auto near = kinds.nearest(kind);
      if (near.empty()) continue;
      diagnostics.error({cell.place.file, statement.offset}, fmt::format("unknown gate or cell '{}'", kind),
                        suggestion(near));
    }
  }
}

std::optional<Circuit> elaborate(const Netlist& netlist, const ElaborateOptions& options,
                                 const Sources& sources, Diagnostics& diagnostics) {
  return Elaboration(netlist, nullptr, options, sources, diagnostics).run();
}

std::optional<Circuit> elaborate(Netlist&& netlist, const ElaborateOptions& options,
                                 const Sources& sources, Diagnostics& diagnostics) {
  return Elaboration(netlist, &netlist, options, sources, diagnostics).run();
}

}  // namespace settle
