// The timing wheel against a sorted map, with few slots so that wrap-around and the heap are used.
#include "sim/timing_wheel.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "support/catch.h"
#include "support/random.h"

namespace settle {
namespace {

using testing::Random;

TEST_CASE("slots are rounded up to a power of two within bounds") {
  CHECK(TimingWheel(1, 0).slots() == 1);
  CHECK(TimingWheel(1, 5).slots() == 8);
  CHECK(TimingWheel(1, 100000).slots() == TimingWheel::most_slots);
}

TEST_CASE("a wheel agrees with a map under random use") {
  for (const std::uint32_t slots : {1u, 2u, 4u, 64u, 128u, 4096u}) {
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
      Random random(seed * 7919 + slots);
      const std::uint32_t gates = 12, longest = random.pick(std::vector<std::uint32_t>{3, 40, 200, 9000});
      TimingWheel wheel(gates, slots);
      std::map<GateId, std::map<Time, Drive>> model;
      for (int step = 0; step < 400; ++step) {
        const GateId gate = random.below(gates);
        if (random.chance(60)) {
          const Time due = wheel.now() + random.between(1, longest);
          const auto drive = static_cast<Drive>(random.below(6));
          if (model[gate].empty() || model[gate].rbegin()->first < due) {
            wheel.add(gate, drive, due);
            model[gate][due] = drive;
          }
        } else if (random.chance(40)) {
          if (!model[gate].empty()) {
            wheel.remove_youngest(gate);
            model[gate].erase(std::prev(model[gate].end()));
          }
        } else if (!wheel.is_empty()) {
          const Time next = wheel.next();
          if (random.chance(30)) {  // only part of the way
            wheel.advance(wheel.now() + random.below(static_cast<std::uint32_t>(next - wheel.now())));
          } else {
            wheel.advance(next);
            std::vector<PendingChange> due;
            wheel.take_due(due);
            std::map<GateId, Drive> taken, wanted;
            for (const auto& change : due) taken[change.gate] = change.drive;
            REQUIRE(taken.size() == due.size());
            for (auto& [g, changes] : model) {
              if (!changes.empty() && changes.begin()->first == next) {
                wanted[g] = changes.begin()->second;
                changes.erase(changes.begin());
              }
            }
            REQUIRE(taken == wanted);
          }
        }
        Time earliest = end_of_time;
        for (const auto& [g, changes] : model) {
          if (!changes.empty()) earliest = std::min(earliest, changes.begin()->first);
          const auto* youngest = wheel.youngest(g);
          REQUIRE((youngest == nullptr) == changes.empty());
          if (youngest) {
            REQUIRE(youngest->due == changes.rbegin()->first);
            REQUIRE(youngest->drive == changes.rbegin()->second);
          }
        }
        REQUIRE(wheel.is_empty() == (earliest == end_of_time));
        if (!wheel.is_empty()) REQUIRE(wheel.next() == earliest);
      }
    }
  }
}

TEST_CASE("the hash and the comparison see times relative to now only") {
  TimingWheel a(3, 4), b(3, 64);
  a.add(0, Drive::one, 3);
  a.add(2, Drive::zero, 7);
  b.advance(1'000'003);
  b.add(2, Drive::zero, 1'000'010);
  b.add(0, Drive::x, 1'000'004);
  CHECK_FALSE(TimingWheel::same(a, b));
  CHECK(a.hash() != b.hash());
  b.remove_youngest(0);
  b.add(0, Drive::one, 1'000'006);
  CHECK(TimingWheel::same(a, b));
  CHECK(a.hash() == b.hash());
  a.advance(1);
  CHECK_FALSE(TimingWheel::same(a, b));
  CHECK(a.hash() != b.hash());
  b.advance(1'000'004);
  CHECK(TimingWheel::same(a, b));
  CHECK(a.hash() == b.hash());
}

TEST_CASE("a chain of two changes is not the same as one") {
  TimingWheel a(2, 4), b(2, 4);
  a.add(0, Drive::one, 1);
  a.add(0, Drive::zero, 2);
  b.add(0, Drive::zero, 2);
  b.add(1, Drive::one, 1);
  CHECK_FALSE(TimingWheel::same(a, b));
  CHECK(a.hash() != b.hash());
  CHECK(a.gates() == std::vector<GateId>{0});
  CHECK(b.gates() == std::vector<GateId>{0, 1});
}

}  // namespace
}  // namespace settle
