// Lint: what is legal in a netlist or a stimulus, and yet probably not what was meant.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <string_view>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/netlist.h"
#include "settle/stimulus.h"

namespace settle {

/// A kind of lint finding.
struct LintKind {
  enum class Subject : std::uint8_t { netlist, stimulus };
  std::string_view name;  ///< as in Diagnostic::kind
  Subject subject;
  Severity severity;         ///< warning or note
  bool at_load;              ///< found by each load; the others by the functions below only
  std::string_view meaning;  ///< one line
};

/// All kinds: those of netlists, then those of stimuli, each by name.
std::span<const LintKind> lint_kinds();

struct LintOptions {
  std::uint32_t fan_out = 10;               ///< gate inputs on one net, above which it is told
  std::uint32_t most = 10;                  ///< findings of one kind; then "N more"
  std::uint64_t conflicts = 20'000;         ///< work of the solver on one question; 0: no limit
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up
};

/// Names that are easy to mix up, in the files of the cells `tops` (indices into Netlist::cells); in all
/// files when there are none.
void lint_names(const Netlist& netlist, std::span<const std::uint32_t> tops, const LintOptions& options,
                Diagnostics& diagnostics);

/// Cells of the file (index into Sources) that are neither among `used` nor in one of these, directly or
/// not.
void lint_unused_cells(const Netlist& netlist, std::uint32_t file, std::span<const std::uint32_t> used,
                       const LintOptions& options, Diagnostics& diagnostics);

/// What the wiring alone shows: constant, duplicate and unused gates, fan-out, loops that nothing can set.
/// `netlist` is the tree that `circuit` was made of. A finding about a gate in a cell that is used
/// several times is told once, and only when it is true in all of its uses. Linear time.
void lint_circuit(const Netlist& netlist, const Circuit& circuit, const LintOptions& options,
                  Diagnostics& diagnostics);

/// What wires with three-state drivers can do, proved by a SAT solver: drivers that fight, wires that
/// float, drivers that never drive. Wires whose controls depend on stored values are passed over.
void lint_drivers(const Circuit& circuit, const LintOptions& options, Diagnostics& diagnostics);

/// Inputs that a stimulus leaves alone and expectations that cannot fail. Says nothing about a stimulus
/// that does not fit the circuit: a run does.
void lint_stimulus(const Stimulus& stimulus, const Circuit& circuit, const LintOptions& options,
                   Diagnostics& diagnostics);

}  // namespace settle
