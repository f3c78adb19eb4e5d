// Document states/1. Lists that can be long are appended as text, an item a line.
#include <iterator>

#include <fmt/format.h>

#include "report/json_text.h"
#include "report/state_names.h"
#include "settle/product_text.h"
#include "settle/states_report.h"

namespace settle {
namespace {

using report::dump;
using report::Json;

Json names_of(const Circuit& circuit, const std::vector<NetId>& nets) {
  Json names = Json::array();
  for (const NetId net : nets) names.push_back(circuit.net_name(net));
  return names;
}

Json or_null(std::uint32_t state) { return state == no_state ? Json(nullptr) : Json(state); }

Json to_json(const StateSpace& space, const Circuit& circuit, const Transition& t) {
  Json json;
  json["from"] = t.from;
  json["inputs"] = vector_text(t.inputs, space.input_bits);
  json["to"] = t.to;
  json["may_cycle"] = t.may_cycle;
  json["equal_delay"] = or_null(t.equal_delay);
  json["period"] = t.period == 0 ? Json(nullptr) : Json(t.period);
  json["verdict"] = t.judged ? Json(name_of(t.verdict)) : Json(nullptr);
  json["racing"] = Json::array();
  for (const GateId gate : t.racing) json["racing"].push_back(circuit.gate_name(gate));
  return json;
}

Json to_json(const FlowTable::Entry& entry) {
  Json json;
  json["rows"] = entry.rows;
  json["stable"] = or_null(entry.state);
  json["may_cycle"] = entry.may_cycle;
  return entry.specified ? json : Json(nullptr);
}

Json to_json(const Circuit& circuit, const Ending& ending) {
  Json json;
  json["to"] = or_null(ending.state);
  json["order"] = Json::array();
  for (const Ending::Instant& instant : ending.order) {
    Json gates = Json::array();
    for (const GateId gate : instant.gates) gates.push_back(circuit.gate_name(gate));
    json["order"].push_back({{"time", instant.time == 0 ? Json(nullptr) : Json(instant.time)}, {"gates", std::move(gates)}});
  }
  json["period"] = ending.period == 0 ? Json(nullptr) : Json(ending.period);
  Json delays = Json::array();
  for (const Ending::Delay& delay : ending.delays) {
    delays.push_back({{"gate", circuit.gate_name(delay.gate)}, {"rise", delay.rise}, {"fall", delay.fall}});
  }
  json["delays"] = ending.has_delays ? std::move(delays) : Json(nullptr);
  return json;
}

class StatesDocument {
 public:
  void member(const char* name, const Json& value) { raw(name, dump(value)); }
  void raw(const char* name, const std::string& text) {
    text_ += fmt::format("{}\n  \"{}\": {}", text_.empty() ? "{" : ",", name, text);
  }
  template <class Items, class ToText>
  void list(const char* name, const Items& items, const ToText& to_text) {
    std::string text = "[";
    for (std::size_t i = 0; i < items.size(); ++i) {
      text += i == 0 ? "\n    " : ",\n    ";
      text += to_text(items[i], i);
    }
    raw(name, text + (items.empty() ? "]" : "\n  ]"));
  }
  std::string finish() { return text_ + "\n}\n"; }

 private:
  std::string text_;
};

}  // namespace

std::string states_json(const StatesStudy& study, const Circuit& circuit) {
  const StateSpace& space = study.space;
  const std::vector<NetId> nodes = report::node_nets(circuit);
  Json outputs = Json::array();
  for (std::uint32_t bit = 0; bit < circuit.outputs().size(); ++bit) outputs.push_back(circuit.output_bit_name(bit));
  StatesDocument document;
  document.member("schema", "states/1");
  document.member("settle", version());
  document.member("circuit", circuit.cell_name());
  document.member("complete", space.complete);
  document.member("incomplete_reason", space.complete ? Json(nullptr) : Json(space.incomplete_reason));
  document.member("inputs", names_of(circuit, report::input_nets(circuit)));
  document.member("nodes", names_of(circuit, nodes));
  document.member("outputs", outputs);
  document.list("stable", space.stable, [&](const StableState& state, std::size_t i) {
    const auto s = static_cast<std::uint32_t>(i);
    return fmt::format("{{\"inputs\": \"{}\", \"nodes\": \"{}\", \"class\": {}}}",
                       vector_text(state.inputs, space.input_bits), report::bits_of(space, circuit, s, nodes),
                       state.alike);
  });
  document.list("transitions", space.transitions,
                [&](const Transition& t, std::size_t) { return dump(to_json(space, circuit, t)); });
  document.member("states_held", space.states_held);
  document.member("bits_stored", space.bits_stored);
  Json power_up = Json::array();
  for (std::size_t i = 0; i < space.stable.size(); ++i) power_up.push_back(i);
  document.member("power_up", power_up);
  const auto sequence = [&space](const std::optional<std::vector<VectorIndex>>& vectors) {
    if (!vectors) return Json(nullptr);
    Json list = Json::array();
    for (const VectorIndex v : *vectors) list.push_back(vector_text(v, space.input_bits));
    return list;
  };
  document.member("synchronising_sequence", sequence(space.synchronising_sequence));
  document.member("synchronising_known", space.synchronising_known);
  document.member("power_up_sequence", sequence(space.power_up_sequence));
  Json never = Json::array();
  for (const VectorIndex v : space.never_stable) never.push_back(vector_text(v, space.input_bits));
  document.member("never_stable", never);
  Json unknown = Json::array();
  for (const VectorIndex v : space.unknown_level) unknown.push_back(vector_text(v, space.input_bits));
  document.member("unknown_level", unknown);
  Json missed = Json::array();
  for (const VectorIndex v : space.may_not_rest) missed.push_back(vector_text(v, space.input_bits));
  document.member("may_not_rest", missed);
  Json columns = Json::array();
  for (const VectorIndex v : space.flow.columns) columns.push_back(vector_text(v, space.input_bits));
  document.member("flow_columns", columns);
  document.list("flow_rows", space.flow.rows, [](const std::vector<FlowTable::Entry>& row, std::size_t) {
    Json entries = Json::array();
    for (const FlowTable::Entry& entry : row) entries.push_back(to_json(entry));
    return dump(entries);
  });
  document.list("witnesses", study.witnesses, [&](const StepWitness& witness, std::size_t) {
    Json json;
    json["transition"] = witness.transition;
    json["endings"] = Json::array();
    for (const Ending& ending : witness.endings) json["endings"].push_back(to_json(circuit, ending));
    return dump(json);
  });
  document.member("count", study.product ? Json(product_text(*study.product)) : Json(nullptr));
  return document.finish();
}

}  // namespace settle
