// What a run leaves behind: value changes of the recorded nets.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle {

struct Change {
  Time time = 0;
  Value value = Value::x;
  bool operator==(const Change&) const = default;
};

/// One recorded net. changes[0] is at time 0; times ascend strictly, neighbouring values differ.
struct Signal {
  std::string name;
  NetId net = no_id;
  std::vector<Change> changes;
  /// The value at a time; x before the first change.
  Value at(Time time) const;
};

/// Signals to be shown as one: the bits of a bus, msb first, as indices into Waveform::signals;
/// a single net is a group of one.
struct SignalGroup {
  enum class Role : std::uint8_t { input, output, inner };
  std::string name;                      ///< "route" for route[7]..route[0]
  std::uint32_t msb = 0, lsb = 0;
  bool is_bus = false;
  Role role = Role::inner;
  std::vector<std::uint32_t> bits;
};

struct Waveform {
  TimeUnit time_unit = TimeUnit::none;
  Time end = 0;
  std::vector<Signal> signals;           ///< inputs, then outputs, then inner nets
  std::vector<SignalGroup> groups;       ///< all signals, in the same order
};

}  // namespace settle
