// `settle sweep` as text and as document sweep/1.
#include <algorithm>

#include <fmt/format.h>

#include "report/json_text.h"
#include "settle/sweep_report.h"

namespace settle {
namespace {

std::string_view name_of(SweepSample::Verdict verdict) {
  static constexpr std::string_view names[] = {"passes", "fails", "other-end", "incomplete"};
  return names[static_cast<std::size_t>(verdict)];
}

/// A bar for `count` of `most`; at least one mark when there is anything.
std::string bar(std::uint64_t count, std::uint64_t most, std::uint64_t room, std::string_view mark) {
  std::string text;
  const std::uint64_t marks = count == 0 ? 0 : std::max<std::uint64_t>(1, count * room / most);
  for (std::uint64_t i = 0; i < marks; ++i) text += mark;
  return text;
}

void append_histogram(std::string& out, const Sweep& s, const TextStyle& style) {
  std::uint64_t most = 1;
  std::size_t label = 0, digits = 0;
  std::vector<std::string> labels;
  for (const SweepBin& bin : s.bins) {
    most = std::max(most, bin.passed + bin.failed);
    labels.push_back(to_text(bin.from, s.time_unit));
    label = std::max(label, labels.back().size());
    digits = std::max(digits, fmt::format("{}", bin.passed + bin.failed).size());
  }
  const std::uint64_t used = label + digits + 12;
  const std::uint64_t room = style.width > used + 10 ? style.width - used : 10;
  out += "\nsettling time, from the last input change to the last output change:\n";
  for (std::size_t i = 0; i < s.bins.size(); ++i) {
    const SweepBin& bin = s.bins[i];
    out += fmt::format("  from {:>{}}  {:>{}}  {}{}\n", labels[i], label, bin.passed + bin.failed, digits,
                       bar(bin.passed, most, room, style.ascii ? "#" : "\u2588"),
                       bar(bin.failed, most, room, "x"));
  }
  while (out.ends_with(" \n")) out.erase(out.size() - 2, 1);
  out += fmt::format("  least {}, median {}, most {}; x: failed\n", to_text(s.least, s.time_unit),
                     to_text(s.median, s.time_unit), to_text(s.most, s.time_unit));
}

}  // namespace

std::string sweep_text(const Sweep& s, const TextStyle& style) {
  std::string out =
      s.judged() == 0
          ? fmt::format("{}: no sample tells anything of the yield\n", s.circuit)
          : fmt::format("{}: {} of {} samples pass, {:.2f} %; with a confidence of 95 % the yield is {:.2f} to {:.2f} %\n",
                        s.circuit, s.passed, s.judged(), 100 * s.yield.value, 100 * s.yield.low, 100 * s.yield.high);
  if (!s.typical_passes && s.judged() != 0) out += "with typical delays it does not pass either\n";
  if (s.failed != 0) out += fmt::format("{} fail an expectation or give a warning\n", s.failed);
  if (s.other_end != 0)
    out += fmt::format("{} hold all expectations, but end otherwise than with typical delays\n", s.other_end);
  if (!s.complete) {
    const std::uint64_t stopped = s.wanted - s.judged();
    out += fmt::format("incomplete: {} of {} samples {} not run to the end{}\n", stopped, s.wanted,
                       stopped == 1 ? "was" : "were",
                       s.incomplete_reason.empty() ? "" : ", the first of them: " + s.incomplete_reason);
  }
  if (!s.bins.empty() && !style.quiet) append_histogram(out, s, style);
  if (s.worst) {
    const bool wrong = !s.worst->reason.empty();
    out += fmt::format("\n{}: seed {}, {}{}\n  replay: add --delays random --seed {} to settle run\n",
                       wrong ? "worst sample" : "slowest sample", s.worst->seed,
                       to_text(s.worst->settling, s.time_unit), wrong ? "; " + s.worst->reason : "",
                       s.worst->seed);
  }
  return out;
}

std::string sweep_json(const Sweep& s) {
  report::Json json;
  json["schema"] = "sweep/1";
  json["settle"] = version();
  json["circuit"] = s.circuit;
  json["complete"] = s.complete;
  json["time_unit"] = s.time_unit == TimeUnit::none ? std::string_view("unit") : name_of(s.time_unit);
  json["samples"] = s.wanted;
  json["passed"] = s.passed;
  json["failed"] = s.failed;
  json["other_end"] = s.other_end;
  json["incomplete"] = s.wanted - s.judged();
  json["incomplete_reason"] = s.incomplete_reason.empty() ? report::Json(nullptr) : report::Json(s.incomplete_reason);
  json["typical_passes"] = s.typical_passes;
  json["yield"] = {{"value", s.yield.value},
                   {"low", s.yield.low},
                   {"high", s.yield.high},
                   {"confidence", 0.95},
                   {"method", "Wilson score"}};
  json["settling"] = {{"least", s.least}, {"median", s.median}, {"most", s.most}};
  json["histogram"] = report::Json::array();
  for (const SweepBin& bin : s.bins) {
    json["histogram"].push_back(
        {{"from", bin.from}, {"to", bin.to}, {"passed", bin.passed}, {"failed", bin.failed}});
  }
  json["worst"] = nullptr;
  if (s.worst) {
    json["worst"] = {{"seed", s.worst->seed},
                     {"verdict", name_of(s.worst->verdict)},
                     {"settling", s.worst->settling},
                     {"reason", s.worst->reason}};
  }
  return report::dump(json, 2) + "\n";
}

}  // namespace settle
