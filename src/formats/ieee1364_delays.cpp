#include "formats/ieee1364_delays.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

namespace settle {

std::optional<HdlTimeScale> parse_time_scale(std::string_view text) {
  std::uint64_t number = 0;
  const auto slash = text.find('/');
  std::string unit(text.substr(0, slash));
  std::erase_if(unit, [](char c) { return c == ' ' || c == '\t'; });
  const auto result = std::from_chars(unit.data(), unit.data() + unit.size(), number);
  const auto found = time_unit_from(std::string_view(unit).substr(static_cast<std::size_t>(result.ptr - unit.data())));
  if (slash == std::string_view::npos || !found || (number != 1 && number != 10 && number != 100)) return {};
  return HdlTimeScale{*found, number};
}

std::string_view set_delays(const HdlDelays& delays, const HdlTimeScale& scale, std::uint32_t offset, HdlInstance& gate) {
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
