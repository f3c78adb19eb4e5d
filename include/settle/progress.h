// How far long work is: written by whoever works, read by another thread that shows it.
#pragma once

#include <atomic>
#include <cstdint>

namespace settle {

/// All fields are independent counters, so a reader may see them a moment apart. Writers touch them
/// every thousand events or so; they may be several threads.
class Progress {
 public:
  /// A new stage of the work. `what` ("judging steps") and `unit` ("steps") must live on, as string
  /// literals do. `total`: of the done things, 0 when it is not known.
  void start(const char* what, const char* unit, std::uint64_t total) {
    done_.store(0, std::memory_order_relaxed);
    count_.store(0, std::memory_order_relaxed);
    total_.store(total, std::memory_order_relaxed);
    unit_.store(unit, std::memory_order_relaxed);
    what_.store(what, std::memory_order_release);
  }
  /// `n` units more are done, of the total and of the count.
  void advance(std::uint64_t n = 1) {
    done_.fetch_add(n, std::memory_order_relaxed);
    count_.fetch_add(n, std::memory_order_relaxed);
  }
  /// For work whose share done is measured in other things than its unit; one writer.
  void set(std::uint64_t done, std::uint64_t count) {
    done_.store(done, std::memory_order_relaxed);
    count_.store(count, std::memory_order_relaxed);
  }

  const char* what() const { return what_.load(std::memory_order_acquire); }  ///< null: nothing started
  const char* unit() const { return unit_.load(std::memory_order_relaxed); }
  std::uint64_t count() const { return count_.load(std::memory_order_relaxed); }  ///< in units
  std::uint64_t done() const { return done_.load(std::memory_order_relaxed); }    ///< of total()
  std::uint64_t total() const { return total_.load(std::memory_order_relaxed); }

 private:
  std::atomic<const char*> what_{nullptr};
  std::atomic<const char*> unit_{nullptr};
  std::atomic<std::uint64_t> count_{0};
  std::atomic<std::uint64_t> done_{0};
  std::atomic<std::uint64_t> total_{0};
};

/// May be absent; then nothing is told.
inline void start_progress(Progress* progress, const char* what, const char* unit, std::uint64_t total) {
  if (progress != nullptr) progress->start(what, unit, total);
}
inline void advance_progress(Progress* progress, std::uint64_t n = 1) {
  if (progress != nullptr) progress->advance(n);
}

/// The flag that asks work to end early, if there is one and it is set.
inline bool is_set(const std::atomic<bool>* stop) {
  return stop != nullptr && stop->load(std::memory_order_relaxed);
}

}  // namespace settle
