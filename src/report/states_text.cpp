// The text form of `settle states`, put together from its parts.
#include <algorithm>
#include <array>
#include <bit>
#include <map>

#include <fmt/format.h>

#include "report/finding_list.h"
#include "report/ink.h"
#include "report/state_names.h"
#include "report/states_parts.h"
#include "settle/product_text.h"
#include "settle/states_report.h"

namespace settle {

namespace report {

std::string counted(std::uint64_t count, std::string_view thing) {
  return fmt::format("{} {}{}", count, thing, count == 1 ? "" : "s");
}

std::string paragraph(const StatesPage& page, std::string_view head, std::string_view text) {
  std::string out;
  if (!head.empty()) out = painted(head, Ink::strong, page.style.color) + '\n';
  const std::size_t room = page.width - 2;
  for (const std::string& piece : wrapped(text, room, room)) out += "  " + piece + '\n';
  return out;
}

}  // namespace report

namespace {

using report::counted;
using report::StatesPage;

constexpr std::size_t most_power_up_lines = 6;
constexpr std::uint64_t most_listed_states = 4;
constexpr std::string_view swings = "no stable state, it goes on for ever";
constexpr std::string_view no_level = "a gate may read a wire that floats or is fought over, neither 0 nor 1";

std::string head(const StatesPage& page) {
  const Circuit& circuit = page.circuit;
  const StateSpace& space = page.space();
  std::string line = fmt::format("{}: {}, {}, {}", circuit.cell_name(), counted(circuit.gate_count(), "gate"),
                                 circuit.loop_count() == 0 ? "no loop" : counted(circuit.loop_count(), "loop"),
                                 counted(circuit.input_count(), "input"));
  std::string out;
  for (const std::string& piece : report::wrapped(line, page.width, page.width)) {
    out += report::painted(piece, report::Ink::strong, page.style.color) + '\n';
  }
  std::string what;
  if (space.all_listed && space.stable.empty() && !space.unknown_level.empty()) {
    what = "What it stores is not known: with no inputs are all levels 0 or 1.";
  } else if (space.transitions.empty() && !space.complete) {
    what = "What it stores is not known: the work was not finished.";
  } else if (space.states_held == 0) {
    what = circuit.loop_count() == 1
               ? "Stores nothing: it has no stable state at all and never comes to rest."
               : "It has no stable state at all and never comes to rest, as one of its loops keeps going; what the others "
                 "store is not told by stable states ('settle explain' looks at each loop by itself).";
  } else if (space.states_held == 1 && (space.held_exactly || circuit.loop_count() == 0)) {
    what = circuit.loop_count() == 0 ? "Stores nothing: without a loop the inputs alone decide every net."
           : circuit.loop_count() > 1 && !space.never_stable.empty()
               ? "At rest it stores nothing: for no inputs is there more than one stable state. For some there is none: "
                 "what a loop stores while another one keeps going is not counted ('settle explain' looks at each loop "
                 "by itself)."
           : space.stable.size() + space.never_stable.size() == space.vectors.size() && space.stable.size() <= space.vectors.size()
               ? "Stores nothing, in spite of the loop: for no inputs is there more than one stable state."
               : "Stores nothing that shows: its outputs never tell one stable state from another.";
  } else {
    what = fmt::format("Stores {}{}: with the same inputs it can hold {} states that its outputs tell apart.",
                       space.held_exactly ? "" : "at least ", counted(space.bits_stored, "bit"), space.states_held);
  }
  if (circuit.loop_count() != 0 && !space.held_exactly && space.all_listed && space.states_held == 1) what = "No stored bit was found, but the work was not finished.";
  out += report::paragraph(page, "", what);
  if (page.study.product) out += report::paragraph(page, "", product_text(*page.study.product) + ".");
  return out;
}

std::string proofs(const StatesPage& page) {
  std::string text;
  if (page.study.memory) {
    switch (page.study.memory->answer) {
      case MemoryProof::Answer::no_loops: text += "Proved: no loop, so nothing is stored. "; break;
      case MemoryProof::Answer::one_state: text += "Proved: for no inputs is there more than one stable state. "; break;
      case MemoryProof::Answer::two_states: text += "Proved: some inputs have two stable states or more. "; break;
      case MemoryProof::Answer::unknown: break;
    }
  }
  if (page.study.unstable) {
    if (page.study.unstable->answer == UnstableInputs::Answer::none) {
      text += "Proved: for all inputs there is a stable state.";
    } else if (page.study.unstable->answer == UnstableInputs::Answer::found || page.study.unstable->answer == UnstableInputs::Answer::open) {
      std::string inputs;
      for (const NetId net : page.study.unstable->decisive) {
        inputs += fmt::format(" {}={}", page.circuit.net_name(net), to_char(page.study.unstable->inputs[net]));
      }
      text += inputs.empty() ? "Proved: there is no stable state." : fmt::format("Proved: no state is stable with{}.", inputs);
      if (page.study.unstable->answer == UnstableInputs::Answer::open) text += " A gate reads a wire that floats or is fought over then.";
    }
  }
  return text.empty() ? "" : report::paragraph(page, "", text);
}

std::string stable_part(const StatesPage& page) {
  const StateSpace& space = page.space();
  const std::string table = report::stable_table(page);
  if (table.empty()) return {};
  std::string title = fmt::format("Stable states: {}", space.stable.size());
  if (space.vectors.size() > 1) title += fmt::format(" for {}", counted(space.vectors.size(), "input vector"));
  return report::painted(title, report::Ink::strong, page.style.color) + '\n' + table;
}

std::string flow_part(const StatesPage& page) {
  const FlowTable& flow = page.space().flow;
  if (flow.rows.empty() || flow.columns.size() < 2) return {};
  bool hangs = false, either = false, free = false;
  for (const auto& row : flow.rows) {
    for (const FlowTable::Entry& entry : row) {
      hangs = hangs || entry.may_cycle;
      either = either || entry.rows.size() > 1;
      free = free || !entry.specified;
    }
  }
  std::string legend = "( ) stable";
  if (either) legend += ", / either";
  if (hangs) legend += ", ~ may never rest";
  if (free) legend += ", - not looked at";
  const std::string title = fmt::format("Flow table: {}; {}", counted(flow.rows.size(), "row"), legend);
  return report::painted(title, report::Ink::strong, page.style.color) + '\n' + report::flow_table(page);
}

// What an input vector with no stable state or several can come up with.
std::string power_up_line(const StatesPage& page, VectorIndex vector, std::uint32_t first, std::uint32_t last) {
  const StateSpace& space = page.space();
  std::string text;
  if (space.vectors.size() == 1 && space.input_bits != 0) {
    text = "with these inputs: ";
  } else if (space.input_bits != 0) {
    text = fmt::format("with {}: ", report::input_assignments(space, page.circuit, vector, ~VectorIndex{0}));
  }
  if (first == last) return text.append(space.has_unknown_level(vector) ? no_level : swings);
  const std::string_view more = space.has_unknown_level(vector) ? ", or a wire floats or is fought over" : "";
  if (last - first > most_listed_states) return text + fmt::format("any of {} stable states{}", last - first, more);
  std::vector<std::uint32_t> states;
  for (std::uint32_t s = first; s < last; ++s) states.push_back(s);
  const auto nets = report::telling_nets(space, page.circuit, states, 8);
  for (std::uint32_t s = first; s < last; ++s) {
    text += (s == first ? "" : s + 1 == last ? " or " : ", ") + report::assignments(space, page.circuit, s, nets);
  }
  if (last - first == 1 && !space.has_unknown_level(vector) && !space.inputs_decide(vector)) text += ", if it comes to rest";
  return text.append(more);
}

// How many stable states each input vector has, and what they show.
std::string power_up(const StatesPage& page) {
  const StateSpace& space = page.space();
  if (space.stable.empty() && space.never_stable.empty()) return {};
  if (page.circuit.loop_count() == 0) return {};
  if (!space.complete && space.transitions.empty()) return {};
  std::string out = report::painted("Power-up", report::Ink::strong, page.style.color) + '\n';
  std::uint64_t without_level = 0, unsure = 0;
  std::map<std::uint32_t, std::uint64_t> vectors_with;  // number of stable states -> input vectors
  for (const VectorIndex vector : space.vectors) {
    const auto [first, last] = space.states_with(vector);
    if (space.has_unknown_level(vector)) {
      ++without_level;
    } else if (last - first == 1 && !space.inputs_decide(vector)) {
      ++unsure;
    } else {
      ++vectors_with[last - first];
    }
  }
  const std::uint64_t single = vectors_with[1];
  if (space.vectors.size() - single <= most_power_up_lines || page.all) {
    for (const VectorIndex vector : space.vectors) {
      const auto [first, last] = space.states_with(vector);
      if (!space.inputs_decide(vector)) out += report::paragraph(page, "", power_up_line(page, vector, first, last));
    }
  } else {
    vectors_with.erase(1);
    const auto with = [&](std::uint64_t vectors) { return fmt::format("with {} of the {} input vectors: ", vectors, space.vectors.size()); };
    if (without_level != 0) out += report::paragraph(page, "", with(without_level).append(no_level));
    if (unsure != 0) out += report::paragraph(page, "", with(unsure).append("the inputs decide, if it comes to rest"));
    for (const auto& [states, vectors] : vectors_with) {
      out += report::paragraph(page, "", with(vectors) + (states == 0 ? std::string(swings)
                                                             : fmt::format("any of {} stable states", states)));
    }
  }
  if (single != 0) {
    out += report::paragraph(page, "", single == space.vectors.size() ? "the inputs decide where it comes up"
                                       : single == 1                  ? "with the one other input vector: the inputs decide"
                                                     : fmt::format("with the {} other input vectors: the inputs decide", single));
  }
  return out;
}

std::string sequence_text(const StatesPage& page, const std::vector<VectorIndex>& sequence) {
  std::string text;
  VectorIndex before = 0;
  for (std::size_t i = 0; i < sequence.size(); ++i) {
    text += i == 0 ? "" : ", then ";
    text += report::input_assignments(page.space(), page.circuit, sequence[i], i == 0 ? ~VectorIndex{0} : sequence[i] ^ before);
    before = sequence[i];
  }
  return text;
}

std::string synchronising(const StatesPage& page) {
  const StateSpace& space = page.space();
  if (page.circuit.loop_count() == 0 || space.stable.empty()) return {};
  std::string text;
  if (!space.synchronising_known) {
    if (!space.complete && space.transitions.empty()) return {};
    text = "not known: the search needs all steps, within its limits";
  } else if (!space.synchronising_sequence) {
    text = "none: no sequence of inputs brings it from every state to one known state, whatever the gate delays";
    if (space.power_up_sequence) {
      text += ", as a first change of several inputs can leave it undecided. From power-up, once it rests: " +
              sequence_text(page, *space.power_up_sequence);
    }
  } else if (space.synchronising_sequence->empty()) {
    text = "not needed: it has one stable state";
    if (!space.never_stable.empty()) {
      text += ", with " + report::input_assignments(space, page.circuit, space.stable.front().inputs, ~VectorIndex{0});
    }
  } else {
    const auto& sequence = *space.synchronising_sequence;
    text = sequence_text(page, sequence) + ": known from whatever it held, whatever the gate delays";
    if (sequence.size() > 1) text += " (let it settle after each)";
  }
  return report::paragraph(page, "Synchronising sequence", text);
}

std::string steps_part(const StatesPage& page) {
  const StateSpace& space = page.space();
  if (space.transitions.empty()) return {};
  std::array<std::uint64_t, 4> verdicts{};
  std::uint64_t unjudged = 0, single_bad = 0;
  bool multiple = false;
  for (const Transition& t : space.transitions) {
    const int changed = std::popcount(t.inputs ^ space.stable[t.from].inputs);
    multiple = multiple || changed > 1;
    if (!t.judged) {
      ++unjudged;
      continue;
    }
    ++verdicts[static_cast<std::size_t>(t.verdict)];
    if (t.verdict != Verdict::settles && changed == 1) ++single_bad;
  }
  std::string text = verdicts[0] == space.transitions.size()
                         ? std::string("All settle, whatever the gate delays.")
                         : fmt::format("{} settle{}, whatever the gate delays.", verdicts[0], verdicts[0] == 1 ? "s" : "");
  const auto add = [&](Verdict verdict, std::string_view what) {
    const std::uint64_t count = verdicts[static_cast<std::size_t>(verdict)];
    if (count != 0) text += fmt::format(" {} {}: {}.", count, name_of(verdict), what);
  };
  add(Verdict::delay_dependent, "fine with equal delays, a race with unequal ones");
  add(Verdict::indeterminate, "left undecided with equal delays, may hang");
  add(Verdict::oscillation, "no stable state can follow");
  if (unjudged != 0) text += fmt::format(" {} not judged.", unjudged);
  if (multiple && single_bad == 0 && unjudged == 0 && verdicts[0] != space.transitions.size()) {
    text += " None of these when one input changes at a time.";
  }
  if (multiple && verdicts[0] == space.transitions.size() && page.circuit.loop_count() != 0) {
    text += " Inputs that change together do so at exactly the same time.";
  }
  const std::string title = fmt::format("Steps: {} from a stable state to other inputs", space.transitions.size());
  return report::paragraph(page, title, text) + report::unsettled_steps(page);
}

}  // namespace

std::string states_text(const StatesStudy& study, const Circuit& circuit, const TextStyle& style, bool all) {
  const StatesPage page{study, circuit, style, all, std::max<std::size_t>(style.width, 40)};
  std::string out;
  const auto append = [&out](const std::string& part) {
    if (!part.empty()) out += (out.empty() ? "" : "\n") + part;
  };
  if (!style.quiet) {
    append(head(page) + proofs(page));
    append(stable_part(page));
    append(flow_part(page));
    append(power_up(page));
    append(synchronising(page));
    append(steps_part(page));
  }
  if (!study.space.complete) {
    const bool too_wide = study.space.vectors.empty() && study.space.input_bits > 32;
    append(report::paragraph(page, "Incomplete",
                             study.space.incomplete_reason +
                                 (too_wide ? ". --cell chooses a smaller cell, such as one bit of it."
                                           : ". --set a=1 holds inputs, --single leaves out steps in which several "
                                             "inputs change, --limit-... options move limits.")));
  }
  return out;
}

}  // namespace settle
