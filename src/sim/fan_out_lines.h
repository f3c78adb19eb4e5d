// Who reads each net, in the form in which the event kernel goes through it.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include "settle/circuit.h"

namespace settle {

/// The readers of each net that can change. Immutable; copies of a kernel share it.
class FanOutLines {
 public:
  /// Up to two readers stand in the line itself; what is not used is one of `spare_gates` past the last
  /// gate, so that both can be visited without a branch. With more readers `second` is `several`; the
  /// circuit has them. With `long_line` readers or more it is `several` plus 1 plus the index of a
  /// long line, whose readers have a bit each.
  struct Line {
    std::uint32_t first = 0, second = 0;
  };
  static constexpr std::uint32_t several = std::uint32_t{1} << 31;
  static constexpr std::uint32_t spare_gates = 8;  // more than one, which would always be waited for
  static constexpr std::size_t long_line = 64;     // below, sleeping costs more than it saves

  explicit FanOutLines(const Circuit& circuit) : first_spare_(circuit.gate_count()) {
    lines_.resize(circuit.first_undriven());
    for (NetId net = 0; net < lines_.size(); ++net) {
      const auto readers = circuit.fan_out(net);
      const std::uint32_t spare = circuit.gate_count() + net % spare_gates;
      Line& line = lines_[net];
      line.first = readers.empty() ? spare : readers.front();
      line.second = readers.size() < 2 ? spare : readers.back();
      if (readers.size() > 2) line.second = several;
      if (readers.size() < long_line) continue;
      line.second += static_cast<std::uint32_t>(first_word_.size());
      first_word_.push_back(first_word_.back() + (readers.size() + 63) / 64);
      // Rounded up, so that it leads to the place itself where readers lie at equal distances.
      const std::uint64_t span = std::max(readers.back() - readers.front(), 1u);
      readers_a_gate_.push_back((((readers.size() - 1) << 32) + span - 1) / span);
    }
  }

  /// Tells each use of a spare gate: the net, the spare.
  template <class Use>
  void for_each_spare(Use use) const {
    for (NetId net = 0; net < lines_.size(); ++net) {
      const Line line = lines_[net];
      if (line.first >= first_spare_) use(net, line.first);
      if (line.second >= first_spare_ && line.second < several) use(net, line.second);
    }
  }

  const Line* lines() const { return lines_.data(); }
  bool is_long(NetId net) const { return net < lines_.size() && lines_[net].second > several; }
  /// Where the bits of a long net begin, in words.
  std::size_t first_word(Line line) const { return first_word_[line.second - several - 1]; }
  std::size_t first_word(NetId net) const { return first_word(lines_[net]); }
  /// Where a gate stands among the readers of a long net, which ascend: by their mean distance and a few
  /// steps, by bisection where they are spread too unevenly.
  std::size_t place_of(GateId gate, NetId net, std::span<const GateId> readers) const {
    const std::uint64_t slope = readers_a_gate_[lines_[net].second - several - 1];
    std::size_t at = ((gate - readers.front()) * slope) >> 32;
    for (int steps = 0; steps < 16; ++steps) {
      if (readers[at] == gate) return at;
      at = readers[at] < gate ? at + 1 : at - 1;
    }
    return static_cast<std::size_t>(std::lower_bound(readers.begin(), readers.end(), gate) - readers.begin());
  }
  std::size_t word_count() const { return first_word_.back(); }
  std::size_t bytes() const {
    return sizeof(*this) + lines_.capacity() * sizeof(Line) + (first_word_.capacity() + readers_a_gate_.capacity()) * sizeof(std::size_t);
  }

 private:
  GateId first_spare_;
  std::vector<Line> lines_;                 // by net
  std::vector<std::size_t> first_word_{0};  // by long line, and the end
  std::vector<std::uint64_t> readers_a_gate_;  // by long line: on average, times 2^32
};

}  // namespace settle
