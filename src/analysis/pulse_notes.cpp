// What a whole pulse does: the table of a master-slave flip-flop as the textbooks give it.
//
// For each input and level: from every stable state with the input at that level, both edges are
// taken one after the other, the other inputs standing still. What the outputs are then is put in
// words for each vector of the other inputs (constant, holds, toggles), and equal words are merged.
// Nothing is said when some vector has no such words.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "analysis/merge_rows.h"
#include "analysis/step_samples.h"
#include "analysis/table_notes.h"

namespace settle {
namespace {

constexpr std::size_t most_outputs = 4;
constexpr unsigned most_pulse_inputs = 8;
constexpr std::size_t most_notes = 8;

class PulseNotes {
 public:
  PulseNotes(Table& table, const Circuit& circuit, const StateSpace& space)
      : table_(table),
        circuit_(circuit),
        space_(space),
        variables_(static_cast<unsigned>(table.free.size())) {}

  void add(unsigned input, bool level) {
    const std::uint32_t bit = 1u << (variables_ - 1 - input);
    const VectorIndex full_bit = VectorIndex{1} << (space_.input_bits - 1 - table_.free[input]);
    if (!decided_by_outputs(full_bit, level) || decided_by_outputs(full_bit, !level)) return;
    std::vector<std::string> words;
    std::map<std::string, std::uint32_t> numbers;
    std::vector<std::uint32_t> entry(std::size_t{1} << variables_, any_entry);
    for (const VectorIndex vector : space_.vectors) {
      if (((vector & full_bit) != 0) != level) continue;
      const auto text = after_pulse(vector, vector ^ full_bit);
      if (!text) return;
      const auto [at, added] = numbers.try_emplace(*text, static_cast<std::uint32_t>(words.size()));
      if (added) words.push_back(*text);
      // The other level of the input is a copy, so that the rows do not contain it.
      const std::uint32_t v = free_part(vector, space_.input_bits, table_.free);
      entry[v] = entry[v ^ bit] = at->second;
    }
    const auto rows = merge_rows(variables_, entry, static_cast<std::uint32_t>(words.size()));
    if (rows.size() > most_notes || words.size() < 2) return;
    for (const MergedRow& row : rows) {
      std::string text = fmt::format("a whole pulse of {} ({}, {}, {})", table_.inputs[table_.free[input]],
                                     level ? 1 : 0, level ? 0 : 1, level ? 1 : 0);
      bool first = true;
      for (unsigned i = 0; i < variables_; ++i) {
        const std::uint32_t other = 1u << (variables_ - 1 - i);
        if ((row.cube.care & other) == 0) continue;
        text += fmt::format("{} {}={}", first ? " with" : "", table_.inputs[table_.free[i]],
                            (row.cube.value & other) != 0 ? 1 : 0);
        first = false;
      }
      table_.notes.push_back(
          {TableNote::Kind::pulse, {}, cube_text(row.cube, variables_), {}, text + ": " + words[row.entry]});
    }
  }

 private:
  /// With the input at this level, states that show the same are the same.
  bool decided_by_outputs(VectorIndex bit, bool level) const {
    for (const VectorIndex vector : space_.vectors) {
      if (((vector & bit) != 0) != level) continue;
      std::vector<std::vector<Value>> seen;
      const auto [first, last] = space_.states_with(vector);
      for (std::uint32_t s = first; s < last; ++s) seen.push_back(outputs(s));
      std::sort(seen.begin(), seen.end());
      if (std::adjacent_find(seen.begin(), seen.end()) != seen.end()) return false;
    }
    return true;
  }

  std::vector<Value> outputs(std::uint32_t state) const {
    std::vector<Value> values;
    for (const NetId net : circuit_.outputs()) values.push_back(space_.value(circuit_, state, net));
    return values;
  }

  static std::uint32_t settled(const Transition* step) {
    if (step == nullptr || step->verdict > Verdict::delay_dependent) return no_state;
    return step->equal_delay != no_state ? step->equal_delay : step->to.front();
  }

  /// "q toggles, qn toggles".
  std::optional<std::string> after_pulse(VectorIndex rest, VectorIndex pulse) const {
    std::vector<std::vector<Value>> before, after;
    const auto [first, last] = space_.states_with(rest);
    for (std::uint32_t s = first; s < last; ++s) {
      const std::uint32_t middle = settled(space_.transition(s, pulse));
      const std::uint32_t end = middle == no_state ? no_state : settled(space_.transition(middle, rest));
      if (end == no_state) return std::nullopt;
      before.push_back(outputs(s));
      after.push_back(outputs(end));
    }
    if (before.empty()) return std::nullopt;
    std::string text;
    for (std::size_t k = 0; k < table_.outputs.size(); ++k) {
      bool constant = true, holds = true, toggles = true;
      for (std::size_t s = 0; s < before.size(); ++s) {
        constant = constant && after[s][k] == after[0][k];
        holds = holds && after[s][k] == before[s][k];
        toggles = toggles && is_binary(before[s][k]) && after[s][k] == inverted(before[s][k]);
      }
      text += (k == 0 ? "" : ", ") + table_.outputs[k];
      if (constant)
        text += fmt::format(" becomes {}", to_char(after[0][k]));
      else if (holds)
        text += " holds";
      else if (toggles)
        text += " toggles";
      else
        return std::nullopt;
    }
    return text;
  }

  Table& table_;
  const Circuit& circuit_;
  const StateSpace& space_;
  unsigned variables_;
};

}  // namespace

void add_pulse_notes(Table& table, const Circuit& circuit, const StateSpace& space) {
  if (table.inner.empty() || !space.complete || table.outputs.size() > most_outputs ||
      table.free.size() > most_pulse_inputs)
    return;
  PulseNotes notes(table, circuit, space);
  for (unsigned i = 0; i < table.free.size(); ++i) {
    notes.add(i, false);
    notes.add(i, true);
  }
}

}  // namespace settle
