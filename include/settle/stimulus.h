// The syntax tree of stimuli: statements as written, names not yet looked up.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "settle/diagnostic.h"
#include "settle/source.h"
#include "settle/time.h"
#include "settle/value.h"

namespace settle {

/// A value as written for one net or bus. `bits` holds 0 1 x z, most significant first.
/// Numbers in decimal and hexadecimal have `is_number`; they are fitted to the width of the bus
/// when it is known (a number with more significant bits is an error). 0b... with fewer digits
/// than the bus is filled with 0. A lone 0 1 x z on a bus means every bit for x and z, and the
/// number for 0 and 1.
struct ValueLiteral {
  std::string bits;
  bool is_number = false;
  bool fills = false;              ///< a lone x or z: every bit of a bus (0bx sets the last only)
  std::uint32_t offset = 0, length = 0;
};

/// The value on `width` nets, one character 0 1 x z each, most significant first: filled in front
/// with 0 (all bits alike when it `fills`). Nothing when a bit other than 0 does not fit.
std::optional<std::string> fitted(const ValueLiteral& value, std::uint32_t width);

/// Bits that the value needs: without leading zeros, at least 1.
std::uint32_t significant_bits(const ValueLiteral& value);

/// The words of `expect warning`, in the order of Finding::Kind.
inline constexpr std::array<std::string_view, 9> warning_words = {
    "delay-dependent",  "indeterminate", "oscillation", "hazard", "contention",
    "unsettled-change", "not-settled",   "unjudged",    "skew"};

/// `net=value`, `net[3]=value` or `net[7:4]=value`.
struct Assignment {
  std::string net;                 ///< as written, with its select
  ValueLiteral value;
  std::uint32_t offset = 0, length = 0;  ///< of the net
};

struct StimulusStatement {
  enum class Kind : std::uint8_t {
    set,             ///< assignments
    wait,            ///< duration
    settle,
    expect,          ///< assignments hold now
    expect_for,      ///< assignments hold now and through duration; time advances by it
    expect_changes,  ///< net, count, since
    expect_warning,  ///< word: the kind of warning
    expect_time,     ///< word: delay, setup or hold; between `net` and `other_net`, against `duration`
    pulse,           ///< assignments for duration, then the values before; time advances by it
    repeat,          ///< count, statements up to body_end
    clock,           ///< net, period, high, until: background drive
    bounce,          ///< one assignment, count = edges, duration = within, seed; time advances by it
    at,              ///< duration: go on to this absolute time
    observe,         ///< assignments were seen on the board: data for diagnose, which a run passes over
  };
  Kind kind = Kind::set;
  std::uint32_t offset = 0, length = 0;      ///< of the first word
  std::vector<Assignment> assignments;
  std::string net;                           ///< expect_changes, expect_time, clock
  std::uint32_t net_offset = 0, net_length = 0;
  std::string other_net;                     ///< expect_time: the output, or what is set up and held against
  std::uint32_t other_offset = 0, other_length = 0;
  std::optional<bool> other_rises;           ///< expect_time: counts only changes of it to 1, or to 0
  std::string word;
  std::uint32_t word_offset = 0;
  std::uint64_t count = 0;
  std::uint64_t seed = 1;
  Duration duration, period, high, until, since;  ///< a bare `wait` has Stimulus::unit
  /// Of the times as written, for messages; that of a bare `wait` is the word `wait`.
  std::uint32_t duration_offset = 0, period_offset = 0, high_offset = 0, until_offset = 0, since_offset = 0;
  bool has_until = false;
  std::uint32_t body_end = 0;                ///< repeat (count >= 1): index after the last statement of its body
};

/// How the circuit starts (`power-up ...`).
struct PowerUp {
  enum class Kind : std::uint8_t { unknown, chosen, random, every };
  Kind kind = Kind::unknown;
  std::uint64_t seed = 1;
  std::vector<Assignment> values;
  std::uint32_t offset = 0;
};

struct Stimulus {
  std::uint32_t file = Place::none;
  std::string cell;                          ///< `cell NAME`, or empty
  std::uint32_t cell_offset = 0;
  std::string netlist;                       ///< `netlist "FILE"`, or empty
  std::uint32_t netlist_offset = 0;
  PowerUp power_up;
  Duration unit{1, TimeUnit::none};          ///< length of a bare `wait`
  std::uint32_t unit_offset = 0;
  TimeUnit finest_unit = TimeUnit::none;     ///< finest unit written anywhere
  std::vector<StimulusStatement> statements; ///< repeat bodies in place, see body_end
};

/// Reads a stimulus; errors go to `diagnostics`.
Stimulus parse_stimulus(const std::string& path, FileReader& files, Sources& sources,
                        Diagnostics& diagnostics);

}  // namespace settle
