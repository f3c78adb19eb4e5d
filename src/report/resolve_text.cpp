// `settle resolve` in its forms.
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "report/json_text.h"
#include "settle/resolve_report.h"

namespace settle {
namespace {

constexpr std::string_view table_source =
    "Wakerly, Digital Design Principles and Practices, section 8.9 (from memory)";

std::string nanoseconds(double seconds) { return fmt::format("{:.4g} ns", seconds * 1e9); }

/// With its prefix: "10 M", to be followed by the unit.
std::string rate(double hertz) {
  for (const auto& [size, prefix] : {std::pair{1e9, "G"}, {1e6, "M"}, {1e3, "k"}}) {
    if (hertz >= size) return fmt::format("{:.4g} {}", hertz / size, prefix);
  }
  return fmt::format("{:.4g} ", hertz);
}

}  // namespace

std::string resolve_text(const ResolveEstimate& e) {
  const ResolveInput& in = e.input;
  std::string text = fmt::format(
      "tau {}, T0 {:.3g} s{}\nclock {}Hz, data changes at {}Hz\n\n", nanoseconds(in.tau),
      in.window, e.part.empty() ? "" : fmt::format(": {}, {}", e.part, table_source), rate(in.clock), rate(in.data));
  if (e.time) {
    text += fmt::format("With {} left to decide it fails once in {} on average.\n", nanoseconds(*e.time),
                        mean_time_text(log_mean_time(in, *e.time)));
  }
  if (e.wanted) {
    text += fmt::format("For one failure in {} on average {} must be left to decide.\n",
                        mean_time_text(std::log(*e.wanted)), nanoseconds(time_needed(in, *e.wanted)));
  }
  text +=
      "\nAn estimate, MTBF = exp(t / tau) / (T0 * clock * data): changes of the data come at any time and do "
      "not\n"
      "follow the clock, and the figures are those of this very part at this supply and temperature. Makers\n"
      "count t from the clock edge or from the end of the usual delay: use t as the source of tau and T0 "
      "does.\n"
      "More time, or a second flip-flop behind the first, makes a failure rarer, and never impossible.\n";
  return text;
}

std::string resolve_json(const ResolveEstimate& e) {
  report::Json json;
  json["schema"] = "resolve/1";
  json["settle"] = version();
  json["complete"] = true;
  json["part"] = e.part.empty() ? report::Json(nullptr) : report::Json(e.part);
  json["source"] = e.part.empty() ? report::Json(nullptr) : report::Json(table_source);
  json["tau_s"] = e.input.tau;
  json["t0_s"] = e.input.window;
  json["clock_hz"] = e.input.clock;
  json["data_hz"] = e.input.data;
  json["time_s"] = e.time ? report::Json(*e.time) : report::Json(nullptr);
  json["log10_mean_time_s"] =
      e.time ? report::Json(log_mean_time(e.input, *e.time) / std::log(10.0)) : report::Json(nullptr);
  json["wanted_s"] = e.wanted ? report::Json(*e.wanted) : report::Json(nullptr);
  json["time_needed_s"] = e.wanted ? report::Json(time_needed(e.input, *e.wanted)) : report::Json(nullptr);
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
