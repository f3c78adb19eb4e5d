// Delays as written -> ticks and classes.
#pragma once

#include <cstdint>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "circuit/cell_plan.h"

namespace settle {

/// The distinct delays of a circuit. Class 0 is one tick.
class DelayClasses {
 public:
  DelayClasses(const Netlist& netlist, const ElaborateOptions& options, Diagnostics& diagnostics)
      : netlist_(netlist), source_(options.delay_source), diagnostics_(diagnostics), finest_(options.stimulus_unit) {}

  /// First pass, every cell: which units are used?
  void look_at(std::uint32_t cell, const CellPlan& plan);
  /// Between the passes: settles the tick, warns of gates without a delay among others with one.
  void choose_tick();
  /// Second pass, every cell: the class of each gate.
  void assign(std::uint32_t cell, CellPlan& plan);

  TimeUnit tick() const { return tick_; }
  std::vector<GateDelay> take() { return std::move(classes_); }

 private:
  struct Hash {
    std::size_t operator()(const GateDelay& delay) const;
  };
  const Attributes* attributes_of(const Statement& statement) const;
  void take_from_source(Place place, const Statement& statement, PlanStatement& planned);
  std::uint16_t class_of(const GateDelay& delay, Place place);
  bool scale(DelayTriple& triple, TimeUnit unit) const;

  const Netlist& netlist_;
  const DelaySource* source_;
  Diagnostics& diagnostics_;
  TimeUnit finest_;
  TimeUnit tick_ = TimeUnit::none;
  Place first_bare_, first_without_;
  bool has_parts_ = false;
  std::unordered_set<std::string> noted_;
  std::uint32_t without_name_ = no_symbol;
  std::vector<GateDelay> classes_{GateDelay{}};
  std::unordered_map<GateDelay, std::uint16_t, Hash> class_of_{{GateDelay{}, 0}};
};

}  // namespace settle
