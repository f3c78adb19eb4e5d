// Document diagnose/1.
#include "report/json_text.h"
#include "settle/diagnose_report.h"

namespace settle {
namespace {

using report::Json;

Json json_of_fault(std::uint32_t index, const FaultSession& session) {
  const Fault& fault = session.model().faults[index];
  return {{"kind", name_of(fault.kind)},
          {"fault", fault.what},
          {"assumed", fault.assumed.empty() ? Json(nullptr) : Json(fault.assumed)},
          {"pins", fault.pins},
          {"names", fault.names},
          {"explains_as_unknown", session.misses(index)},
          {"remedy", fault.remedy.empty() ? Json(nullptr) : Json(fault.remedy)}};
}

std::string digits_of(const std::vector<Value>& values) {
  std::string text;
  for (const Value v : values) text += to_char(v);
  return text;
}

}  // namespace

std::string diagnose_json(const FaultSession& session, const Outlook& outlook, const Circuit& circuit, const Sources& sources,
                          const DiagnosisFrame& frame) {
  const FaultModel& model = session.model();
  Json json;
  json["schema"] = "diagnose/1";
  json["settle"] = version();
  json["circuit"] = circuit.cell_name();
  json["complete"] = model.complete;
  json["netlist"] = frame.name;
  json["chips"] = frame.has_chips ? (frame.wired_here ? "wired" : "netlist") : "none";
  json["faults"] = model.faults.size() - 1;
  Json inputs = Json::array();
  for (NetId i = 0; i < circuit.input_count(); ++i) inputs.push_back(circuit.net_name(i));
  json["inputs"] = std::move(inputs);
  json["observations"] = Json::array();
  for (const Observation& o : session.observations()) {
    Json seen = {{"place", model.places[o.place].name},
                 {"inputs", o.step == 0 ? std::string(circuit.input_count(), 'x') : digits_of(session.steps()[o.step - 1])},
                 {"value", std::string(1, to_char(o.value))},
                 {"intended", std::string(1, to_char(o.intended))}};
    if (o.source.exists()) {
      const auto at = sources.locate(o.source);
      seen["file"] = sources.path(o.source.file);
      seen["line"] = at.line;
    }
    json["observations"].push_back(std::move(seen));
  }
  json["possible"] = session.possible();
  json["groups"] = Json::array();
  for (const FaultGroup& group : outlook.groups) {
    Json list = Json::array();
    for (const std::uint32_t fault : group.faults) list.push_back(json_of_fault(fault, session));
    json["groups"].push_back(std::move(list));
  }
  json["next"] = nullptr;
  if (outlook.next) {
    Json settings = Json::array();
    for (const auto& values : outlook.next->inputs) settings.push_back(digits_of(values));
    json["next"] = {{"inputs", std::move(settings)},
                    {"place", model.places[outlook.next->place].name},
                    {"leaves", {{"0", outlook.next->zeros}, {"1", outlook.next->ones}, {"x", outlook.next->unknown}}}};
  }
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
