// Text -> circuit in one go.
#include "settle/elaborate.h"

#include <utility>

namespace settle {
namespace {

template <class Tree>  // const Netlist& or Netlist
std::optional<Circuit> build(Tree&& netlist, Place start, bool is_good, const ElaborateOptions& options,
                             const Sources& sources, Diagnostics& diagnostics) {
  // A tree with gaps would bring errors that vanish with the first ones; misspelt kinds would not.
  if (!is_good) {
    report_misspelt_kinds(netlist, diagnostics);
    return {};
  }
  if (netlist.cells.empty()) {
    diagnostics.error(start, "there is no cell in this file", "a cell starts with 'cell NAME' and ends with 'end'");
    return {};
  }
  auto circuit = elaborate(std::forward<Tree>(netlist), options, sources, diagnostics);
#ifndef NDEBUG
  if (circuit) {
    if (const auto broken = verify(*circuit); !broken.empty()) {
      diagnostics.error({}, "a bug in settle: the circuit is not sound: " + broken);
      return {};
    }
  }
#endif
  return circuit;
}

}  // namespace

std::optional<Circuit> build_circuit(const Netlist& netlist, Place start, bool is_good, const ElaborateOptions& options,
                                     const Sources& sources, Diagnostics& diagnostics) {
  return build(netlist, start, is_good, options, sources, diagnostics);
}

std::optional<Circuit> build_circuit(Netlist&& netlist, Place start, bool is_good, const ElaborateOptions& options,
                                     const Sources& sources, Diagnostics& diagnostics) {
  return build(std::move(netlist), start, is_good, options, sources, diagnostics);
}

std::optional<Circuit> load_circuit(const std::string& path, FileReader& files,
                                    const ElaborateOptions& options, Sources& sources,
                                    Diagnostics& diagnostics) {
  const auto errors_before = diagnostics.error_count();
  const auto file = sources.count();  // the next text read is that of `path`
  ParseLimits limits = options.parse;
  if (limits.stop == nullptr) limits.stop = options.stop;
  if (limits.progress == nullptr) limits.progress = options.progress;
  auto netlist = parse_netlist(path, files, sources, diagnostics, limits);
  return build_circuit(std::move(netlist), {file, 0}, diagnostics.error_count() == errors_before, options, sources, diagnostics);
}

}  // namespace settle
