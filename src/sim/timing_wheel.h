// Pending gate changes by time, for explicit delays.
//
// Idea: a change due within the next `slots` ticks hangs in the slot of its time modulo the number
// of slots, a later one lies in a heap. Since all changes in the slots are due in
// now < due < now + slots, one slot never mixes two times, and a change stays where it was put
// until it is taken or removed. A bitmap of the occupied slots, with a summary word above it, gives
// the next time in a few steps. Changes of one gate are chained, youngest first.
//
// Cost: constant for a change within the slots, logarithmic beyond. Sources: G. Varghese and
// T. Lauck, "Hashed and hierarchical timing wheels", SOSP 1987; E. Ulrich, "Exclusive simulation
// of activity in digital networks", Comm. ACM 12 (2), 1969 (from memory).
#pragma once

#include <cstdint>
#include <vector>

#include "settle/circuit.h"
#include "settle/time.h"

namespace settle {

struct PendingChange {
  Time due = 0;
  GateId gate = no_id;
  Drive drive = Drive::x;
};

class TimingWheel {
 public:
  static constexpr std::uint32_t most_slots = 4096;

  /// `slots` is rounded up to a power of two, at most most_slots.
  TimingWheel(std::uint32_t gates, std::uint32_t slots);

  void clear();
  Time now() const { return now_; }
  bool is_empty() const { return size_ == 0; }
  std::uint32_t slots() const { return mask_ + 1; }

  /// Earliest due time. REQUIRES: not empty.
  Time next() const;

  /// Goes on to a time without taking anything. REQUIRES: now() <= time <= next().
  void advance(Time time);

  /// Adds the youngest change of a gate. REQUIRES: due > now(), and later than the gate's others.
  void add(GateId gate, Drive drive, Time due);

  /// The youngest change of a gate, or nullptr; good until the next add or removal.
  const PendingChange* youngest(GateId gate) const;

  /// Removes the youngest change of a gate. REQUIRES: there is one.
  void remove_youngest(GateId gate);

  /// Removes all changes due at now() and appends them to `due`.
  void take_due(std::vector<PendingChange>& due);

  /// Gates with a change pending, ascending.
  std::vector<GateId> gates() const;

  /// Sum over the changes of mix(gate, drive) * B^(due - now) mod 2^64 for an odd B: depends on
  /// times relative to now() only, and is kept up to date at each change and each advance.
  std::uint64_t hash() const { return sum_ * inverse_power_; }

  /// The same changes, relative to the two times now.
  static bool same(const TimingWheel& a, const TimingWheel& b);

  std::size_t bytes() const;

 private:
  struct Entry {
    PendingChange change;
    std::uint64_t term = 0;        // its part of sum_
    std::uint32_t next = no_id;    // in the slot, or the free list
    std::uint32_t before = no_id;  // in the slot; in the heap: its position there
    std::uint32_t older = no_id;   // pending change of the same gate
    bool is_far = false;           // in the heap
  };

  void unlink(std::uint32_t entry);
  void release(std::uint32_t entry);
  void sift_up(std::size_t position);
  void sift_down(std::size_t position);
  void place_far(std::size_t position, std::uint32_t entry);

  Time now_ = 0;
  std::uint32_t mask_;
  std::size_t size_ = 0;
  std::vector<Entry> entries_;
  std::uint32_t free_ = no_id;
  std::vector<std::uint32_t> youngest_;          // by gate
  std::vector<std::uint32_t> slots_;             // first entry
  std::vector<std::uint64_t> occupied_;          // a bit a slot
  std::uint64_t summary_ = 0;                    // a bit a word of occupied_
  std::vector<std::uint32_t> heap_;              // far entries, least due first
  std::uint64_t sum_ = 0;                        // of mix * B^due
  std::uint64_t power_ = 1, inverse_power_ = 1;  // B^now and its inverse
};

}  // namespace settle
