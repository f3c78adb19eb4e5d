// Steps that do not settle, gathered: for each set of inputs that change and each verdict, the
// vectors from which it happens are merged by the minimiser, and each product becomes a sentence.
// Cost: 2^n sets of inputs for n free inputs, so that notes on several inputs are made only when
// all steps were judged, which the caller decides.
#include "analysis/table_notes.h"

#include <algorithm>
#include <bit>
#include <map>

#include <fmt/format.h>

#include "analysis/step_samples.h"

namespace settle {
namespace {

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i != 0) text += i + 1 == words.size() ? " and " : ", ";
    text += words[i];
  }
  return text;
}

class StepNotes {
 public:
  StepNotes(Table& table, const StateSpace& space)
      : table_(table), variables_(static_cast<unsigned>(table.free.size())) {
    for (const Transition& step : space.transitions) {
      if (!step.judged || step.verdict == Verdict::settles) continue;
      const std::uint32_t from = free_part(space.stable[step.from].inputs, space.input_bits, table.free);
      const std::uint32_t to = free_part(step.inputs, space.input_bits, table.free);
      Verdict& worst = worst_[{from ^ to, from}];
      worst = std::max(worst, step.verdict);
    }
    // Vectors without a stable state are nobody's start.
    no_start_.assign(function_words(variables_), ~std::uint64_t{0});
    for (const StableState& state : space.stable) {
      const std::uint32_t v = free_part(state.inputs, space.input_bits, table.free);
      no_start_[v >> 6] &= ~(std::uint64_t{1} << (v & 63));
    }
  }

  void add() {
    std::vector<TableNote> notes;
    std::map<std::pair<std::uint32_t, Verdict>, FunctionBits> groups;
    for (const auto& [step, verdict] : worst_) {
      const auto& [change, from] = step;
      // Single changes that are left undecided have rows of their own.
      if (std::popcount(change) == 1 && verdict != Verdict::delay_dependent) continue;
      if (std::popcount(change) > 1 && !is_new(change, from, verdict)) continue;
      auto& vectors = groups[{change, verdict}];
      vectors.resize(function_words(variables_), 0);
      vectors[from >> 6] |= std::uint64_t{1} << (from & 63);
    }
    for (const auto& [group, vectors] : groups) {
      for (const Cube cube : minimise(variables_, vectors, no_start_).cubes) {
        notes.push_back(note(group.first, group.second, cube));
      }
    }
    // Worst first; single inputs, then more.
    std::stable_sort(notes.begin(), notes.end(), [](const TableNote& a, const TableNote& b) {
      return a.kind != b.kind ? a.kind > b.kind : *a.verdict > *b.verdict;
    });
    for (TableNote& n : notes) table_.notes.push_back(std::move(n));
  }

 private:
  bool is_new(std::uint32_t change, std::uint32_t from, Verdict verdict) const {
    for (std::uint32_t part = (change - 1) & change; part != 0; part = (part - 1) & change) {
      const auto at = worst_.find({part, from});
      if (at != worst_.end() && at->second >= verdict) return false;
    }
    return true;
  }

  TableNote note(std::uint32_t change, Verdict verdict, Cube cube) const {
    TableNote note;
    note.verdict = verdict;
    const bool single = std::popcount(change) == 1;
    note.kind = single ? TableNote::Kind::delay_dependent : TableNote::Kind::several_inputs;
    note.from = cube_text(cube, variables_);
    note.to = cube_text({cube.care, cube.value ^ (change & cube.care)}, variables_);
    std::vector<std::string> falling, rising, changing, still;
    for (unsigned i = 0; i < variables_; ++i) {
      const std::uint32_t bit = 1u << (variables_ - 1 - i);
      const std::string& name = table_.inputs[table_.free[i]];
      const bool known = (cube.care & bit) != 0, one = (cube.value & bit) != 0;
      if ((change & bit) != 0) {
        (!known ? changing : one ? falling : rising).push_back(name);
      } else if (known) {
        still.push_back(fmt::format("{}={}", name, one ? 1 : 0));
      }
    }
    std::vector<std::string> parts;
    const auto say = [&](const std::vector<std::string>& names, const char* one, const char* many) {
      if (!names.empty()) parts.push_back(joined(names) + (names.size() == 1 ? one : many));
    };
    say(rising, " rises", " rise");
    say(falling, " falls", " fall");
    say(changing, " changes", " change");
    for (const std::string& part : parts) note.text += (note.text.empty() ? "" : " while ") + part;
    if (!single && parts.size() == 1) note.text += " together";
    if (!still.empty()) {
      note.text += " with";
      for (const std::string& text : still) note.text += " " + text;
    }
    switch (verdict) {
      case Verdict::indeterminate: note.text += ": left undecided"; break;
      case Verdict::oscillation: note.text += ": oscillates"; break;
      default:
        note.text += single ? ": shown for equal gate delays; unequal ones can end elsewhere"
                            : ": the gate delays decide";
    }
    return note;
  }

  Table& table_;
  unsigned variables_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, Verdict> worst_;  // by change, then start
  FunctionBits no_start_;
};

}  // namespace

void add_step_notes(Table& table, const StateSpace& space) { StepNotes(table, space).add(); }

}  // namespace settle
