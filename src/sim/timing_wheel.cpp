#include "sim/timing_wheel.h"

#include <algorithm>
#include <bit>
#include <cassert>

#include "sim/mix.h"

namespace settle {

namespace {

constexpr std::uint64_t base = 0x9e3779b97f4a7c15u;

// Inverse of an odd number modulo 2^64 (Newton: each step doubles the number of right bits).
constexpr std::uint64_t inverse_of(std::uint64_t odd) {
  std::uint64_t inverse = odd;
  for (int step = 0; step < 5; ++step) inverse *= 2 - odd * inverse;
  return inverse;
}
constexpr std::uint64_t inverse_base = inverse_of(base);
static_assert(base * inverse_base == 1);

constexpr std::uint64_t power(std::uint64_t of, std::uint64_t exponent) {
  std::uint64_t result = 1;
  for (; exponent != 0; exponent >>= 1, of *= of) {
    if (exponent & 1) result *= of;
  }
  return result;
}

}  // namespace

TimingWheel::TimingWheel(std::uint32_t gates, std::uint32_t slots)
    : mask_(std::bit_ceil(std::clamp(slots, 1u, most_slots)) - 1),
      youngest_(gates, no_id),
      slots_(mask_ + 1, no_id),
      occupied_((mask_ + 64) / 64, 0) {}

void TimingWheel::clear() {
  now_ = 0;
  size_ = 0;
  entries_.clear();
  free_ = no_id;
  std::fill(youngest_.begin(), youngest_.end(), no_id);
  std::fill(slots_.begin(), slots_.end(), no_id);
  std::fill(occupied_.begin(), occupied_.end(), 0);
  summary_ = 0;
  heap_.clear();
  sum_ = 0;
  power_ = inverse_power_ = 1;
}

Time TimingWheel::next() const {
  assert(size_ != 0);
  Time earliest = heap_.empty() ? end_of_time : entries_[heap_[0]].change.due;
  if (summary_ != 0) {
    // The first occupied slot after that of now, going round.
    const auto from = static_cast<std::uint32_t>((now_ + 1) & mask_);
    const auto word = from / 64;
    std::uint32_t slot;
    if (const auto bits = occupied_[word] >> (from % 64); bits != 0) {
      slot = from + static_cast<std::uint32_t>(std::countr_zero(bits));
    } else {
      const auto above = summary_ & ((~std::uint64_t{0} << word) << 1);
      const auto found = static_cast<std::uint32_t>(std::countr_zero(above != 0 ? above : summary_));
      slot = found * 64 + static_cast<std::uint32_t>(std::countr_zero(occupied_[found]));
    }
    earliest = std::min(earliest, entries_[slots_[slot]].change.due);
  }
  return earliest;
}

void TimingWheel::advance(Time time) {
  if (time == now_) return;
  power_ *= power(base, time - now_);
  inverse_power_ *= power(inverse_base, time - now_);
  now_ = time;
}

void TimingWheel::add(GateId gate, Drive drive, Time due) {
  assert(due > now_);
  std::uint32_t entry = free_;
  if (entry != no_id) {
    free_ = entries_[entry].next;
  } else {
    entry = static_cast<std::uint32_t>(entries_.size());
    entries_.emplace_back();
  }
  Entry& e = entries_[entry];
  e.change = {due, gate, drive};
  e.term =
      mix(gate * std::uint64_t{8} + static_cast<unsigned>(drive) + 1) * (power_ * power(base, due - now_));
  sum_ += e.term;
  e.older = youngest_[gate];
  youngest_[gate] = entry;
  ++size_;
  e.is_far = due - now_ > mask_;
  if (e.is_far) {
    heap_.push_back(entry);
    sift_up(heap_.size() - 1);
    return;
  }
  const auto slot = static_cast<std::uint32_t>(due & mask_);
  e.before = no_id;
  e.next = slots_[slot];
  if (e.next != no_id) entries_[e.next].before = entry;
  slots_[slot] = entry;
  occupied_[slot / 64] |= std::uint64_t{1} << (slot % 64);
  summary_ |= std::uint64_t{1} << (slot / 64);
}

const PendingChange* TimingWheel::youngest(GateId gate) const {
  const auto entry = youngest_[gate];
  return entry == no_id ? nullptr : &entries_[entry].change;
}

void TimingWheel::remove_youngest(GateId gate) {
  const auto entry = youngest_[gate];
  assert(entry != no_id);
  youngest_[gate] = entries_[entry].older;
  unlink(entry);
  release(entry);
}

void TimingWheel::take_due(std::vector<PendingChange>& due) {
  const auto take = [&](std::uint32_t entry) {
    const PendingChange change = entries_[entry].change;
    due.push_back(change);
    // What is due first is the oldest of its gate: the end of the chain.
    std::uint32_t* link = &youngest_[change.gate];
    while (*link != entry) link = &entries_[*link].older;
    *link = entries_[entry].older;
    unlink(entry);
    release(entry);
  };
  const auto slot = static_cast<std::uint32_t>(now_ & mask_);
  while (slots_[slot] != no_id) {
    assert(entries_[slots_[slot]].change.due == now_);
    take(slots_[slot]);
  }
  while (!heap_.empty() && entries_[heap_[0]].change.due == now_) take(heap_[0]);
}

std::vector<GateId> TimingWheel::gates() const {
  std::vector<GateId> gates;
  for (GateId gate = 0; gate < youngest_.size(); ++gate) {
    if (youngest_[gate] != no_id) gates.push_back(gate);
  }
  return gates;
}

bool TimingWheel::same(const TimingWheel& a, const TimingWheel& b) {
  if (a.size_ != b.size_ || a.youngest_.size() != b.youngest_.size()) return false;
  if (a.size_ == 0) return true;
  for (GateId gate = 0; gate < a.youngest_.size(); ++gate) {
    auto i = a.youngest_[gate], j = b.youngest_[gate];
    for (; i != no_id && j != no_id; i = a.entries_[i].older, j = b.entries_[j].older) {
      const PendingChange &p = a.entries_[i].change, &q = b.entries_[j].change;
      if (p.drive != q.drive || p.due - a.now_ != q.due - b.now_) return false;
    }
    if (i != j) return false;  // one chain is longer
  }
  return true;
}

std::size_t TimingWheel::bytes() const {
  return entries_.capacity() * sizeof(Entry) + heap_.capacity() * sizeof(std::uint32_t) +
         (youngest_.capacity() + slots_.capacity()) * sizeof(std::uint32_t) +
         occupied_.capacity() * sizeof(std::uint64_t);
}

void TimingWheel::unlink(std::uint32_t entry) {
  const Entry& e = entries_[entry];
  if (e.is_far) {
    const auto position = e.before;
    const auto last = heap_.back();
    heap_.pop_back();
    if (position < heap_.size()) {
      place_far(position, last);
      sift_up(position);
      sift_down(entries_[last].before);
    }
    return;
  }
  const auto slot = static_cast<std::uint32_t>(e.change.due & mask_);
  if (e.next != no_id) entries_[e.next].before = e.before;
  if (e.before != no_id) {
    entries_[e.before].next = e.next;
    return;
  }
  slots_[slot] = e.next;
  if (e.next == no_id) {
    occupied_[slot / 64] &= ~(std::uint64_t{1} << (slot % 64));
    if (occupied_[slot / 64] == 0) summary_ &= ~(std::uint64_t{1} << (slot / 64));
  }
}

void TimingWheel::release(std::uint32_t entry) {
  sum_ -= entries_[entry].term;
  entries_[entry].next = free_;
  free_ = entry;
  --size_;
}

void TimingWheel::place_far(std::size_t position, std::uint32_t entry) {
  heap_[position] = entry;
  entries_[entry].before = static_cast<std::uint32_t>(position);
}

void TimingWheel::sift_up(std::size_t position) {
  const auto entry = heap_[position];
  const Time due = entries_[entry].change.due;
  while (position != 0) {
    const auto parent = (position - 1) / 2;
    if (entries_[heap_[parent]].change.due <= due) break;
    place_far(position, heap_[parent]);
    position = parent;
  }
  place_far(position, entry);
}

void TimingWheel::sift_down(std::size_t position) {
  const auto entry = heap_[position];
  const Time due = entries_[entry].change.due;
  for (;;) {
    auto child = 2 * position + 1;
    if (child >= heap_.size()) break;
    if (child + 1 < heap_.size() &&
        entries_[heap_[child + 1]].change.due < entries_[heap_[child]].change.due) {
      ++child;
    }
    if (entries_[heap_[child]].change.due >= due) break;
    place_far(position, heap_[child]);
    position = child;
  }
  place_far(position, entry);
}

}  // namespace settle
