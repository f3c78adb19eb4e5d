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

constexpr std::size_t least_batch = 65536, most_batch = std::size_t{1} << 22, changes_a_lane = 32;
constexpr std::size_t most_lanes = std::size_t{1} << 30;  // numbered in 30 bits

// Asks for the changes that a window takes of a lane: they lie apart from those before.
inline void prefetch([[maybe_unused]] const Change* changes) {
#if defined(__GNUC__)
  constexpr std::uintptr_t line = 64, lines = changes_a_lane * sizeof(Change) / line;
  const auto from = reinterpret_cast<std::uintptr_t>(changes);
  for (std::uintptr_t i = 0; i < lines; ++i) __builtin_prefetch(reinterpret_cast<const void*>(from + i * line));
#endif
}

}  // namespace

ChangeStream::ChangeStream(const Selection& selection) : last_(selection.last) {
  std::size_t changes = 0;
  for (std::uint32_t shown = 0; shown < selection.shown.size(); ++shown) {
    const auto& bits = selection.shown[shown].bits;
    for (std::uint32_t bit = 0; bit < bits.size(); ++bit) {
      const Change* const all = bits[bit]->changes.data();
      lanes_.push_back({all + first_change_after(*bits[bit], selection.from), all + bits[bit]->changes.size(), shown, bit});
      changes += bits[bit]->changes.size();
    }
  }
  const std::size_t batch =
      std::max(lanes_.size(), std::min(std::max(least_batch, changes_a_lane * lanes_.size()), most_batch));
  window_ = std::max<Time>(1, (selection.last - selection.from) / (changes / batch + 1) + 1);
  next_window_ = selection.from;
}

// Changes are met by signal and bit, so that an order by time that leaves equals alone is enough:
// counted where there are about as many changes as ticks. False at the end.
bool ChangeStream::next_window() {
  if (at_end_) return false;
  const Time start = next_window_;
  const Time stop = last_ - start < window_ ? last_ : start + (window_ - 1);  // inclusive
  batch_.clear();
  ends_.clear();
  position_ = tick_ = 0;
  if (stop - start < 4 * std::max(lanes_.size(), least_batch) && lanes_.size() < most_lanes) {
    count_out(start, stop);
  } else {
    gather(stop);
    std::stable_sort(batch_.begin(), batch_.end(), earlier);
  }
  at_end_ = stop >= last_;
  if (!at_end_) next_window_ = stop + 1;
  return true;
}

void ChangeStream::gather(Time stop) {
  for (Lane& lane : lanes_) {
    for (; lane.next != lane.end && lane.next->time <= stop; ++lane.next) {
      batch_.push_back({lane.next->time, lane.shown, lane.bit, lane.next->value});
    }
  }
}

void ChangeStream::count_out(Time start, Time stop) {
  window_start_ = start;
  ends_.assign(static_cast<std::size_t>(stop - start) + 2, 0);
  found_.clear();
  for (std::uint32_t number = 0; number < lanes_.size(); ++number) {
    Lane lane = lanes_[number];
    if (number + 2 < lanes_.size()) prefetch(lanes_[number + 2].next);
    for (; lane.next != lane.end && lane.next->time <= stop; ++lane.next) {
      const auto tick = static_cast<std::uint32_t>(lane.next->time - start);
      ++ends_[tick + 1];
      found_.push_back({tick, number << 2 | static_cast<std::uint32_t>(lane.next->value)});
    }
    lanes_[number].next = lane.next;
  }
  for (std::size_t tick = 1; tick < ends_.size(); ++tick) ends_[tick] += ends_[tick - 1];
  counted_.resize(found_.size());
  for (const Short& found : found_) counted_[ends_[found.tick]++] = found.change;
  ends_.pop_back();  // each start has become an end
}

std::span<const BitChange> ChangeStream::next() {
  for (;;) {
    if (tick_ < ends_.size()) {
      const std::size_t begin = tick_ == 0 ? 0 : ends_[tick_ - 1], end = ends_[tick_];
      const Time time = window_start_ + tick_++;
      if (begin == end) continue;
      batch_.resize(end - begin);
      for (std::size_t i = begin; i < end; ++i) {
        const Lane& lane = lanes_[counted_[i] >> 2];
        batch_[i - begin] = {time, lane.shown, lane.bit, static_cast<Value>(counted_[i] & 3)};
      }
      return batch_;
    }
    if (ends_.empty() && position_ < batch_.size()) {
      const std::size_t begin = position_;
      while (position_ < batch_.size() && batch_[position_].time == batch_[begin].time) ++position_;
      return {batch_.data() + begin, position_ - begin};
    }
    if (!next_window()) return {};
  }
}

}  // namespace settle::report
