// What to know when using a cell, from its steps.
#include "analysis/findings.h"

#include <fmt/format.h>

namespace settle {

void find_findings(CellStudy& study, const ExplainOptions& options) {
  if (!study.behaviour.is_usable || is_set(options.stop)) return;
  add_pulse_finding(study);
  add_step_findings(study, options);
  if (!is_set(options.stop)) add_wire_findings(study);
  add_level_finding(study);
  for (ExplainFinding& finding : study.findings) finding.about = study.observed_name(study.primary);
}

void add_pulse_finding(CellStudy& study) {
  const OutputRule& rule = study.rules[study.primary];
  if (rule.kind != OutputRule::Kind::pulse || rule.resting.empty()) return;
  std::vector<std::string> names;
  for (const unsigned input : rule.resting) names.push_back(study.input_name(input));
  const std::string& clock = study.input_name(rule.clocks[0].input);
  ExplainFinding finding;
  finding.kind = ExplainFinding::Kind::pulse_triggered;
  finding.is_warning = true;
  finding.inputs = names;
  if (rule.has_data_lockout) {
    finding.is_warning = false;
    finding.message = fmt::format("it has data lockout: {} are taken in when {} {}, and what they do while {} is {} changes nothing more; the "
                                  "outputs show it when {} {}. The equation is for inputs that rest in between.",
                                  listed(names), clock, rule.clocks[0].rises ? "falls" : "rises", clock, rule.clocks[0].rises ? 0 : 1, clock,
                                  rule.clocks[0].rises ? "rises" : "falls");
    study.findings.push_back(std::move(finding));
    return;
  }
  finding.message = fmt::format("{} must rest while {} is {}: a change in that time can be caught and cannot be taken back (ones "
                                "catching; the equation is proved for inputs that rest there).",
                                listed(names), clock, rule.clocks[0].rises ? 0 : 1);
  study.findings.push_back(std::move(finding));
}

void add_level_finding(CellStudy& study) {
  if (study.space.unknown_level.empty() || study.behaviour.states_held < 2) return;
  ExplainFinding finding;
  finding.kind = ExplainFinding::Kind::unknown_level;
  finding.is_warning = true;
  const bool always = study.space.unknown_level.size() == study.space.vectors.size();
  finding.message = fmt::format("{}a gate may read a wire that floats or is fought over, which is neither 0 nor 1; what the cell does "
                                "then is not judged.",
                                always ? "" : fmt::format("while {}, ", condition_text(study, study.space.unknown_level)));
  study.findings.push_back(std::move(finding));
}

}  // namespace settle
