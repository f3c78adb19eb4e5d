// The merged changes of many signals against all of them sorted.
#include <algorithm>
#include <tuple>

#include "report/signal_view.h"
#include "support/catch.h"
#include "support/random.h"

namespace settle {
namespace {

using report::BitChange;

Waveform random_waveform(testing::Random& random, std::uint32_t signals, std::uint32_t changes,
                         std::uint32_t longest_gap) {
  Waveform wave;
  for (std::uint32_t i = 0; i < signals; ++i) {
    Signal signal{"n", i, {{0, Value::x}}};
    for (std::uint32_t c = random.below(changes); c > 0; --c) {
      const Change last = signal.changes.back();
      signal.changes.push_back(
          {last.time + random.between(1, longest_gap),
           static_cast<Value>((static_cast<unsigned>(last.value) + random.between(1, 3)) % 4)});
    }
    wave.end = std::max(wave.end, signal.changes.back().time);
    wave.signals.push_back(std::move(signal));
    SignalGroup group;
    group.name = "n";
    group.bits = {i};
    wave.groups.push_back(group);
  }
  return wave;
}

void compare(const Waveform& wave, Time from, Time to) {
  WaveformView view;
  view.from = from;
  view.to = to;
  const report::Selection selection = report::select_signals(wave, view);
  std::vector<std::tuple<Time, std::uint32_t, Value>> want, got;
  for (std::uint32_t i = 0; i < wave.signals.size(); ++i) {
    for (const Change& change : wave.signals[i].changes) {
      if (change.time > selection.from && change.time <= selection.last)
        want.emplace_back(change.time, i, change.value);
    }
  }
  std::sort(want.begin(), want.end());
  report::ChangeStream stream(selection);
  for (auto changes = stream.next(); !changes.empty(); changes = stream.next()) {
    REQUIRE((got.empty() || changes.front().time > std::get<0>(got.back())));
    for (const BitChange& change : changes) {
      REQUIRE(change.time == changes.front().time);
      got.emplace_back(change.time, change.shown, change.value);
    }
  }
  CHECK(got == want);
}

TEST_CASE("changes come by time, those of one time by signal") {
  testing::Random random(7);
  // Few ticks for many changes, several windows of them, and changes that lie far apart.
  for (const auto& [signals, changes, gap] :
       {std::tuple{5u, 40u, 2u}, {3u, 120'000u, 2u}, {40u, 9'000u, 1'000'000u}}) {
    const Waveform wave = random_waveform(random, signals, changes, gap);
    CAPTURE(signals, changes, gap);
    compare(wave, 0, end_of_time);
    compare(wave, wave.end / 3, wave.end / 2);
  }
}

}  // namespace
}  // namespace settle
