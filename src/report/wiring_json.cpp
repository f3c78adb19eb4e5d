// Document wire/1.
#include "report/json_text.h"
#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {
namespace {

using report::Json;

Json pins_json(const Wiring& wiring, const WiredChip& chip) {
  Json pins = Json::array();
  for (const WireNetId net : chip.pins)
    pins.push_back(net == no_id ? Json(nullptr) : Json(report::wire_net_text(wiring, net)));
  return pins;
}

Json gates_json(const WiredChip& chip, const Circuit& circuit) {
  Json gates = Json::array();
  for (const WiredGate& gate : chip.gates) {
    if (gate.gate == no_id) {
      gates.push_back(nullptr);
    } else {
      gates.push_back({{"gate", circuit.gate_name(gate.gate)},
                       {"result", gate.is_result},
                       {"replacement", gate.is_replacement}});
    }
  }
  return gates;
}

Json proof_json(const Wiring& wiring) {
  if (!wiring.proof) return nullptr;
  static constexpr const char* answers[] = {"equal", "different", "undecided"};
  return answers[static_cast<std::size_t>(wiring.proof->answer)];
}

}  // namespace

std::string wiring_json(const Wiring& wiring, const Circuit& circuit) {
  Json json;
  json["schema"] = "wire/1";
  json["settle"] = version();
  json["circuit"] = circuit.cell_name();
  json["complete"] = wiring.is_fewest;
  json["family"] = wiring.options.family;
  json["supply_volts"] = wiring.options.supply;
  json["substitute"] = name_of(wiring.options.substitute);
  json["chip_count"] = wiring.chips.size();
  json["lower_bound"] = wiring.lower_bound;
  json["chips_without_replacement"] =
      wiring.chips_without_replacement == 0 ? Json(nullptr) : Json(wiring.chips_without_replacement);
  json["chips"] = Json::array();
  for (const WiredChip& chip : wiring.chips) {
    const Part& part = wiring.parts[chip.part];
    json["chips"].push_back({{"name", chip.name},
                             {"part", chip.part_text()},
                             {"title", part.title},
                             {"pins", pins_json(wiring, chip)},
                             {"gates", gates_json(chip, circuit)},
                             {"source", part.source},
                             {"confidence", name_of(part.confidence)}});
  }
  json["replacements"] = Json::array();
  for (const Replacement& replacement : wiring.replacements) {
    json["replacements"].push_back({{"gate", circuit.gate_name(replacement.gate)},
                                    {"text", replacement.text},
                                    {"gates", replacement.gates}});
  }
  json["functions_checked"] = wiring.replacements.empty() ? Json(nullptr) : Json(wiring.functions_checked);
  json["compared"] = proof_json(wiring);
  json["steps"] = Json::array();
  for (const WiringStep& step : wiring.steps) {
    Json wires = Json::array();
    for (const Wire& wire : step.wires) {
      wires.push_back({{"net", report::wire_net_text(wiring, wire.net)},
                       {"from", report::end_text(wiring, circuit, wire.from)},
                       {"to", report::end_text(wiring, circuit, wire.to)}});
    }
    json["steps"].push_back({{"title", step.title},
                             {"test", step.test.empty() ? Json(nullptr) : Json(step.test)},
                             {"wires", std::move(wires)}});
  }
  json["bill"] = Json::array();
  for (const BillLine& line : wiring.bill)
    json["bill"].push_back({{"count", line.count}, {"what", line.what}, {"remark", line.remark}});
  json["loads"] = Json::array();
  for (const LoadCheck& load : wiring.loads) {
    json["loads"].push_back({{"chip", wiring.chips[load.chip].name},
                             {"pin", load.pin},
                             {"net", report::wire_net_text(wiring, load.net)},
                             {"inputs", load.inputs},
                             {"led", load.has_led},
                             {"low_ma", load.low_ma},
                             {"low_limit_ma", load.low_limit},
                             {"high_ma", load.high_ma},
                             {"high_limit_ma", load.high_limit},
                             {"picofarads", load.pf},
                             {"good", load.is_good}});
  }
  json["led_ohms"] = wiring.led_ohms == 0 ? Json(nullptr) : Json(wiring.led_ohms);
  json["button_ohms"] = wiring.button_ohms;
  json["notes"] = wiring.notes;
  json["cautions"] = report::wiring_cautions();
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
