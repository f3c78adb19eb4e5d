// The state graph in the DOT language: a box for each stable state, a cluster for each input vector.
#include <bit>

#include <fmt/format.h>

#include "report/state_names.h"
#include "settle/states_report.h"

namespace settle {
namespace {

// Colours of M. Okabe and K. Ito, as in the text.
const char* color_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::settles: return "#555555";
    case Verdict::delay_dependent: return "#0072B2";
    case Verdict::indeterminate: return "#D55E00";
    case Verdict::oscillation: return "#CC79A7";
  }
  return "#555555";
}

std::string dot_string(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

}  // namespace

std::string states_dot(const StatesStudy& study, const Circuit& circuit, bool all) {
  const StateSpace& space = study.space;
  const std::vector<NetId> outputs = report::shown_outputs(circuit), nodes = report::node_nets(circuit);
  std::string out = fmt::format("digraph {} {{\n", dot_string(circuit.cell_name()));
  if (!space.complete) out += fmt::format("  // incomplete: {}\n", space.incomplete_reason);
  out += "  node [shape=box, style=rounded, fontname=\"sans-serif\"];\n"
         "  edge [fontname=\"sans-serif\", fontsize=10];\n";
  for (const VectorIndex vector : space.vectors) {
    const std::string name = report::input_assignments(space, circuit, vector, ~VectorIndex{0});
    const auto [first, last] = space.states_with(vector);
    out += fmt::format("  subgraph {} {{\n    label={}; color=\"#AAAAAA\"; fontname=\"sans-serif\";\n",
                       dot_string("cluster_" + vector_text(vector, space.input_bits)),
                       dot_string(first == last ? name + ": never stable" : name));
    if (first == last) out += fmt::format("    never_{} [label=\"no stable state\", shape=plaintext];\n", vector);
    for (std::uint32_t s = first; s < last; ++s) {
      out += fmt::format("    s{} [label={}, tooltip={}];\n", s,
                         dot_string(report::assignments(space, circuit, s, outputs.empty() ? nodes : outputs)),
                         dot_string(report::assignments(space, circuit, s, nodes)));
    }
    out += "  }\n";
  }
  for (const Transition& t : space.transitions) {
    const VectorIndex changed = t.inputs ^ space.stable[t.from].inputs;
    if (!all && std::popcount(changed) != 1) continue;
    const std::string label = report::input_assignments(space, circuit, t.inputs, changed);
    if (!t.judged) {
      out += fmt::format("  // not judged: s{} {}\n", t.from, label);
      continue;
    }
    const char* style = t.verdict == Verdict::settles ? "solid" : "dashed";
    for (const std::uint32_t to : t.to) {
      out += fmt::format("  s{} -> s{} [label={}, color=\"{}\", style={}];\n", t.from, to, dot_string(label),
                         color_of(t.verdict), style);
    }
    if (t.may_cycle) {
      out += fmt::format("  s{0} -> hang_{0}_{1} [label={2}, color=\"{3}\", style={4}];\n"
                         "  hang_{0}_{1} [label=\"goes on for ever\", shape=plaintext];\n",
                         t.from, t.inputs, dot_string(label), color_of(t.verdict), style);
    }
  }
  return out + "}\n";
}

}  // namespace settle
