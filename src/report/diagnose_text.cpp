// The likeliest faults, why, what to do, and what to look at next.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "report/states_parts.h"
#include "settle/diagnose_report.h"
#include "text/visible_text.h"

namespace settle {
namespace {

constexpr std::size_t most_alike = 6;     // faults of a group that are listed
constexpr std::uint32_t no_fault = 0;     // in every model
constexpr std::size_t most_observed = 8;  // contradicted observations

std::string where_text(const Place& place, const Sources& sources) {
  if (!place.exists()) return {};
  const auto at = sources.locate(place);
  return fmt::format("{}:{}: ", visible_text(sources.path(place.file)), at.line);
}

/// The faults of a group, each sentence once with all that it may assume.
struct Alike {
  const Fault* fault;
  std::vector<std::string> assumed;
};
std::vector<Alike> by_sentence(const FaultGroup& group, const FaultModel& model) {
  std::vector<Alike> list;
  for (const std::uint32_t f : group.faults) {
    const Fault& fault = model.faults[f];
    auto at = std::find_if(list.begin(), list.end(), [&](const Alike& a) { return a.fault->what == fault.what; });
    if (at == list.end()) at = list.insert(list.end(), {&fault, {}});
    if (!fault.assumed.empty()) at->assumed.push_back(fault.assumed);
  }
  return list;
}

std::string sentence(const Alike& alike) {
  if (alike.assumed.empty()) return alike.fault->what;
  return fmt::format("{}; {}", alike.fault->what, fmt::join(alike.assumed, ", or "));
}

void list_group(std::string& text, std::size_t number, const FaultGroup& group, const FaultSession& session) {
  const auto list = by_sentence(group, session.model());
  text += fmt::format("{}. {}\n", number, sentence(list[0]));
  if (!list[0].fault->remedy.empty()) text += fmt::format("   to do: {}\n", list[0].fault->remedy);
  if (list.size() == 1) return;
  text += "   the same would come of:\n";
  for (std::size_t i = 1; i < std::min(list.size(), most_alike + 1); ++i) text += fmt::format("   - {}\n", sentence(list[i]));
  if (list.size() > most_alike + 1) text += fmt::format("   - and {} more\n", list.size() - most_alike - 1);
}

/// How many faults explain what was seen. `count`: without `no_fault`, which explains it when `may_be_right`.
std::string headline(std::uint64_t count, bool may_be_right, const FaultSession& session, const Outlook& outlook) {
  const std::uint32_t misses = session.misses(outlook.groups[0].faults[0]);
  const std::string how =
      misses == 0 ? " exactly" : fmt::format(", {} as a level that may be either", report::counted(misses, "observation"));
  const std::string all = report::counted(session.model().faults.size() - 1, "single fault");
  if (may_be_right && count == 0) return fmt::format("The board may be right: none of {} explains this{}.\n\n", all, how);
  return fmt::format("{}{} of {} explain{} this{}, in {}{}:\n\n", may_be_right ? "The board may be right, but " : "", count, all,
                     count == 1 ? "s" : "", how, report::counted(outlook.groups.size(), "group"),
                     outlook.groups.size() == 1 ? " that nothing tells apart" : "");
}

}  // namespace

std::string look_text(const NextLook& look, const FaultSession& session, const Circuit& circuit) {
  std::vector<Value> inputs = session.steps().empty() ? std::vector<Value>(circuit.input_count(), Value::x) : session.steps().back();
  std::string text;
  for (const auto& next : look.inputs) {
    std::string changes;
    for (std::uint32_t i = 0; i < next.size(); ++i) {
      if (inputs[i] != next[i]) changes += fmt::format(" {}={}", circuit.net_name(i), to_char(next[i]));
    }
    inputs = next;
    if (changes.empty()) continue;  // nothing to do
    text += fmt::format("{}set{}", text.empty() ? "" : "; ", changes);
  }
  const FaultPlace& place = session.model().places[look.place];
  return fmt::format("{}{}look at {}", text, text.empty() ? "" : "; then ", place.name);
}

std::string diagnose_text(const FaultSession& session, const Outlook& outlook, const Circuit& circuit, const Sources& sources,
                          const DiagnosisFrame& frame, const TextStyle& style) {
  const FaultModel& model = session.model();
  std::string text;
  std::uint64_t against = 0;
  for (const Observation& o : session.observations()) against += is_binary(o.value) && is_binary(o.intended) && o.value != o.intended;
  if (!style.quiet) {
    text += fmt::format("{}: {}, of which the intended circuit contradicts {}\n", frame.name,
                        report::counted(session.observations().size(), "observation"), against);
    std::size_t shown = 0;
    for (const Observation& o : session.observations()) {
      if (!is_binary(o.value) || !is_binary(o.intended) || o.value == o.intended) continue;
      if (++shown > most_observed) {
        text += fmt::format("  and {} more\n", against - most_observed);
        break;
      }
      text += fmt::format("  {}{} is {}, meant to be {}\n", where_text(o.source, sources), model.places[o.place].name, to_char(o.value),
                          to_char(o.intended));
    }
    if (frame.wired_here) text += "The chips are those of 'settle wire'.\n";
    if (!frame.has_chips) text += "No chips are known, so faults of gates, nets and buttons only.\n";
    text += '\n';
  }
  const std::uint64_t faults = model.faults.size() - 1;
  if (outlook.groups.empty()) {
    return text + fmt::format("None of {} explains all that was seen. There may be two faults at once, or a value was read wrong:\n"
                              "look again at what the list above shows, then take away observations one by one.\n",
                              report::counted(faults, "single fault"));
  }
  std::uint64_t leading = 0;
  bool may_be_right = false;  // no fault at all is among them
  for (const FaultGroup& group : outlook.groups) {
    leading += group.faults.size();
    may_be_right = may_be_right || std::find(group.faults.begin(), group.faults.end(), no_fault) != group.faults.end();
  }
  text += headline(leading - (may_be_right ? 1 : 0), may_be_right, session, outlook);
  const std::size_t shown = frame.most_groups == 0 ? outlook.groups.size() : std::min(frame.most_groups, outlook.groups.size());
  for (std::size_t i = 0; i < shown; ++i) list_group(text, i + 1, outlook.groups[i], session);
  if (shown < outlook.groups.size()) {
    text += fmt::format("   ... and {} (--groups 0 shows all)\n", report::counted(outlook.groups.size() - shown, "more group"));
  }
  if (const std::uint64_t others = session.possible() - leading; others != 0) {
    const bool or_right = !may_be_right && session.is_possible(no_fault);
    text += fmt::format("\n{} more{} cannot be ruled out, since their levels are unknown.\n", others,
                        or_right ? ", no fault among them," : "");
  }
  if (outlook.next) {
    const NextLook& next = *outlook.next;
    text += fmt::format("\nNext: {}\n", look_text(next, session, circuit));
    const auto answer = [&](std::string_view value, std::uint32_t count) {
      if (count != 0) text += fmt::format("  {:<15} leaves {}\n", value, report::counted(count, may_be_right ? "explanation" : "fault"));
    };
    answer("0", next.zeros);
    answer("1", next.ones);
    answer("no clear level", next.unknown);
  }
  if (!model.complete) text += "\nNot all faults were tried: --max-faults allows more.\n";
  return text;
}

}  // namespace settle
