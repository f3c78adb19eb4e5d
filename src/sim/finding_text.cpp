#include "sim/finding_text.h"

#include <algorithm>

#include <fmt/format.h>

namespace settle {
namespace {

std::string units(Time time, TimeUnit tick) {
  if (tick != TimeUnit::none) return to_text(time, tick);
  return time == 1 ? "1 unit" : fmt::format("{} units", time);
}

std::string one_cause(const Finding::Cause& cause) {
  if (cause.from == Value::zero && cause.to == Value::one) return cause.net + " rises";
  if (cause.from == Value::one && cause.to == Value::zero) return cause.net + " falls";
  return fmt::format("{} becomes {}", cause.net, to_char(cause.to));
}

}  // namespace

std::string cause_text(const std::vector<Finding::Cause>& causes) {
  if (causes.empty() || causes[0].net == "power-up") return "at power-up";
  std::string text;
  const std::size_t shown = std::min<std::size_t>(causes.size(), 4);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == shown && shown == causes.size() ? " and " : ", ";
    text += one_cause(causes[i]);
  }
  if (shown < causes.size()) text += fmt::format(" and {} more inputs change", causes.size() - shown);
  if (causes.size() > 1) text += " at the same time";
  return "when " + text;
}

std::string list_text(const std::vector<std::string>& names, std::size_t most) {
  std::string text;
  const std::size_t shown = names.size() > most ? most - 1 : names.size();
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  if (shown < names.size()) text += fmt::format(" and {} more", names.size() - shown);
  return text;
}

std::string outcomes_text(const Finding& finding, std::size_t most) {
  std::string text;
  const std::size_t shown = std::min(finding.outcomes.size(), most);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) text += i + 1 == finding.outcome_count ? " or " : ", ";
    const std::size_t nets = std::min<std::size_t>(finding.nets.size(), 6);
    for (std::size_t n = 0; n < nets; ++n) {
      text += fmt::format("{}{}={}", n > 0 ? " " : "", finding.nets[n], to_char(finding.outcomes[i][n]));
    }
    if (nets < finding.nets.size()) text += " ...";
  }
  if (shown < finding.outcome_count) text += fmt::format(" or {} other ways", finding.outcome_count - shown);
  return text;
}

std::string message_of(const Finding& f, TimeUnit tick, bool given_delays) {
  const std::string cause = cause_text(f.causes);
  const char* delays = given_delays ? "the given delays" : "equal gate delays";
  switch (f.kind) {
    case Finding::Kind::indeterminate:
      return fmt::format(
          "{}, {} race: with {} the circuit never settles (its state repeats every {}), with others it ends "
          "as {}; a real one may hang between them for a while (metastable)",
          cause, list_text(f.gates), delays, units(f.period.value_or(0), tick), outcomes_text(f));
    case Finding::Kind::oscillation: {
      const char* verb = f.nets.size() == 1 ? "never settles" : "never settle";
      if (!f.period) return fmt::format("{}, {} {}: no stable state can be reached", cause, list_text(f.nets), verb);
      return fmt::format("{}, {} {}: no stable state can be reached whatever the gate delays; with {} the state "
                         "repeats every {}",
                         cause, list_text(f.nets), verb, delays, units(*f.period, tick));
    }
    case Finding::Kind::delay_dependent:
      if (f.outcome_count == 0) return fmt::format("{}, {} race", cause, list_text(f.gates));
      return fmt::format("{}, {} race: {} settle it, but with others it could {}", cause, list_text(f.gates), delays,
                         f.outcome_count > 1 ? "end as " + outcomes_text(f)
                                             : "go on changing for a while before it does");
    case Finding::Kind::unsettled_change:
      return fmt::format("{} while {} had not settled yet: the result depends on how far the gates have come",
                         cause, list_text(f.nets));
    case Finding::Kind::skew:
      return fmt::format("{}, the result depends on which of them reaches the gates first", cause);
    case Finding::Kind::unjudged:
      return fmt::format("{}, more states can be reached than the limits allow to look at, so this step has "
                         "no verdict; --limit-states and --limit-memory raise the limits",
                         cause);
    case Finding::Kind::contention:
      return fmt::format("{} is driven to 0 and to 1 at the same time by {}: current flows from one output into "
                         "the other",
                         list_text(f.nets), list_text(f.gates));
    case Finding::Kind::not_settled:
      return fmt::format("not settled within {} {}: {} still changing; --limit-time allows more",
                         units(f.period.value_or(0), tick), cause, list_text(f.gates));
    case Finding::Kind::hazard: return fmt::format("{}, {} may glitch", cause, list_text(f.nets));
  }
  return {};
}

}  // namespace settle
