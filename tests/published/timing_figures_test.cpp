// Figures of `timing` against values worked out by hand and against data sheets.
//
// Times in the derivations: an input change at t is seen by the gates from t on; what is due at the same time
// acts together. Offsets are whole ticks: 1 ps where delays are given in picoseconds, one gate with unit
// delays.
#include <algorithm>
#include <string>
#include <tuple>

#include "settle/timing.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/storage_cells.h"
#include "support/timing_rows.h"

namespace settle {
namespace {

using testing::constraint;
using testing::needed;
using testing::propagation;
namespace cells = testing::cells;

Timing timing_of(const std::string& text, DelayChoice delays = DelayChoice::typ) {
  TimingOptions options;
  options.delays = delays;
  const Timing timing = measure_timing(testing::circuit(text), options);
  REQUIRE(timing.complete);
  return timing;
}

// `text` with attributes behind each gate of a kind.
std::string with_attributes(std::string text, const std::string& kind, const std::string& attributes) {
  for (std::size_t at = 0; (at = text.find("\n  " + kind + " ", at)) != std::string::npos;) {
    at = text.find('\n', at + 1);
    text.insert(at, " " + attributes);
  }
  return text;
}

// The six-NAND flip-flop of the 7474 in unit delays. The table was worked out by hand from its equations
// n1 = NAND(n4,n2), n2 = NAND(n1,C), n3 = NAND(n2,C,n4), n4 = NAND(n3,D), Q = NAND(n2,Q'), Q' = NAND(n3,Q):
// capturing   clock to rising / falling output   D before the edge   undecided   held   undecided
//   D = 1     2 (Q) / 3 (Q')                     1                   0 before    0      1 before
//   D = 0     2 (Q') / 3 (Q)                     2                   1 before    1      at the edge
// Shortest good clock pulse 2; a pulse of 1, and the offsets under "undecided", oscillate for ever.
TEST_CASE("Six-NAND flip-flop: the table in unit delays") {
  const Timing t = timing_of(cells::six_nand);
  CHECK(propagation(t, "c rises, q rises") == "2..2 c n2 q");
  CHECK(propagation(t, "c rises, qn falls") == "3..3 c n2 q qn");
  CHECK(propagation(t, "c rises, qn rises") == "2..2 c n3 qn");
  CHECK(propagation(t, "c rises, q falls") == "3..3 c n3 qn q");
  CHECK(propagation(t, "c falls, q falls") == "none");
  CHECK(needed(t, "setup d=1 c rises") == "1 1 undecided 0..0");
  CHECK(needed(t, "hold d=0 c rises") == "1 1 undecided 0..0");
  CHECK(needed(t, "setup d=0 c rises") == "2 2 undecided -1..-1");
  CHECK(needed(t, "hold d=1 c rises") == "0 0 undecided -1..-1");
  CHECK(needed(t, "pulse c rises") == "2 2 undecided 1..1");
}

// NAND latch, gates of 1 ns. s' falls at 0: Q rises at 1, Q' falls at 2. When s' rises at w < 2 while Q' is
// still 1, Q falls again at w + 1; with w = 1 that is when Q' falls: both go on together for ever. In between
// (1 < w < 2) Q' falls first and holds Q. Below 1 nothing gets through.
TEST_CASE("NAND set-reset latch with gates of 1 ns") {
  const Timing t = timing_of(with_attributes(cells::nand_latch, "nand", "{delay=1000ps}"));
  CHECK(propagation(t, "sn falls, q rises") == "1000..1000 sn q");
  CHECK(propagation(t, "sn falls, qn falls") == "2000..2000 sn q qn");
  CHECK(needed(t, "pulse sn falls") == "1001 1001 undecided 1000..1000");
  CHECK(needed(t, "pulse rn falls") == "1001 1001 undecided 1000..1000");
}

// The same with Q of 1 ns and Q' of 2 ns.
// Set: Q rises at 1, Q' is due to fall at 3. s' rises at w: Q is due to fall at w + 1.
//   w + 1 < 3: Q falls first, Q' stays 1: nothing stored (and a pulse on Q, for w >= 1).
//   w = 2: both fall at 3; Q rises again at 4, sooner than Q' could at 5: set, with a pulse on Q.
//   w > 2: Q' falls first and holds Q.
// Reset: r' falls at 0, Q' rises at 2, Q falls at 3. r' rises at w < 2: nothing gets through. At w = 2 and up
// to 3, Q' is due to fall again 2 ns later, but Q falls at 3 and holds it.
TEST_CASE("NAND set-reset latch made unequal: 1 ns and 2 ns") {
  const std::string text = R"(
cell unequal
  in  sn rn
  out q qn
  nand q_gate:  sn qn -> q {delay=1000ps}
  nand qn_gate: rn q -> qn {delay=2000ps}
end
)";
  const Timing t = timing_of(text);
  CHECK(needed(t, "pulse sn falls") == "2000 2001");
  const TimingConstraint* set = constraint(t, "pulse sn falls");
  REQUIRE(set != nullptr);
  CHECK(set->glitches == std::vector<OffsetRange>{{1000, 2000}});
  CHECK(needed(t, "pulse rn falls") == "2000 2000");
  CHECK(propagation(t, "rn falls, q falls") == "3000..3000 rn qn q");
}

// NAND transparent latch: s = NAND(d,c), r = NAND(d',c); NAND 1 ns, inverter 0.5 ns; c falls at 0.
// d rises at -x: s falls at 1 - x and, c gone, rises at 1; Q rises at 2 - x, Q' falls at 3 - x. When s rises
//   at 1 and Q' is still 1, Q is due to fall at 2: stored if Q' falls before, 3 - x < 2. Setup: x > 1; at
//   x = 1 both fall together, undecided.
// d falls at -x: d' rises at 0.5 - x, r falls at 1.5 - x and rises at 1; Q' rises at 2.5 - x, Q falls at
//   3.5 - x, in time if before 2: x > 1.5.
TEST_CASE("Setup and hold of a NAND transparent latch") {
  const std::string text =
      with_attributes(with_attributes(cells::d_latch_5, "nand", "{delay=1000ps}"), "not ", "{delay=500ps}");
  const Timing t = timing_of(text);
  CHECK(needed(t, "setup d=1 c falls") == "1001 1001 undecided -1000..-1000");
  CHECK(needed(t, "hold d=0 c falls") == "-999 -999 undecided -1000..-1000");
  CHECK(needed(t, "setup d=0 c falls") == "1501 1501 undecided -1500..-1500");
  CHECK(needed(t, "hold d=1 c falls") == "-1499 -1499 undecided -1500..-1500");
}

// Master-slave flip-flop of two such latches, the master open while the clock c is low: its gate c' falls
// at 0.5, so its setup is that of the latch, counted from there: 1 - 0.5 for d = 1, 1.5 - 0.5 for d = 0.
// That is enough for the right value. For no glitch the slave, open from 0 on, must not see the old value of
// the master: its gate for the old one is due at 1 and must be called off before.
//   d rises at -x: a falls at 1 - x, m at 2 - x rises, m' falls at 3 - x < 1: x > 2.
//   d falls at -x: d' 0.5 - x, b falls 1.5 - x, m' rises 2.5 - x, m falls 3.5 - x < 1: x > 2.5.
// Output: e or f falls at 1, the output that rises at 2, the other at 3.
TEST_CASE("Setup and hold of a master-slave flip-flop with NANDs of 1 ns and inverters of 0.5 ns") {
  const std::string text = with_attributes(with_attributes(cells::master_slave_d, "nand", "{delay=1000ps}"),
                                           "not ", "{delay=500ps}");
  const Timing t = timing_of(text);
  CHECK(propagation(t, "c rises, q rises") == "2000..2000 c e q");
  CHECK(propagation(t, "c rises, q falls") == "3000..3000 c f qn q");
  CHECK(needed(t, "setup d=1 c rises") == "501 2001 undecided -500..-500");
  CHECK(needed(t, "hold d=0 c rises") == "-499 -499 undecided -500..-500");
  CHECK(needed(t, "setup d=0 c rises") == "1001 2501 undecided -1000..-1000");
  CHECK(needed(t, "hold d=1 c rises") == "-999 -999 undecided -1000..-1000");
}

// Gates of the HC family at 4.5 V and 50 pF: 74HC00 9 ns typical and 18 ns most, 74HC04 9 and 19 ns, 74HC10
// 9 and 19 ns (TI SN74HC00, SN74HC04 and SN74HC10 data sheets, from memory; 9 ns for the 74HC10 from memory
// of the Philips quick reference data). Against the integrated parts, from memory unless said otherwise:
//   74HC75: setup 12 ns, hold 3 ns, enable pulse 16 ns (Philips 74HC75); d to q 12 ns typical (National
//   MM74HC75, TL/F/5303, read).
//   74HC74: setup 12 ns (Philips) to 20 ns (TI), hold 0 (TI) to 3 ns (Philips), clock pulse 16 ns (both);
//   clock to q 14 ns typical at 15 pF (Philips 74HC74 of 1998, read).
TEST_CASE("Latch and flip-flop built from HC gates beside the integrated parts") {
  const std::string two = "{delay=2..9..18ns part=74HC00}", three = "{delay=2..9..19ns part=74HC10}";
  std::string latch = with_attributes(with_attributes(cells::d_latch_5, "nand", two), "not ",
                                      "{delay=2..9..19ns part=74HC04}");
  std::string flip_flop = with_attributes(cells::six_nand, "nand", two);
  const std::size_t third = flip_flop.find(two, flip_flop.find("g3:"));
  flip_flop.replace(third, two.size(), three);

  const auto ns = [](const Timing& t, const std::string& row) {
    const TimingConstraint* c = constraint(t, row);
    REQUIRE(c != nullptr);
    REQUIRE(c->right.has_value());
    return *c->right;
  };
  // As in docs/timing.md.
  const Timing typical_latch = timing_of(latch), typical = timing_of(flip_flop);
  CHECK(propagation(typical_latch, "d rises, q rises") == "18..18 d s q");
  CHECK(propagation(typical_latch, "d falls, q falls") == "36..36 d dn r qn q");
  CHECK(propagation(typical, "c rises, q rises") == "18..18 c n2 q");
  CHECK(propagation(typical, "c rises, q falls") == "27..27 c n3 qn q");

  // The flip-flop with the slowest gates lies in the range of the sheets, 2 ns above at most.
  const Timing slow = timing_of(flip_flop, DelayChoice::max);
  const std::int64_t setup = std::max(ns(slow, "setup d=1 c rises"), ns(slow, "setup d=0 c rises"));
  const std::int64_t hold = std::max(ns(slow, "hold d=1 c rises"), ns(slow, "hold d=0 c rises"));
  CHECK(setup == 19);
  CHECK((12 <= setup && setup <= 20));
  CHECK(hold == 2);
  CHECK((0 <= hold && hold <= 3));
  CHECK(ns(slow, "pulse c rises") == 19);
  CHECK((16 <= ns(slow, "pulse c rises") && ns(slow, "pulse c rises") <= 16 + 3));
  // The latch needs three times the setup of the integrated one, and no hold at all.
  const Timing slow_latch = timing_of(latch, DelayChoice::max);
  CHECK(ns(slow_latch, "setup d=0 c falls") == 38);
  CHECK(ns(slow_latch, "setup d=1 c falls") == 20);
  CHECK(ns(slow_latch, "hold d=0 c falls") == -17);
  CHECK(ns(slow_latch, "pulse c rises") == 19);
  CHECK(ns(typical_latch, "setup d=0 c falls") == 19);
  CHECK(ns(typical_latch, "setup d=1 c falls") == 10);

  // The multiplexer latch, q = d c + q c' + d q: with typical gates in the range of the sheet (setup up to 12 ns, hold
  // 0 to 3 ns, pulse up to 16 ns), with the slowest ones above it by 7 and 3 ns.
  const std::string multiplexer = "cell mux_latch\n  in d c\n  out q\n  not  i: c -> cn {delay=2..9..19ns part=74HC04}\n  nand a: d c -> pass " + two +
                                  "\n  nand b: q cn -> keep " + two + "\n  nand h: d q -> cover " + two + "\n  nand o: pass keep cover -> q " + three +
                                  "\nend\n";
  const Timing typical_mux = timing_of(multiplexer), slow_mux = timing_of(multiplexer, DelayChoice::max);
  for (const auto& [timing, setup_of_1, setup_of_0, most_hold, pulse] :
       {std::tuple(&typical_mux, 10, 1, 1, 10), std::tuple(&slow_mux, 19, 0, 1, 19)}) {
    CHECK(ns(*timing, "setup d=1 c falls") == setup_of_1);
    CHECK(ns(*timing, "setup d=0 c falls") == setup_of_0);
    CHECK(std::max(ns(*timing, "hold d=1 c falls"), ns(*timing, "hold d=0 c falls")) == most_hold);
    CHECK(ns(*timing, "pulse c rises") == pulse);
  }
  CHECK((ns(typical_mux, "setup d=1 c falls") <= 12 && ns(typical_mux, "pulse c rises") <= 16));
  CHECK(propagation(typical_mux, "d rises, q rises") == "18..18 d pass q");
  CHECK(propagation(slow_mux, "d falls, q falls") == "37..37 d cover q");
}

}  // namespace
}  // namespace settle
