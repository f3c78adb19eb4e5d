// Document table/1. The frame is built as a JSON value; rows, which can be a million, are appended as
// text, one a line.

#include "report/json_text.h"
#include "settle/report.h"

namespace settle {

namespace {

using report::dump;
using report::Json;

Json to_json(const TableEntry& entry) {
  const auto text_or_null = [](const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); };
  Json json = {{"kind", name_of(entry.kind)}, {"expression", text_or_null(entry.expression)}};
  if (!entry.loose_when.empty()) json[entry.never_rests ? "oscillates_if" : "undecided_if"] = entry.loose_when;
  return json;
}

std::string_view name_of(TableNote::Kind kind) {
  switch (kind) {
    case TableNote::Kind::several_inputs: return "several-inputs";
    case TableNote::Kind::delay_dependent: return "delay-dependent";
    case TableNote::Kind::inner_state: return "inner-state";
    case TableNote::Kind::never_stable: return "never-stable";
    case TableNote::Kind::pulse: return "pulse";
    case TableNote::Kind::not_judged: return "not-judged";
  }
  return "";
}

Json to_json(const TableNote& note) {
  Json json;
  json["kind"] = name_of(note.kind);
  json["verdict"] = note.verdict ? Json(settle::name_of(*note.verdict)) : Json(nullptr);
  json["from"] = note.from.empty() ? Json(nullptr) : Json(note.from);
  json["to"] = note.to.empty() ? Json(nullptr) : Json(note.to);
  json["text"] = note.text;
  return json;
}

/// Members of an object, indented as part of the document, with a comma behind.
std::string members(const Json& object) {
  const std::string text = dump(object, 2);  // "{\n  ...\n}"
  return text.substr(2, text.size() - 4);
}

}  // namespace

std::string table_json(const Table& table, const Circuit& circuit) {
  Json head;
  head["schema"] = "table/1";
  head["settle"] = version();
  head["circuit"] = circuit.cell_name();
  head["complete"] = table.complete;
  head["incomplete_reason"] = table.complete ? Json(nullptr) : Json(table.incomplete_reason);
  head["kind"] = table.has_loops ? "characteristic" : "truth";
  head["inputs"] = table.inputs;
  head["outputs"] = table.outputs;
  head["inner"] = table.inner;

  // Right-hand sides are shared by many rows: each is made into text once.
  std::vector<std::string> sides;
  for (const auto& entries : table.entries) {
    Json outputs = Json::array(), inner = Json::array();
    for (std::size_t k = 0; k < entries.size(); ++k) {
      (k < table.outputs.size() ? outputs : inner).push_back(to_json(entries[k]));
    }
    sides.push_back("\"outputs\": " + dump(outputs, -1) +
                    (inner.empty() ? "" : ", \"inner\": " + dump(inner, -1)));
  }
  std::string out = "{\n" + members(head) + ",\n  \"rows\": [";
  std::string inputs(table.inputs.size(), '-');
  std::string_view separator = "\n";
  for (const TableRow& row : table.rows) {
    for (std::uint32_t i = 0; i < inputs.size(); ++i) inputs[i] = table.symbol(row, i);
    out += separator;
    out += "    {\"inputs\": \"" + inputs + "\", " + sides[row.entries] + "}";
    separator = ",\n";
  }
  out += table.rows.empty() ? "],\n" : "\n  ],\n";
  Json notes = Json::array();
  for (const TableNote& note : table.notes) notes.push_back(to_json(note));
  Json tail;
  tail["notes"] = std::move(notes);
  return out + members(tail) + "\n}\n";
}

}  // namespace settle
