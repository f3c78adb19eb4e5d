#include "report/timing_words.h"

#include <cstdlib>

#include <fmt/format.h>

#include "settle/time.h"

namespace settle::report {

std::string ticks_text(std::int64_t ticks, TimeUnit unit) {
  const std::string sign = ticks < 0 ? "-" : "";
  const auto size = static_cast<std::uint64_t>(std::llabs(ticks));
  if (unit == TimeUnit::none) return sign + std::to_string(size);
  if (unit != TimeUnit::ps) return fmt::format("{}{} {}", sign, size, name_of(unit));
  std::string text = std::to_string(size / 1000);
  if (size % 1000 != 0) {
    text += fmt::format(".{:03}", size % 1000);
    text.erase(text.find_last_not_of('0') + 1);
  }
  return fmt::format("{}{} ns", sign, text);
}

std::string edge_text(const NetEdge& edge) { return edge.net + (edge.rises ? " rises" : " falls"); }

std::string offsets_text(const std::vector<OffsetRange>& ranges, TimeUnit unit) {
  const auto one = [&](std::int64_t offset) {
    if (offset == 0) return std::string("0");
    return fmt::format("{} {}", ticks_text(std::llabs(offset), unit), offset < 0 ? "before" : "after");
  };
  std::string text;
  for (const OffsetRange& range : ranges) {
    if (!text.empty()) text += ", ";
    if (range.first == range.last) {
      text += range.first == 0 ? "at 0" : one(range.first);
    } else {
      text += fmt::format("{} to {}", one(range.first), one(range.last));
    }
  }
  return text;
}

std::string constraint_text(const TimingConstraint& c) {
  using Kind = TimingConstraint::Kind;
  switch (c.kind) {
    case Kind::pulse: return fmt::format("{} pulse of {}", c.control.rises ? "high" : "low", c.control.net);
    case Kind::setup:
      return fmt::format("setup of {}={} before {}", c.data.net, c.value ? 1 : 0, edge_text(c.control));
    case Kind::hold:
      return fmt::format("hold of {}={} after {}", c.data.net, c.value ? 1 : 0, edge_text(c.control));
    case Kind::recovery:
      return fmt::format("recovery: {} before {}", edge_text(c.data), edge_text(c.control));
    case Kind::removal: return fmt::format("removal: {} after {}", edge_text(c.data), edge_text(c.control));
  }
  return {};
}

std::string delays_text(DelayChoice delays) {
  switch (delays) {
    case DelayChoice::unit: return "unit delays";
    case DelayChoice::min: return "minimum delays";
    case DelayChoice::typ: return "typical delays";
    case DelayChoice::max: return "maximum delays";
    default: return "the delays chosen";
  }
}

}  // namespace settle::report
