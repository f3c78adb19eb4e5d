// Text -> circuit in one go.
#include "settle/elaborate.h"

namespace settle {

std::optional<Circuit> load_circuit(const std::string& path, FileReader& files,
                                    const ElaborateOptions& options, Sources& sources,
                                    Diagnostics& diagnostics) {
  const auto errors_before = diagnostics.error_count();
  const auto netlist = parse_netlist(path, files, sources, diagnostics);
  // A tree with gaps would bring errors that vanish with the first ones; misspelt kinds would not.
  if (diagnostics.error_count() != errors_before) {
    report_misspelt_kinds(netlist, diagnostics);
    return {};
  }
  auto circuit = elaborate(netlist, options, sources, diagnostics);
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

}  // namespace settle
