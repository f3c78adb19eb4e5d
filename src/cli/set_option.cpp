// The text is read as the `set` statement that it abbreviates, so that names, buses and values mean
// the same as there.
#include "cli/set_option.h"

#include <algorithm>

#include "cli/common.h"
#include "settle/text_reader.h"
#include "sim/bound_stimulus.h"

namespace settle::cli {
bool held_inputs(const std::string& set, const Circuit& circuit, std::vector<Value>& held) {
  held.assign(circuit.input_count(), Value::x);
  if (set.empty()) return true;
  std::string statement = "set " + set + "\n";
  std::replace(statement.begin(), statement.end(), ',', ' ');
  TextReader reader(statement);
  Sources sources;
  Diagnostics diagnostics;
  const Stimulus stimulus = parse_stimulus("--set", reader, sources, diagnostics);
  if (!diagnostics.has_errors()) {
    if (const auto bound = bind(stimulus, circuit, diagnostics)) {
      for (const BoundStatement& line : bound->statements) {
        for (const BoundAssignment& assignment : line.assignments) {
          for (const BitValue& bit : assignment.bits) {
            if (is_binary(bit.value)) {
              held[bit.net] = bit.value;
            } else {
              diagnostics.error(assignment.place,
                                "an input is held at 0 or 1; '" + assignment.name + "' has another value",
                                "leave an input out to have it free");
              break;
            }
          }
        }
      }
    }
  }
  print_diagnostics(diagnostics, sources, false);
  return !diagnostics.has_errors();
}

}  // namespace settle::cli
