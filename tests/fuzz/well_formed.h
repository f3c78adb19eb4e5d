// Reports must be well-formed whatever they hold.
#pragma once

#include <exception>
#include <nlohmann/json.hpp>
#include <string>

#include "published/vcd_reader.h"
#include "settle/report.h"
#include "support/catch.h"

namespace settle::fuzz {

inline nlohmann::json check_json(const std::string& text, const std::string& schema) {
  auto document = nlohmann::json::parse(text, nullptr, false);
  CHECK(!document.is_discarded());
  CHECK(document.is_object());
  CHECK(document.value("schema", "") == schema);
  CHECK(document.contains("complete"));
  return document;
}

/// Lines with equal numbers of fields (RFC 4180).
inline void check_csv(const std::string& text) {
  std::size_t first = 0, fields = 1;
  bool quoted = false, any = false;
  for (const char c : text) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == ',') ++fields;
    if (c != '\n') continue;
    if (!any) first = fields;
    CHECK(fields == first);
    any = true;
    fields = 1;
  }
  CHECK(!quoted);
  CHECK((text.empty() || text.back() == '\n'));
}

inline void check_vcd(const std::string& text) {
  try {
    const test::VcdReader reader(text);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "%s\n%s\n", error.what(), text.c_str());
    FAIL("a value change dump that cannot be read");
  }
}

inline void check_run_reports(const RunResult& result, const Circuit& circuit, const Sources& sources) {
  check_json(run_json(result, circuit, sources), "run/1");
  check_vcd(run_vcd(result, circuit));
  check_csv(run_csv(result, circuit));
  TextStyle style;
  CHECK(!run_text(result, circuit, sources, style).empty());
  style.ascii = true;
  style.width = 20;
  for (const char c : run_text(result, circuit, sources, style)) CHECK(static_cast<unsigned char>(c) < 0x80);
  for (const Signal& signal : result.waveform.signals) {
    for (std::size_t i = 1; i < signal.changes.size(); ++i) {
      CHECK(signal.changes[i - 1].time < signal.changes[i].time);
      CHECK(signal.changes[i - 1].value != signal.changes[i].value);
    }
  }
}

}  // namespace settle::fuzz
