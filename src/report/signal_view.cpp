#include "report/signal_view.h"

#include <algorithm>

#include <fmt/format.h>

#include "settle/pattern.h"

namespace settle::report {

namespace {

bool matches_any(const std::vector<std::string>& patterns, std::string_view name) {
  return std::any_of(patterns.begin(), patterns.end(),
                     [&](const std::string& pattern) { return matches(pattern, name); });
}

}  // namespace

Selection select_signals(const Waveform& waveform, const WaveformView& view) {
  Selection selection;
  selection.unit = waveform.time_unit;
  selection.last = std::min(view.to, waveform.end);
  selection.from = std::min(view.from, selection.last);
  for (const SignalGroup& group : waveform.groups) {
    ShownSignal whole;
    whole.base = group.name;
    whole.name = group.is_bus ? fmt::format("{}[{}:{}]", group.name, group.msb, group.lsb) : group.name;
    whole.is_bus = group.is_bus;
    whole.msb = group.msb;
    whole.lsb = group.lsb;
    whole.role = group.role;
    if (view.patterns.empty() || matches_any(view.patterns, whole.base) ||
        matches_any(view.patterns, whole.name)) {
      for (const std::uint32_t index : group.bits) whole.bits.push_back(&waveform.signals[index]);
      selection.shown.push_back(std::move(whole));
      continue;
    }
    for (const std::uint32_t index : group.bits) {
      const Signal& signal = waveform.signals[index];
      if (!matches_any(view.patterns, signal.name)) continue;
      ShownSignal single;
      single.name = single.base = signal.name;
      single.role = group.role;
      single.bits = {&signal};
      selection.shown.push_back(std::move(single));
    }
  }
  return selection;
}

std::size_t first_change_after(const Signal& signal, Time time) {
  const auto it = std::upper_bound(signal.changes.begin(), signal.changes.end(), time,
                                   [](Time t, const Change& change) { return t < change.time; });
  return static_cast<std::size_t>(it - signal.changes.begin());
}

Value value_at(const Signal& signal, Time time) {
  const std::size_t next = first_change_after(signal, time);
  return next == 0 ? Value::x : signal.changes[next - 1].value;
}

std::string bits_at(const ShownSignal& signal, Time time) {
  std::string bits;
  bits.reserve(signal.bits.size());
  for (const Signal* bit : signal.bits) bits += to_char(value_at(*bit, time));
  return bits;
}

namespace {

bool earlier(const BitChange& a, const BitChange& b) { return a.time < b.time; }

}  // namespace

ChangeStream::ChangeStream(const Selection& selection) : last_(selection.last) {
  std::size_t changes = 0;
  for (std::uint32_t shown = 0; shown < selection.shown.size(); ++shown) {
    const auto& bits = selection.shown[shown].bits;
    for (std::uint32_t bit = 0; bit < bits.size(); ++bit) {
      lanes_.push_back({bits[bit], shown, bit, first_change_after(*bits[bit], selection.from)});
      changes += bits[bit]->changes.size();
    }
  }
  const std::size_t batch = std::max<std::size_t>(lanes_.size(), 65536);
  window_ = std::max<Time>(1, (selection.last - selection.from) / (changes / batch + 1) + 1);
  next_window_ = selection.from;
}

bool ChangeStream::fill() {
  batch_.clear();
  position_ = 0;
  while (batch_.empty() && !at_end_) {
    const Time start = next_window_;
    const Time stop = last_ - start < window_ ? last_ : start + (window_ - 1);  // inclusive
    for (Lane& lane : lanes_) {
      const auto& changes = lane.signal->changes;
      for (; lane.cursor < changes.size() && changes[lane.cursor].time <= stop; ++lane.cursor) {
        batch_.push_back({changes[lane.cursor].time, lane.shown, lane.bit, changes[lane.cursor].value});
      }
    }
    at_end_ = stop >= last_;
    if (!at_end_) next_window_ = stop + 1;
  }
  sort_batch();
  return !batch_.empty();
}

// Changes were put in by signal and bit, so that an order by time that leaves equals alone is enough:
// counted where there are about as many changes as ticks.
void ChangeStream::sort_batch() {
  if (batch_.empty()) return;
  const auto [least, most] = std::minmax_element(batch_.begin(), batch_.end(), earlier);
  const Time first = least->time, span = most->time - first;
  if (span > 4 * Time{batch_.size()}) {
    std::stable_sort(batch_.begin(), batch_.end(), earlier);
    return;
  }
  starts_.assign(static_cast<std::size_t>(span) + 2, 0);
  for (const BitChange& change : batch_) ++starts_[change.time - first + 1];
  for (std::size_t tick = 1; tick < starts_.size(); ++tick) starts_[tick] += starts_[tick - 1];
  sorted_.resize(batch_.size());
  for (const BitChange& change : batch_) sorted_[starts_[change.time - first]++] = change;
  batch_.swap(sorted_);
}

std::span<const BitChange> ChangeStream::next() {
  if (position_ == batch_.size() && !fill()) return {};
  const std::size_t begin = position_;
  while (position_ < batch_.size() && batch_[position_].time == batch_[begin].time) ++position_;
  return {batch_.data() + begin, position_ - begin};
}

}  // namespace settle::report
