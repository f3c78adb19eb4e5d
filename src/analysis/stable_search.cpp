// The list of all stable states: state_lister.cpp says how they are found.
#include "settle/stable_states.h"

#include <algorithm>

#include "analysis/state_lister.h"

namespace settle {

bool visit_stable_states(const Circuit& circuit, std::span<const Value> inputs, const StableSearch& search,
                         const StableVisitor& visitor) {
  // An input that is neither 0 nor 1 is not free here: no gate may read it.
  std::vector<Value> held(inputs.begin(), inputs.end());
  std::replace(held.begin(), held.end(), Value::x, Value::z);
  return StateLister(circuit, held).run(search, visitor);
}

StableList find_stable_states(const Circuit& circuit, std::span<const Value> inputs,
                              const StableSearch& search) {
  StableList result;
  result.complete = visit_stable_states(circuit, inputs, search, [&result](std::span<const Value> gates) {
    result.states.emplace_back(gates.begin(), gates.end());
    return true;
  });
  if (!std::is_sorted(result.states.begin(), result.states.end())) {
    std::sort(result.states.begin(), result.states.end());
  }
  return result;
}

}  // namespace settle
