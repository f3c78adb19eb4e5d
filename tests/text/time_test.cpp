#include "settle/time.h"

#include "settle/gate_kind.h"
#include "support/catch.h"

using namespace settle;

TEST_CASE("durations become ticks only when they come out whole") {
  CHECK(to_ticks({5, TimeUnit::none}, TimeUnit::none) == Time{5});
  CHECK(to_ticks({5, TimeUnit::none}, TimeUnit::ns) == Time{5});
  CHECK(to_ticks({5, TimeUnit::us}, TimeUnit::ns) == Time{5000});
  CHECK(to_ticks({5, TimeUnit::s}, TimeUnit::fs) == Time{5'000'000'000'000'000});
  CHECK(to_ticks({3000, TimeUnit::ps}, TimeUnit::ns) == Time{3});
  CHECK(!to_ticks({3001, TimeUnit::ps}, TimeUnit::ns));
  CHECK(!to_ticks({5, TimeUnit::ns}, TimeUnit::none));
  CHECK(to_ticks({18446, TimeUnit::s}, TimeUnit::fs) == Time{18'446'000'000'000'000'000u});
  CHECK(!to_ticks({18447, TimeUnit::s}, TimeUnit::fs));
}

TEST_CASE("units have names") {
  CHECK(time_unit_from("us") == TimeUnit::us);
  CHECK(!time_unit_from(""));
  CHECK(!time_unit_from("m"));
  CHECK(name_of(TimeUnit::ms) == "ms");
  CHECK(to_text(17, TimeUnit::none) == "17");
  CHECK(to_text(17, TimeUnit::ns) == "17 ns");
  // Fine ticks are shown in nanoseconds where that reads better.
  CHECK(to_text(12500, TimeUnit::ps) == "12.5 ns");
  CHECK(to_text(9000, TimeUnit::ps) == "9 ns");
  CHECK(to_text(1005, TimeUnit::ps) == "1.005 ns");
  CHECK(to_text(999, TimeUnit::ps) == "999 ps");
  CHECK(to_text(0, TimeUnit::ps) == "0 ns");
  CHECK(to_text(12'500'000, TimeUnit::fs) == "12.5 ns");
  CHECK(to_text(12'500'001, TimeUnit::fs) == "12500001 fs");
}

TEST_CASE("gate kinds have names and numbers of inputs") {
  for (int i = 0; i < gate_kind_count; ++i) {
    const auto kind = static_cast<GateKind>(i);
    CHECK(gate_kind_from(name_of(kind)) == kind);
  }
  CHECK(!gate_kind_from("Nor"));
  CHECK(!gate_kind_from(""));
  CHECK(name_of(GateKind::not_) == "not");
  CHECK(fan_in_of(GateKind::not_).most == 1);
  CHECK(fan_in_of(GateKind::nor).least == 1);
  CHECK(fan_in_of(GateKind::bufif0).least == 2);
  CHECK(fan_in_of(GateKind::pullup).most == 0);
}
