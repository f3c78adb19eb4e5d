// Timing measured at all offsets: signs, kinds of constraints, limits, and what is left out.
#include "settle/timing.h"

#include <algorithm>
#include <string>

#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/storage_cells.h"
#include "support/timing_rows.h"

namespace settle {
namespace {

using testing::circuit;
using testing::needed;
using testing::propagation;
namespace cells = testing::cells;

Timing timing_of(const std::string& text, TimingOptions options = {}) {
  return measure_timing(circuit(text), options);
}

TEST_CASE("A four-gate latch: setup, hold and pulse width at the end of the gate") {
  const Timing t = timing_of(cells::d_latch_4);
  REQUIRE(t.complete);
  REQUIRE(t.cells.size() == 1);
  CHECK(t.cells[0].kind == "transparent latch");
  CHECK(propagation(t, "d falls, q falls") == "4..4 d s r qn q");
  CHECK(propagation(t, "c rises, q rises") == "2..2 c s q");
  // d = 1: s falls one unit after d, and r must not have begun to see c without it (see race).
  CHECK(needed(t, "setup d=1 c falls") == "2 2 undecided -1..-1");
  CHECK(needed(t, "hold d=0 c falls") == "0 0 undecided -1..-1");
  CHECK(needed(t, "setup d=0 c falls") == "3 3 undecided -2..-2");
  CHECK(needed(t, "hold d=1 c falls") == "-1 -1 undecided -2..-2");
  CHECK(needed(t, "pulse c rises") == "2 2 undecided 1..1");
  for (const TimingConstraint& c : t.cells[0].constraints) {
    CHECK(c.cases > 0);
    CHECK(c.ranges > c.cases);
    CHECK(c.race.size() == 2);
  }
}

TEST_CASE("Set and reset released one after another") {
  const Timing t = timing_of(cells::nor_latch);
  CHECK(needed(t, "recovery r falls, s falls") == "1 1 undecided 0..0");
  CHECK(needed(t, "removal r falls, s falls") == "1 1 undecided 0..0");
  CHECK(needed(t, "pulse s rises") == "2 2 undecided 1..1");
}

TEST_CASE("Recovery and removal of direct controls against the clock") {
  const Timing t = timing_of(cells::six_nand_preset_clear);
  REQUIRE(t.complete);
  CHECK(needed(t, "recovery pre rises, c rises") == "1 1 undecided 0..0");
  CHECK(needed(t, "removal clr rises, c rises") == "1 1 undecided 0..0");
  CHECK(needed(t, "pulse pre falls") == "2 2 undecided 1..1");
}

TEST_CASE("A pulse-triggered flip-flop: setup at the leading edge, hold at the trailing one") {
  const Timing t = timing_of(cells::jk_master_slave);
  REQUIRE(t.complete);
  // A late j = 1 is still caught while the clock is high: no setup. j = 0 must be there in time.
  CHECK(needed(t, "setup j=1 c rises") == "none");
  CHECK(needed(t, "setup j=0 c rises") == "0 0 undecided 1..1");
  CHECK(needed(t, "hold j=0 c falls") == "0 0 undecided -1..-1");
  CHECK(t.cells[0].note.find("leading edge") != std::string::npos);
}

TEST_CASE("Cells without a clock, or that never rest, say so") {
  const Timing element = timing_of(cells::c_element);
  CHECK(element.cells.at(0).constraints.empty());
  CHECK(element.cells[0].note.find("nothing to keep apart") != std::string::npos);
  CHECK(propagation(element, "a rises, c rises") == "2..2 a x c");
  const Timing ring = timing_of(cells::ring);
  CHECK(ring.cells.at(0).propagation.empty());
  CHECK(ring.complete);
}

TEST_CASE("Rise and fall delays, and the choice of least, typical or most") {
  const std::string text = R"(
cell chain
  in  a
  out y z
  not first: a -> b {rise=1..2..3 fall=10..20..30}
  not second: b -> y {rise=100..200..300 fall=1000..2000..3000}
  buf third: y -> z {delay=5}
end
)";
  TimingOptions options;
  CHECK(propagation(timing_of(text), "a rises, y rises") == "220..220 a b y");
  CHECK(propagation(timing_of(text), "a falls, y falls") == "2002..2002 a b y");
  CHECK(propagation(timing_of(text), "a falls, z falls") == "2007..2007 a b y z");
  options.delays = DelayChoice::min;
  CHECK(propagation(timing_of(text, options), "a rises, y rises") == "110..110 a b y");
  options.delays = DelayChoice::max;
  CHECK(propagation(timing_of(text, options), "a falls, y falls") == "3003..3003 a b y");
  options.delays = DelayChoice::unit;
  CHECK(propagation(timing_of(text, options), "a falls, y falls") == "2..2 a b y");
}

TEST_CASE("Path lengths bound what trying everything measures") {
  const std::string text = R"(
cell mixed
  in  a b s
  out y
  not  inv: s -> sn {rise=3 fall=2}
  and  one: a sn -> p {rise=4 fall=7}
  nand two: b s -> q {delay=5}
  xor  sum: p q -> y {rise=2 fall=9}
end
)";
  TimingOptions options;
  const Timing measured = timing_of(text);
  options.input_limit = 2;
  const Timing bound = timing_of(text, options);
  CHECK(bound.complete);
  REQUIRE(!measured.cells.at(0).propagation.empty());
  std::size_t equal = 0;
  for (const Propagation& row : measured.cells[0].propagation) {
    const auto& rows = bound.cells.at(0).propagation;
    const auto found = std::find_if(rows.begin(), rows.end(), [&](const Propagation& other) {
      return other.from == row.from && other.to == row.to;
    });
    INFO(row.from.net << " " << row.to.net);
    REQUIRE(found != rows.end());
    CHECK(found->is_bound);
    CHECK(found->least <= row.least);
    CHECK(found->most >= row.most);
    equal += found->most == row.most ? 1 : 0;
  }
  CHECK(equal > 0);
}

TEST_CASE("Equal cells are measured once, unequal delays make them different") {
  const std::string text = R"(
cell two
  in  a b c
  out p q
  nand s1: a c -> sa
  nand r1: sa c -> ra
  nand q1: sa pn -> p
  nand n1: ra p -> pn
  nand s2: b c -> sb
  nand r2: sb c -> rb
  nand q2: sb qn -> q
  nand n2: rb q -> qn
end
)";
  const Timing same = timing_of(text);
  REQUIRE(same.cells.size() == 1);
  CHECK(same.cells[0].copies == std::vector<std::vector<std::string>>{{"q"}});
  std::string slow = text;
  slow.replace(slow.find("-> qn"), 5, "-> qn {delay=3}");
  CHECK(timing_of(slow).cells.size() == 2);
}

TEST_CASE("From the clock of one cell to the output of the next") {
  const Timing t = timing_of(R"(
cell gated_follow
  in  d c e
  out q y
  nand gs: d c -> s
  nand gr: s c -> r
  nand g1: s qn -> q
  nand g2: r q -> qn
  and  show: q e -> y
end
)");
  REQUIRE(t.complete);
  CHECK(propagation(t, "c rises, y rises") == "3..3 c s q y");
}

TEST_CASE("A limit leaves the work incomplete and says so") {
  TimingOptions options;
  options.run_limit = 3;
  const Timing t = timing_of(cells::six_nand, options);
  CHECK_FALSE(t.complete);
  CHECK(t.incomplete_reason == "q needs more than 3 simulations");
  options = {};
  options.stable_limit = 2;
  CHECK_FALSE(timing_of(cells::six_nand, options).complete);
}

}  // namespace
}  // namespace settle
