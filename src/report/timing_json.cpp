// Document timing/1.
#include "report/json_text.h"
#include "settle/time.h"
#include "settle/timing_report.h"

namespace settle {
namespace {

using report::Json;

template <class Number>
Json timing_number(const std::optional<Number>& number) {
  return number ? Json(*number) : Json(nullptr);
}

Json edge_json(const NetEdge& edge) { return {{"net", edge.net}, {"edge", edge.rises ? "rise" : "fall"}}; }

Json edges_json(const std::vector<NetEdge>& edges) {
  Json json = Json::array();
  for (const NetEdge& edge : edges) json.push_back(edge_json(edge));
  return json;
}

Json rows_json(const std::vector<Propagation>& rows) {
  Json json = Json::array();
  for (const Propagation& row : rows) {
    json.push_back({{"from", edge_json(row.from)},
                    {"to", edge_json(row.to)},
                    {"least", row.least},
                    {"most", row.most},
                    {"bound", row.is_bound},
                    {"cases", row.cases},
                    {"path", edges_json(row.path)},
                    {"when", row.when.empty() ? Json(nullptr) : Json(row.when)}});
  }
  return json;
}

// An end that lies beyond all events is null.
Json ranges_json(const std::vector<OffsetRange>& ranges) {
  constexpr std::int64_t far_off = std::int64_t{1} << 60;
  Json json = Json::array();
  for (const OffsetRange& range : ranges) {
    json.push_back({range.first <= -far_off ? Json(nullptr) : Json(range.first),
                    range.last >= far_off ? Json(nullptr) : Json(range.last)});
  }
  return json;
}

Json constraint_json(const TimingConstraint& c) {
  Json json;
  json["kind"] = name_of(c.kind);
  json["control"] = edge_json(c.control);
  json["data"] = edge_json(c.data);
  const bool has_value = c.kind == TimingConstraint::Kind::setup || c.kind == TimingConstraint::Kind::hold;
  json["value"] = has_value ? Json(c.value ? "1" : "0") : Json(nullptr);
  json["right"] = timing_number(c.right);
  json["clean"] = timing_number(c.clean);
  json["undecided"] = ranges_json(c.undecided);
  json["glitches"] = ranges_json(c.glitches);
  json["race"] = edges_json(c.race);
  json["race_gate"] = c.race_gate.empty() ? Json(nullptr) : Json(c.race_gate);
  json["when"] = c.when.empty() ? Json(nullptr) : Json(c.when);
  json["cases"] = c.cases;
  json["ranges"] = c.ranges;
  json["restless"] = c.restless;
  return json;
}

std::string_view delays_name(DelayChoice delays) {
  switch (delays) {
    case DelayChoice::unit: return "unit";
    case DelayChoice::min: return "min";
    case DelayChoice::max: return "max";
    default: return "typ";
  }
}

}  // namespace

std::string timing_json(const Timing& timing) {
  Json json;
  json["schema"] = "timing/1";
  json["settle"] = version();
  json["circuit"] = timing.circuit;
  json["complete"] = timing.complete;
  json["incomplete_reason"] =
      timing.incomplete_reason.empty() ? Json(nullptr) : Json(timing.incomplete_reason);
  json["time_unit"] = timing.unit == TimeUnit::none ? Json(nullptr) : Json(name_of(timing.unit));
  json["delays"] = delays_name(timing.delays);
  json["cells"] = Json::array();
  for (const TimedCell& cell : timing.cells) {
    Json entry;
    entry["kind"] = cell.kind;
    entry["storage"] = cell.is_storage;
    entry["outputs"] = cell.outputs;
    entry["copies"] = cell.copies;
    entry["stable_states"] = cell.stable_states;
    entry["restless"] = cell.restless;
    entry["note"] = cell.note.empty() ? Json(nullptr) : Json(cell.note);
    entry["propagation"] = rows_json(cell.propagation);
    entry["constraints"] = Json::array();
    for (const TimingConstraint& c : cell.constraints) entry["constraints"].push_back(constraint_json(c));
    json["cells"].push_back(std::move(entry));
  }
  json["through"] = rows_json(timing.through);
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
