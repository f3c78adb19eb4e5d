// Document explain/1.

#include "report/json_text.h"
#include "settle/explain_report.h"

namespace settle {
namespace {

using report::Json;

Json text_or_null(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

std::string_view name_of(CellCore core) {
  constexpr std::string_view names[] = {"none", "oscillator", "set-reset", "transparent", "gated-set-reset", "gated-jk",
                                        "gated-toggle", "c-element", "arbiter", "multistable", "level-logic", "d",
                                        "d-enable", "toggle", "toggle-enable", "clocked-set-reset", "jk", "select",
                                        "clocked-logic", "unknown"};
  return names[static_cast<std::size_t>(core)];
}

Json to_json(const ExplainedOutput& output) {
  Json changes = Json::array();
  for (const OutputTrigger& trigger : output.changes_on) {
    const bool level = trigger.edge == OutputTrigger::Edge::level;
    changes.push_back({{"input", trigger.input},
                       {"edge", level ? "level" : trigger.edge == OutputTrigger::Edge::rise ? "rise" : "fall"}});
  }
  Json json;
  json["name"] = output.name;
  json["equation"] = text_or_null(output.equation);
  json["changes_on"] = std::move(changes);
  json["level_equation"] = text_or_null(output.level_equation);
  json["stored"] = output.is_stored;
  json["holds_when"] = text_or_null(output.holds_when);
  json["set_when"] = text_or_null(output.set_when);
  json["reset_when"] = text_or_null(output.reset_when);
  json["has_undecided_steps"] = output.has_free_entries;
  json["cell"] = output.cell == no_id ? Json(nullptr) : Json(output.cell);
  return json;
}

Json to_json(const ExplainFinding& finding) {
  Json json;
  json["kind"] = settle::name_of(finding.kind);
  json["severity"] = finding.is_warning ? "warning" : "note";
  json["cell"] = finding.cell == no_id ? Json(nullptr) : Json(finding.cell);
  json["about"] = text_or_null(finding.about);
  json["inputs"] = finding.inputs;
  json["gates"] = finding.gates;
  json["must_rest"] = finding.resting;
  json["not_released"] = finding.released;
  json["moment"] = text_or_null(finding.moment);
  json["from"] = text_or_null(finding.from);
  json["to"] = text_or_null(finding.to);
  json["slow_factor"] = finding.slow_factor == 0 ? Json(nullptr) : Json(finding.slow_factor);
  json["cure"] = text_or_null(finding.cure);
  json["message"] = finding.message;
  return json;
}

Json to_json(const ExplainedCell& cell) {
  Json inputs = Json::array();
  for (std::size_t i = 0; i < cell.inputs.size(); ++i) {
    const InputRole& role = cell.inputs[i];
    inputs.push_back({{"input", role.input},
                      {"role", role.role},
                      {"active", role.active_high ? "1" : "0"},
                      {"direct", i < cell.direct_controls}});
  }
  Json json;
  json["kind"] = cell.kind;
  json["group_kind"] = cell.group_kind;
  json["family"] = name_of(cell.core);
  json["copies"] = cell.copies;
  json["chain"] = cell.is_chain;
  json["outputs"] = cell.outputs;
  json["output"] = text_or_null(cell.output);
  json["complement"] = text_or_null(cell.complement);
  json["inputs"] = std::move(inputs);
  json["shared_inputs"] = cell.shared;
  json["data"] = cell.data;
  json["own_clocks"] = cell.own_clocks;
  json["followers"] = Json::array();
  for (const ExplainedCell::Follower& f : cell.followers) {
    json["followers"].push_back({{"output", f.output},
                                 {"source", f.source},
                                 {"gate", f.gate},
                                 {"active", f.active_high ? "1" : "0"},
                                 {"inverted", f.inverted}});
  }
  json["pulse_triggered"] = cell.is_pulse_triggered;
  json["states_held"] = cell.states_held;
  json["known_when"] = text_or_null(cell.known_when);
  json["known_behind"] = text_or_null(cell.known_behind);
  json["known_from_rest_when"] = text_or_null(cell.known_from_rest_when);
  json["never_stable_when"] = text_or_null(cell.never_stable_when);
  json["may_not_rest_when"] = text_or_null(cell.may_not_rest_when);
  json["hides_states"] = cell.hides_states;
  json["unknown_level_when"] = text_or_null(cell.unknown_level_when);
  json["synchronising_sequence"] = text_or_null(cell.synchronised_by);
  json["synchronising_sequence_if_equal"] = text_or_null(cell.synchronised_if_equal);
  json["fed_by"] = cell.fed_by;
  json["forced_too"] = cell.forced_too;
  json["gated_clock"] = cell.has_gated_clock;
  json["count_nets"] = cell.count_nets;
  json["counts"] = cell.counts;
  json["stable_states"] = cell.stable_states;
  json["single_steps"] = cell.single_steps;
  json["joint_steps"] = cell.joint_steps;
  json["unproved_steps"] = cell.unproved_steps;
  json["all_steps"] = cell.all_steps;
  if (cell.proof != ExplainedCell::Proof::none) {
    json["proof"] = {{"says", cell.proof == ExplainedCell::Proof::stores      ? "stores"
                              : cell.proof == ExplainedCell::Proof::one_state ? "one-state"
                                                                              : "at-most-one-state"},
                     {"two_states_when", cell.two_states_when},
                     {"never_stable_example", cell.never_stable_example},
                     {"differing", cell.differing}};
  }
  return json;
}

}  // namespace

std::string explain_json(const Explanation& explanation) {
  Json json;
  json["schema"] = "explain/1";
  json["settle"] = version();
  json["circuit"] = explanation.circuit;
  json["complete"] = explanation.complete;
  json["incomplete_reason"] = text_or_null(explanation.incomplete_reason);
  json["kind"] = explanation.kind;
  json["bits_stored"] = explanation.bits_known ? Json(explanation.bits_stored) : Json(nullptr);
  json["bits_exact"] = explanation.bits_exact;
  json["states_held"] = explanation.states_held ? Json(*explanation.states_held) : Json(nullptr);
  json["outputs"] = Json::array();
  for (const ExplainedOutput& output : explanation.outputs) json["outputs"].push_back(to_json(output));
  json["inner"] = Json::array();
  for (const ExplainedOutput& inner : explanation.inner) json["inner"].push_back(to_json(inner));
  json["complementary"] = Json::array();
  json["complementary_except"] = Json::array();
  for (const ComplementaryPair& pair : explanation.complementary) {
    json["complementary"].push_back({pair.a, pair.b, pair.except.empty() ? "always" : "except"});
    if (pair.except.empty()) continue;
    json["complementary_except"].push_back(
        {{"outputs", {pair.a, pair.b}}, {"when", pair.except}, {"both", pair.both_at_one ? "1" : "0"}});
  }
  json["three_state"] = Json::array();
  for (const ThreeStateOutput& output : explanation.three_state) {
    json["three_state"].push_back({{"output", output.output}, {"control", output.control}, {"drives_at", output.drives_at_one ? "1" : "0"}});
  }
  json["findings"] = Json::array();
  for (const ExplainFinding& finding : explanation.findings) json["findings"].push_back(to_json(finding));
  json["cells"] = Json::array();
  for (const ExplainedCell& cell : explanation.cells) json["cells"].push_back(to_json(cell));
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
