// Document compare/1.

#include "report/json_text.h"
#include "settle/compare_report.h"

namespace settle {
namespace {

using report::Json;

std::string digits(const std::vector<Value>& values) {
  std::string text;
  for (const Value v : values) text += to_char(v);
  return text;
}

Json bit_names(const std::vector<Port>& ports) {
  Json names = Json::array();
  for (const Port& port : ports) {
    for (std::uint32_t b = 0; b < port.width; ++b) {
      const std::uint32_t index = port.msb >= port.lsb ? port.msb - b : port.msb + b;
      names.push_back(port.is_bus ? port.name + "[" + std::to_string(index) + "]" : port.name);
    }
  }
  return names;
}

}  // namespace

std::string compare_json(const Comparison& c, const Circuit& a, const Circuit& b, const ComparedNames& names,
                         const BoardDifference* wiring) {
  static constexpr const char* answers[] = {"equal", "different", "undecided"};
  static constexpr const char* proofs[] = {"", "gates", "inputs", "states"};
  Json json;
  json["schema"] = "compare/1";
  json["settle"] = version();
  json["circuit"] = a.cell_name();
  json["complete"] = c.answer != Comparison::Answer::undecided;
  json["first"] = names.first;
  json["second"] = names.second;
  json["answer"] = answers[static_cast<std::size_t>(c.answer)];
  json["proof"] = c.proof == Comparison::Proof::none ? Json(nullptr) : Json(proofs[static_cast<std::size_t>(c.proof)]);
  json["inputs"] = bit_names(a.input_ports());
  json["outputs"] = bit_names(a.output_ports());
  json["steps"] = Json::array();
  for (std::size_t i = 0; i < c.vectors.size(); ++i) {
    json["steps"].push_back({{"inputs", digits(c.vectors[i])}, {"first", digits(c.expected[i])}, {"second", digits(c.found[i])}});
  }
  json["output"] = c.output == no_id ? Json(nullptr) : Json(a.output_bit_name(c.output));
  json["shortest"] = c.is_shortest;
  json["state"] = nullptr;
  if (c.only_in >= 0) {
    const Circuit& with = c.only_in == 0 ? a : b;
    json["state"] = {{"of", c.only_in == 0 ? "first" : "second"},
                     {"inputs", bit_names(with.input_ports())}, {"input_values", digits(c.state_inputs)},
                     {"outputs", bit_names(with.output_ports())}, {"output_values", digits(c.state_outputs)}};
  }
  json["reason"] = c.undecided_reason.empty() ? Json(nullptr) : Json(c.undecided_reason);
  json["wiring"] = nullptr;
  if (wiring != nullptr) {
    Json pins = Json::array();
    for (const PinDifference& d : wiring->pins) {
      pins.push_back({{"pin", d.pin.empty() ? Json(nullptr) : Json(d.pin)},
                      {"has", d.has.empty() ? Json(nullptr) : Json(d.has)},
                      {"wants", d.wants.empty() ? Json(nullptr) : Json(d.wants)},
                      {"gate", d.intended.empty() ? Json(nullptr) : Json(d.intended)},
                      {"message", d.sentence}});
    }
    json["wiring"] = {{"differences", std::move(pins)}, {"fewest", wiring->is_least}};
  }
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
