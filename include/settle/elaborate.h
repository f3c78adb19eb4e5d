// Syntax tree -> flat circuit.
#pragma once

#include <optional>
#include <string>

#include "settle/circuit.h"
#include "settle/diagnostic.h"
#include "settle/netlist.h"

namespace settle {

/// Where the delays of gates that state none come from.
class DelaySource {
 public:
  struct Answer {
    std::optional<GateDelay> delay;  ///< in picoseconds; nothing: `error` says why
    std::string error, hint;
    std::string note;                ///< worth saying once, such as a figure of a similar part
  };
  virtual ~DelaySource() = default;
  /// Only for netlists in which a gate names a part and none has a delay in units.
  virtual bool needs_parts() const = 0;
  /// Why the part that a gate names cannot be such a gate; empty when it can, or when nobody knows.
  virtual std::string misfit(GateKind kind, std::uint32_t inputs, std::string_view part) const = 0;
  virtual Answer delay_of(GateKind kind, std::uint32_t inputs, std::string_view part) const = 0;
};

struct ElaborateOptions {
  std::string cell;                         ///< the cell to work on; empty: the only unused one
  std::uint64_t gate_limit = default_limit(LimitKind::gates);  ///< error above
  std::uint64_t net_limit = default_limit(LimitKind::nets);
  /// Finest unit that the stimulus uses, so that ticks suit both; none: only the netlist decides.
  TimeUnit stimulus_unit = TimeUnit::none;
  const DelaySource* delay_source = nullptr;  ///< none: gates without a delay have one tick
  bool own_language = true;                 ///< false: read from another form, so hints write no statement of ours
  ParseLimits parse = {};                        ///< for load_circuit()
  const std::atomic<bool>* stop = nullptr;  ///< set from outside to give up, with an error
  Progress* progress = nullptr;
};

/// Builds the circuit, with all errors and lint warnings of the chosen cell in `diagnostics`.
/// Nothing when there were errors. Cells may be nested and repeated to any depth, never recursive.
std::optional<Circuit> elaborate(const Netlist& netlist, const ElaborateOptions& options,
                                 const Sources& sources, Diagnostics& diagnostics);
/// The same with less memory: parts of the tree are given back as soon as they are used up.
std::optional<Circuit> elaborate(Netlist&& netlist, const ElaborateOptions& options,
                                 const Sources& sources, Diagnostics& diagnostics);

/// For a netlist with syntax errors, which is not elaborated: reports the unknown kinds that a known
/// one is near to, so that misspellings need no second go. Others may stem from the errors.
void report_misspelt_kinds(const Netlist& netlist, Diagnostics& diagnostics);

/// elaborate() for a tree just read, and verify() in debug builds. `start` is the place of its first
/// text; `is_good` says that there were no errors, without which only likely misspellings are told.
std::optional<Circuit> build_circuit(const Netlist& netlist, Place start, bool is_good, const ElaborateOptions& options,
                                     const Sources& sources, Diagnostics& diagnostics);
std::optional<Circuit> build_circuit(Netlist&& netlist, Place start, bool is_good, const ElaborateOptions& options,
                                     const Sources& sources, Diagnostics& diagnostics);

/// parse_netlist() and build_circuit() in one: a .gates file.
std::optional<Circuit> load_circuit(const std::string& path, FileReader& files,
                                    const ElaborateOptions& options, Sources& sources,
                                    Diagnostics& diagnostics);

}  // namespace settle
