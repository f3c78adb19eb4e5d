#include "sim/workers.h"

#include <atomic>
#include <new>

#include "support/catch.h"

using namespace settle;

TEST_CASE("Workers do each part once, and each worker counts for itself") {
  for (const std::size_t jobs : {0u, 1u, 3u, 64u}) {
    for (const std::size_t count : {0u, 1u, 2u, 500u}) {
      std::vector<std::atomic<int>> times(count);
      std::vector<std::size_t> by_job(64);
      run_workers(jobs, count, [&](std::size_t job, WorkCounter& counter) {
        for (std::size_t i = 0; counter.take(i); ++by_job[job]) ++times[i];
      });
      CAPTURE(jobs, count);
      CHECK(std::all_of(times.begin(), times.end(), [](const std::atomic<int>& n) { return n == 1; }));
      std::size_t sum = 0;
      for (const std::size_t n : by_job) sum += n;
      CHECK(sum == count);
    }
  }
}

TEST_CASE("What a worker throws ends the work of all and reaches the caller") {
  for (const std::size_t jobs : {1u, 4u}) {
    CAPTURE(jobs);
    std::atomic<std::size_t> done{0};
    bool caught = false;
    try {
      run_workers(jobs, std::size_t{1} << 40, [&](std::size_t, WorkCounter& counter) {
        for (std::size_t i = 0; counter.take(i); ++done) {
          if (i == 100) throw std::bad_alloc();
        }
      });
    } catch (const std::bad_alloc&) {
      caught = true;
    }
    CHECK(caught);
    CHECK(done >= (jobs == 1 ? 100u : 0u));
  }
}
