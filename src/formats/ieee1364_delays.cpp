#include "formats/ieee1364_delays.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

namespace settle {

namespace {

/// "1ns", "100 ps".
std::optional<HdlTimeScale> parse_scale_time(std::string_view text) {
  std::string time(text);
  std::erase_if(time, [](char c) { return c == ' ' || c == '\t' || c == '\r'; });
  std::uint64_t number = 0;
  const auto result = std::from_chars(time.data(), time.data() + time.size(), number);
  const auto unit = time_unit_from(std::string_view(time).substr(static_cast<std::size_t>(result.ptr - time.data())));
  if (!unit || (number != 1 && number != 10 && number != 100)) return {};
  return HdlTimeScale{*unit, number};
}

}  // namespace

std::optional<HdlTimeScale> parse_time_scale(std::string_view text) {
  const auto slash = text.find('/');
  if (slash == std::string_view::npos) return {};
  auto scale = parse_scale_time(text.substr(0, slash));
  const auto precision = parse_scale_time(text.substr(slash + 1));
  if (!scale || !precision) return {};
  const int thousands = static_cast<int>(scale->unit) - static_cast<int>(precision->unit);
  scale->steps = std::pow(1000.0, thousands) * static_cast<double>(scale->count) / static_cast<double>(precision->count);
  if (scale->steps < 1) return {};
  return scale;
}

std::string_view set_delays(HdlDelays delays, const HdlTimeScale& scale, std::uint32_t offset, HdlInstance& gate) {
  for (auto& triple : delays) {
    for (double& delay : triple) {
      if (scale.unit != TimeUnit::none) delay = std::round(delay * scale.steps) / scale.steps;
      if (delay == 0) return "this delay rounds to 0 with the precision of the time scale";
    }
  }
  TimeUnit unit = scale.unit;
  double factor = static_cast<double>(scale.count);
  const auto is_whole = [&](double v) { return std::abs(v * factor - std::round(v * factor)) < 1e-6; };
  const auto are_whole = [&](const auto& triple) { return std::all_of(triple.begin(), triple.end(), is_whole); };
  while (!std::all_of(delays.begin(), delays.end(), are_whole)) {
    if (unit <= TimeUnit::fs) {
      return unit == TimeUnit::none ? "a delay with decimals needs a time scale" : "this delay is finer than 1 fs";
    }
    unit = static_cast<TimeUnit>(static_cast<int>(unit) - 1);
    factor *= 1000;
  }
  const auto triple = [&](const std::array<double, 3>& d) {
    const auto whole = [&](double v) { return static_cast<std::uint64_t>(std::llround(v * factor)); };
    return DelayTriple{whole(d[0]), whole(d[1]), whole(d[2])};
  };
  gate.attributes.has_delay = true;
  gate.attributes.rise = triple(delays[0]);
  gate.attributes.fall = triple(delays[1]);
  gate.attributes.unit = unit;
  gate.attributes.offset = offset;
  gate.has_attributes = true;
  return {};
}

}  // namespace settle
