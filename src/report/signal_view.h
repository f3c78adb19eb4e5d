// Which signals of a run are shown, under which names, and their changes in order of time.
// Shared by all output forms, so that they agree on what is shown.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "settle/report.h"

namespace settle::report {

/// One line of a diagram: a net, or a bus with its bits, msb first.
struct ShownSignal {
  std::string name;  ///< "enter", "route[7:0]"
  std::string base;  ///< "enter", "route": the name without the range of a bus
  bool is_bus = false;
  std::uint32_t msb = 0, lsb = 0;
  SignalGroup::Role role = SignalGroup::Role::inner;
  std::vector<const Signal*> bits;
};

/// Points into the waveform that it was made from.
struct Selection {
  std::vector<ShownSignal> shown;
  Time from = 0, last = 0;  ///< both inclusive, from <= last
  TimeUnit unit = TimeUnit::none;
};

/// Applies a view. A pattern that matches a bus by its name, with or without range, shows the
/// bus; one that matches only some bits shows these bits one by one.
Selection select_signals(const Waveform& waveform, const WaveformView& view);

/// Index of the first change after `time`.
std::size_t first_change_after(const Signal& signal, Time time);

/// The value at `time`; x before the first change.
Value value_at(const Signal& signal, Time time);

/// The bits of a shown signal at `time`, one character each, msb first.
std::string bits_at(const ShownSignal& signal, Time time);

struct BitChange {
  Time time = 0;
  std::uint32_t shown = 0;  ///< index into Selection::shown
  std::uint32_t bit = 0;    ///< index into ShownSignal::bits
  Value value = Value::x;
};

/// Merges the changes of all shown signals by time: those after Selection::from, up to last.
/// Changes are sorted in batches, windows of time that hold some 32 changes a signal, so memory
/// does not grow with the length of the run and the cost is nearly linear. Each list of changes is
/// read once, since that has to wait for memory; sorted is what was noted of it in a few bytes.
class ChangeStream {
 public:
  explicit ChangeStream(const Selection& selection);
  /// All changes at the next time, by shown signal and bit; empty at the end. Good until the
  /// next call.
  std::span<const BitChange> next();

 private:
  struct Lane {
    const Change* next;
    const Change* end;
    std::uint32_t shown, bit;
  };
  bool next_window();
  void gather(Time stop);
  void count_out(Time start, Time stop);
  std::vector<Lane> lanes_;
  std::vector<BitChange> batch_;       // what next() gives, or sparse windows as a whole
  std::size_t position_ = 0;           // in batch_
  struct Short {
    std::uint32_t tick, change;        // change: lane * 4 + value
  };
  std::vector<Short> found_;           // dense windows: by lane
  std::vector<std::uint32_t> counted_; // the same by tick: changes
  std::vector<std::uint32_t> ends_;    // of each tick in counted_
  std::size_t tick_ = 0;               // the next one of ends_
  Time window_start_ = 0;
  Time next_window_ = 0, window_ = 1, last_ = 0;
  bool at_end_ = false;
};

}  // namespace settle::report
