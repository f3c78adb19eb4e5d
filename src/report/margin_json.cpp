// Document margin/1.
#include "report/json_text.h"
#include "report/margin_words.h"
#include "report/state_names.h"
#include "settle/margin_report.h"

namespace settle {
namespace {

using report::Json;

class MarginDocument {
 public:
  MarginDocument(const MarginStudy& study, const Circuit& circuit)
      : study_(study), space_(study.space), circuit_(circuit) {}

  Json document() const {
    Json json;
    json["schema"] = "margin/1";
    json["settle"] = version();
    json["circuit"] = circuit_.cell_name();
    json["complete"] = study_.complete;
    json["incomplete_reason"] =
        study_.complete || space_.incomplete_reason.empty() ? Json(nullptr) : Json(space_.incomplete_reason);
    json["settled"] = study_.settled;
    json["never_rest"] = study_.never_rest;
    json["inputs"] = names(report::input_nets(circuit_));
    json["outputs"] = names(report::shown_outputs(circuit_));
    json["steps"] = Json::array();
    for (const StepMargin& margin : study_.steps) json["steps"].push_back(step(margin));
    return json;
  }

 private:
  Json names(const std::vector<NetId>& nets) const {
    Json list = Json::array();
    for (const NetId net : nets) list.push_back(circuit_.net_name(net));
    return list;
  }
  Json gates(const std::vector<GateId>& ids) const {
    Json list = Json::array();
    for (const GateId gate : ids) list.push_back(circuit_.gate_name(gate));
    return list;
  }
  std::string outputs_of(std::uint32_t state) const {
    return report::bits_of(space_, circuit_, state, report::shown_outputs(circuit_));
  }

  Json witness(const StepMargin& margin) const {
    if (!margin.witness) return nullptr;
    Json delays = Json::array();
    for (const Ending::Delay& d : margin.witness->delays) {
      delays.push_back({{"gate", circuit_.gate_name(d.gate)}, {"rise", d.rise}, {"fall", d.fall}});
    }
    const bool rests = margin.witness->state != no_state;
    return {{"spread", margin.witness_spread},
            {"scale", margin.scale},
            {"outputs", rests ? Json(outputs_of(margin.witness->state)) : Json(nullptr)},
            {"period", rests ? Json(nullptr) : Json(margin.witness->period)},
            {"delays", std::move(delays)}};
  }

  Json step(const StepMargin& margin) const {
    const Transition& t = space_.transitions[margin.transition];
    const bool has_bounds = margin.kind != MarginKind::undecided && margin.kind != MarginKind::unknown;
    Json json;
    json["from_inputs"] = vector_text(space_.stable[t.from].inputs, space_.input_bits);
    json["from_outputs"] = outputs_of(t.from);
    json["inputs"] = vector_text(t.inputs, space_.input_bits);
    json["right_outputs"] = margin.right == no_state ? Json(nullptr) : Json(outputs_of(margin.right));
    json["kind"] = report::margin_kind_name(margin.kind);
    json["proved"] = has_bounds ? Json(margin.least) : Json(nullptr);
    json["fails"] = has_bounds && margin.kind != MarginKind::unlimited && margin.most < 1 ? Json(margin.most)
                                                                                          : Json(nullptr);
    json["fraction"] =
        margin.fraction ? Json::array({margin.fraction->first, margin.fraction->second}) : Json(nullptr);
    json["orders"] = margin.orders;
    json["races"] = Json::array();
    for (const MarginRace& race : margin.races) {
      json["races"].push_back({{"faster", gates(race.faster)},
                               {"slower", gates(race.slower)},
                               {"faster_time", race.faster_time},
                               {"slower_time", race.slower_time},
                               {"message", report::race_text(race, circuit_)}});
    }
    json["witness"] = witness(margin);
    return json;
  }

  const MarginStudy& study_;
  const StateSpace& space_;
  const Circuit& circuit_;
};

}  // namespace

std::string margin_json(const MarginStudy& study, const Circuit& circuit) {
  return report::dump(MarginDocument(study, circuit).document(), 2) + "\n";
}

}  // namespace settle
