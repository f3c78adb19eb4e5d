// Each demand is an upper limit for one figure of the timing: the worst row that is about these nets must
// not be above it. A worst row above the limit breaks the demand even when other rows are missing; rows
// within it prove it only when everything was measured.
#include "check/requirement_timing.h"

#include <cstdlib>

#include <fmt/format.h>

#include "settle/time.h"

namespace settle {
namespace {

using Answer = RequirementOutcome::Answer;

struct WorstRow {
  bool is_found = false;
  std::int64_t ticks = 0;
  std::string about;  // "c rises to q falls, through c, r, qn, q"
};

std::string_view verb(bool rises) { return rises ? "rises" : "falls"; }

void take_row(WorstRow& worst, std::int64_t ticks, std::string about) {
  if (worst.is_found && ticks <= worst.ticks) return;
  worst = {true, ticks, std::move(about)};
}

void add_rows(const Requirement& demand, const std::vector<Propagation>& rows, WorstRow& worst) {
  for (const Propagation& row : rows) {
    if (row.from.net != demand.from || row.to.net != demand.to) continue;
    std::string way;
    for (const NetEdge& edge : row.path) way += (way.empty() ? "" : ", ") + edge.net;
    take_row(
        worst, static_cast<std::int64_t>(row.most),
        fmt::format("{} {} {} after {} {}, by way of {}", row.to.net, verb(row.to.rises),
                    row.is_bound ? "may be that long" : "comes", row.from.net, verb(row.from.rises), way));
  }
}

bool is_about(const Requirement& demand, const TimingConstraint& c) {
  using Kind = TimingConstraint::Kind;
  switch (demand.kind) {
    case Requirement::Kind::setup:
      return c.kind == Kind::setup && c.data.net == demand.from && c.control.net == demand.to;
    case Requirement::Kind::hold:
      return c.kind == Kind::hold && c.data.net == demand.from && c.control.net == demand.to;
    case Requirement::Kind::recovery:
      return c.kind == Kind::recovery && c.data.net == demand.from && c.control.net == demand.to;
    case Requirement::Kind::pulse: return c.kind == Kind::pulse && c.control.net == demand.from;
    default: return false;
  }
}

std::string words_of(const TimingConstraint& c) {
  using Kind = TimingConstraint::Kind;
  switch (c.kind) {
    case Kind::setup:
    case Kind::hold:
      return fmt::format("the {} of {}={} {} {} {}", name_of(c.kind), c.data.net, c.value ? 1 : 0,
                         c.kind == Kind::setup ? "before" : "after", c.control.net, verb(c.control.rises));
    case Kind::pulse: return fmt::format("a {} pulse of {}", c.control.rises ? "high" : "low", c.control.net);
    default:
      return fmt::format("the {} of {} before {} {}", name_of(c.kind), c.data.net, c.control.net,
                         verb(c.control.rises));
  }
}

std::string_view word_of(DelayChoice delays) {
  switch (delays) {
    case DelayChoice::unit: return "unit";
    case DelayChoice::min: return "min";
    case DelayChoice::typ: return "typical";
    case DelayChoice::max: break;
  }
  return "max";
}

// Rounded down: whole ticks are no longer than the limit exactly when they are no longer than that.
std::optional<std::int64_t> limit_in_ticks(Duration limit, TimeUnit tick) {
  for (Duration left = limit;; left.count -= 1) {
    if (const auto ticks = to_ticks(left, tick)) return static_cast<std::int64_t>(*ticks);
    if (left.count == 0 || (left.unit == TimeUnit::none) != (tick == TimeUnit::none) ||
        limit.count - left.count > 1000)
      return std::nullopt;
  }
}

}  // namespace

RequirementOutcome judge_times(const Requirement& demand, const Timing& timing, const std::string& cell) {
  const std::string hint =
      fmt::format("'settle timing --cell {} --delays {}' shows all figures", cell, word_of(timing.delays));
  const auto limit = limit_in_ticks(demand.limit, timing.unit);
  if (!limit) {
    return {
        Answer::broken,
        fmt::format("the limit {} cannot be compared with gates {}",
                    to_text(demand.limit.count, demand.limit.unit),
                    timing.unit == TimeUnit::none ? "whose delays have no unit" : "whose delays have a unit"),
        timing.unit == TimeUnit::none ? "write a bare number: units of gate delay" : "write a unit: ns"};
  }
  WorstRow worst;
  for (const TimedCell& part : timing.cells) {
    if (demand.kind == Requirement::Kind::delay) add_rows(demand, part.propagation, worst);
    for (const TimingConstraint& c : part.constraints) {
      if (!is_about(demand, c)) continue;
      if (c.right) take_row(worst, *c.right, words_of(c));
    }
  }
  if (demand.kind == Requirement::Kind::delay) add_rows(demand, timing.through, worst);
  if (worst.is_found && worst.ticks > *limit) {
    const std::string time =
        (worst.ticks < 0 ? "-" : "") + to_text(static_cast<Time>(std::abs(worst.ticks)), timing.unit);
    if (demand.kind == Requirement::Kind::delay)
      return {Answer::broken, fmt::format("{}: {}", worst.about, time), hint};
    return {Answer::broken, fmt::format("{} must be at least {}", worst.about, time), hint};
  }
  if (!timing.complete)
    return {Answer::unjudged, timing.incomplete_reason, "--limit-states N allows more work"};
  if (!worst.is_found) {
    const std::string what =
        demand.kind == Requirement::Kind::delay
            ? fmt::format("no change of {} was seen at {}", demand.from, demand.to)
        : demand.kind == Requirement::Kind::pulse
            ? fmt::format("no pulse of {} has a shortest length", demand.from)
            : fmt::format("{} and {} have no such times to observe", demand.from, demand.to);
    return {Answer::broken, what, hint};
  }
  return {Answer::holds, {}, {}};
}

}  // namespace settle
