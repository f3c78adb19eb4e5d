// Background drive: clocks that go on while the stimulus does other things.
#pragma once

#include <algorithm>
#include <optional>
#include <vector>

#include "settle/kernel.h"
#include "sim/bound_stimulus.h"

namespace settle {

class BackgroundDrive {
 public:
  /// A clock that is low from `now` on, rises after period - high, and then stays high for `high`
  /// in each period; no change at or after `until`. A new clock on a net replaces the old one.
  void add_clock(const BoundStatement& statement, Time now) {
    std::erase_if(clocks_, [&](const Clock& c) { return c.net == statement.net; });
    clocks_.push_back({statement.net, statement.period - statement.high, statement.high, statement.until,
                       after(now, statement.period - statement.high), Value::one});
  }

  /// Time of the next change, or nothing.
  std::optional<Time> next_time() const {
    std::optional<Time> next;
    for (const Clock& c : clocks_) {
      if (c.next < c.until && (!next || c.next < *next)) next = c.next;
    }
    return next;
  }

  /// Calls `set(net, value)` for each change due at `now`, and plans the following ones.
  template <typename Set>
  void run(Time now, Set set) {
    for (Clock& c : clocks_) {
      if (c.next != now || c.next >= c.until) continue;
      set(c.net, c.value);
      c.next = after(now, c.value == Value::one ? c.high : c.low);
      c.value = inverted(c.value);
    }
  }

 private:
  struct Clock {
    NetId net;
    Time low, high, until, next;
    Value value;  // to be set at `next`
  };
  static Time after(Time now, Time by) { return by > end_of_time - now ? end_of_time : now + by; }
  std::vector<Clock> clocks_;
};

}  // namespace settle
