// One piece of work for several threads: each takes the next part from a counter.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <system_error>
#include <thread>
#include <vector>

namespace settle {

/// Hands out 0, 1 ... count - 1, each once.
class WorkCounter {
 public:
  explicit WorkCounter(std::size_t count) : count_(count) {}
  /// False when nothing is left.
  bool take(std::size_t& i) {
    i = next_.fetch_add(1, std::memory_order_relaxed);
    return i < count_;
  }
  void end() { next_ = count_; }

 private:
  std::size_t count_;
  std::atomic<std::size_t> next_{0};
};

/// Calls `work(job, counter)` in up to `jobs` threads at once, job 0 in the calling one. The work takes its parts
/// from the counter until nothing is left; so where fewer threads are to be had those that are there do all of it.
/// What one of them throws ends the work and is thrown here, after all have ended.
template <class Work>
void run_workers(std::size_t jobs, std::size_t count, const Work& work) {
  jobs = std::max<std::size_t>(1, std::min(jobs, count));
  WorkCounter counter(count);
  std::vector<std::exception_ptr> failures(jobs);
  const auto guarded = [&](std::size_t job) {
    try {
      work(job, counter);
    } catch (...) {
      failures[job] = std::current_exception();
      counter.end();
    }
  };
  {
    std::vector<std::jthread> threads;
    threads.reserve(jobs - 1);
    try {
      for (std::size_t job = 1; job < jobs; ++job) threads.emplace_back(guarded, job);
    } catch (const std::system_error&) {
      // No more threads to be had.
    }
    guarded(0);
  }
  for (const std::exception_ptr& failure : failures) {
    if (failure) std::rethrow_exception(failure);
  }
}

}  // namespace settle
