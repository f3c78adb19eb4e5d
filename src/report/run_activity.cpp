// What moved most in a run, for runs too long to look at tick by tick.
#include <algorithm>
#include <iterator>

#include <fmt/format.h>

#include "report/signal_view.h"
#include "settle/report.h"

namespace settle {

namespace {

struct SignalActivity {
  std::size_t shown = 0;  // index into Selection::shown
  std::uint64_t changes = 0;
  Time first = 0, last = 0;
};

SignalActivity activity_of(const report::Selection& selection, std::size_t shown) {
  SignalActivity activity{shown, 0, end_of_time, 0};
  for (const Signal* bit : selection.shown[shown].bits) {
    const auto first = report::first_change_after(*bit, selection.from);
    const auto end = report::first_change_after(*bit, selection.last);
    if (first == end) continue;
    activity.changes += end - first;
    activity.first = std::min(activity.first, bit->changes[first].time);
    activity.last = std::max(activity.last, bit->changes[end - 1].time);
  }
  return activity;
}

}  // namespace

std::string run_activity(const RunResult& result, std::size_t most, const WaveformView& view) {
  const report::Selection selection = report::select_signals(result.waveform, view);
  std::vector<SignalActivity> all;
  std::uint64_t total = 0;
  for (std::size_t shown = 0; shown < selection.shown.size(); ++shown) {
    const SignalActivity activity = activity_of(selection, shown);
    total += activity.changes;
    if (activity.changes != 0) all.push_back(activity);
  }
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.changes > b.changes; });
  std::string out = fmt::format("Activity, time {} to {}: {} change{}; {} of {} signals moved\n", selection.from,
                                to_text(selection.last, selection.unit), total, total == 1 ? "" : "s", all.size(),
                                selection.shown.size());
  if (all.empty()) return out;
  const auto to = std::back_inserter(out);
  fmt::format_to(to, "{:>10} {:>7} {:>10} {:>10}  {}\n", "changes", "share", "first", "last", "signal");
  for (std::size_t i = 0; i < std::min(all.size(), most); ++i) {
    const SignalActivity& activity = all[i];
    const std::uint64_t per_mille = activity.changes * 1000 / total;
    fmt::format_to(to, "{:>10} {:>4}.{}% {:>10} {:>10}  {}\n", activity.changes, per_mille / 10, per_mille % 10,
                   activity.first, activity.last, selection.shown[activity.shown].name);
  }
  if (all.size() > most) fmt::format_to(to, "{:>10} signals moved less\n", all.size() - most);
  return out;
}

}  // namespace settle
