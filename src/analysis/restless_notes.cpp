// The rows of a table start from stable states. A circuit that swings is in none of them; when an input
// ends that, it may be in any state. Where ternary simulation from any state leaves an output open, the
// rows cannot be said to hold, and a remark says so.
#include "analysis/restless_notes.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "analysis/rest_proof.h"
#include "analysis/restless.h"
#include "analysis/step_samples.h"

namespace settle {
namespace {

class RestlessNotes {
 public:
  RestlessNotes(Table& table, const Circuit& circuit, const StateSpace& space, const TableOptions& options,
                const FunctionBits& told)
      : table_(table),
        circuit_(circuit),
        space_(space),
        options_(options),
        told_(told),
        proof_(circuit, options.any_delay),
        variables_(static_cast<unsigned>(table.free.size())),
        restless_(function_words(variables_), 0) {}

  void add() {
    FunctionBits swings(function_words(variables_), 0), open = swings, left = swings;
    for (const VectorIndex vector : space_.never_stable) {
      const std::uint32_t v = free_part(vector, space_.input_bits, table_.free);
      set(restless_, v);
      set(space_.has_unknown_level(vector) ? open : swings, v);
    }
    for (std::uint32_t v = 0; v < 1u << variables_; ++v) {
      if (is_in(swings, v) && !is_left_as_rows_say(v)) set(left, v);
    }
    tell(swings, "no stable state exists{}");
    tell(open, "not known{}: a gate may read a wire that floats or is fought over");
    tell(left,
         "the rows tell what follows from rest: there is none{}, and what an input change brings then is not "
         "told",
         swings);
  }

 private:
  static void set(FunctionBits& bits, std::uint32_t v) { bits[v >> 6] |= std::uint64_t{1} << (v & 63); }
  static bool is_in(const FunctionBits& bits, std::uint32_t v) {
    return (bits[v >> 6] >> (v & 63) & 1u) != 0;
  }

  // After each change of one input it either goes on without rest, or the outputs are certain.
  bool is_left_as_rows_say(std::uint32_t v) {
    for (unsigned i = 0; i < variables_; ++i) {
      if (!is_set(options_.stop) && !is_certain(v ^ 1u << i)) return false;
    }
    return true;
  }

  bool is_certain(std::uint32_t v) {
    if (is_in(told_, v)) return true;
    const auto [known, is_new] = certain_.try_emplace(v, true);
    if (!is_new) return known->second;
    std::vector<Value> inputs = table_.held;
    for (unsigned i = 0; i < variables_; ++i)
      inputs[table_.free[i]] = to_value((v >> (variables_ - 1 - i) & 1u) != 0);
    const auto outputs = circuit_.outputs();
    if (is_in(restless_, v)) {
      const auto what = restless_nets(circuit_, proof_, inputs);
      known->second = std::none_of(outputs.begin(), outputs.end(),
                                   [&](NetId net) { return what[net] == RestlessNet::varies; });
    } else {
      const std::vector<Value> levels = proof_.certain_levels(inputs);
      known->second =
          std::none_of(outputs.begin(), outputs.end(), [&](NetId net) { return levels[net] == Value::x; });
    }
    return known->second;
  }

  // `others`: vectors of which the sentence is true as well.
  void tell(const FunctionBits& vectors, const char* form, const FunctionBits& others = {}) {
    if (std::all_of(vectors.begin(), vectors.end(), [](std::uint64_t word) { return word == 0; })) return;
    for (const Cube& cube : minimise(variables_, vectors, others, {.stop = options_.stop}).cubes) {
      TableNote note{TableNote::Kind::never_stable, {}, cube_text(cube, variables_), {}, {}};
      std::string inputs;
      for (unsigned i = 0; i < variables_; ++i) {
        const std::uint32_t bit = 1u << (variables_ - 1 - i);
        if ((cube.care & bit) == 0) continue;
        inputs += fmt::format("{}{}={}", inputs.empty() ? " with " : " ", table_.inputs[table_.free[i]],
                              (cube.value & bit) != 0 ? 1 : 0);
      }
      if (inputs.empty() && variables_ > 0) inputs = ", whatever the inputs";
      note.text = fmt::format(fmt::runtime(form), inputs);
      table_.notes.push_back(std::move(note));
    }
  }

  Table& table_;
  const Circuit& circuit_;
  const StateSpace& space_;
  const TableOptions& options_;
  const FunctionBits& told_;
  RestProof proof_;
  unsigned variables_;
  FunctionBits restless_;                  // vectors without a stable state
  std::map<std::uint32_t, bool> certain_;  // by vector
};

}  // namespace

void add_restless_notes(Table& table, const Circuit& circuit, const StateSpace& space,
                        const TableOptions& options, const FunctionBits& told) {
  if (!space.never_stable.empty()) RestlessNotes(table, circuit, space, options, told).add();
}

}  // namespace settle
