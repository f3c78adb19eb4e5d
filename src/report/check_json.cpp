// Document check/1.

#include "report/json_text.h"
#include "settle/check_report.h"

namespace settle {
namespace {

using report::Json;

Json to_json(const CheckItem& item) {
  Json json;
  json["aspect"] = name_of(item.aspect);
  json["kind"] = item.kind;
  json["severity"] = name_of(item.severity);
  json["fails"] = item.fails;
  json["file"] = item.file;
  json["line"] = item.line == 0 ? Json(nullptr) : Json(item.line);
  json["column"] = item.line == 0 ? Json(nullptr) : Json(item.column);
  json["time"] = item.time ? Json(*item.time) : Json(nullptr);
  json["message"] = item.message;
  json["hint"] = item.hint.empty() ? Json(nullptr) : Json(item.hint);
  return json;
}

std::string_view answer_name(RequirementOutcome::Answer answer) {
  return answer == RequirementOutcome::Answer::holds    ? "holds"
         : answer == RequirementOutcome::Answer::broken ? "broken"
                                                        : "unjudged";
}

Json to_json(const CheckedFile& file) {
  Json json;
  json["path"] = file.path;
  json["kind"] = file.is_stimulus ? "stimulus" : "netlist";
  json["netlist"] = file.is_stimulus && !file.netlist.empty() ? Json(file.netlist) : Json(nullptr);
  json["cell"] = file.cell.empty() ? Json(nullptr) : Json(file.cell);
  json["verdict"] = name_of(file.verdict);
  json["incomplete_reason"] = file.incomplete_reason.empty() ? Json(nullptr) : Json(file.incomplete_reason);
  json["warnings"] = file.warnings;
  json["notes"] = file.notes;
  json["expectations"] = {{"passed", file.passed}, {"failed", file.failed}};
  json["lanes"] = file.lanes;
  json["requirements"] = Json::array();
  for (const CheckedRequirement& demand : file.requirements) {
    json["requirements"].push_back(
        {{"cell", demand.cell}, {"text", demand.text}, {"answer", answer_name(demand.answer)}});
  }
  json["items"] = Json::array();
  for (const CheckItem& item : file.items) json["items"].push_back(to_json(item));
  return json;
}

}  // namespace

std::string check_json(const CheckResult& result) {
  Json json;
  json["schema"] = "check/1";
  json["settle"] = version();
  json["complete"] = !result.interrupted && result.count(CheckVerdict::incomplete) == 0;
  json["files"] = Json::array();
  for (const CheckedFile& file : result.files) json["files"].push_back(to_json(file));
  json["passed"] = result.count(CheckVerdict::pass);
  json["failed"] = result.count(CheckVerdict::fail);
  json["errors"] = result.count(CheckVerdict::error);
  json["incomplete"] = result.count(CheckVerdict::incomplete);
  json["planned"] = result.planned;
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
