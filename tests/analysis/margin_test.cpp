// Margins against every assignment of delays on a grid, and against what is known of textbook cells.
#include <cmath>
#include <string>

#include "settle/margin.h"
#include "support/circuit_text.h"
#include "support/naive_margin.h"
#include "support/random_circuit.h"
#include "support/storage_cells.h"

namespace settle::testing {
namespace {

// The grid never fails below the margin, and the witness, run by the kernel, fails just beyond it. Returns
// how many steps have a margin.
int agree(const Circuit& circuit, Time scale, const MarginOptions& options) {
  int exact = 0;
  const MarginStudy study = study_margins(circuit, options);
  for (const StepMargin& margin : study.steps) {
    const Transition& step = study.space.transitions[margin.transition];
    INFO(circuit.dump() << "from " << step.from << " to "
                        << vector_text(step.inputs, study.space.input_bits));
    CAPTURE(margin.least, margin.most);
    if (margin.kind == MarginKind::undecided || margin.kind == MarginKind::unknown) continue;
    const Time grid = grid_margin(circuit, study.space, step, scale, options.separate_edges);
    CAPTURE(grid, scale);
    REQUIRE(margin.kind != MarginKind::between);
    if (margin.kind == MarginKind::unlimited) {
      REQUIRE(grid == scale);
      continue;
    }
    ++exact;
    REQUIRE(static_cast<double>(grid) >= margin.least * static_cast<double>(scale) - 1e-9);
    REQUIRE_FALSE(margin.races.empty());
    REQUIRE(margin.witness);
    REQUIRE(ending_with(circuit, study.space, step, margin.witness->delays) == margin.witness->state);
    REQUIRE(margin.witness->state != margin.right);
    REQUIRE(margin.witness_spread <= margin.most + 0.0501);
    for (const Ending::Delay& d : margin.witness->delays) {
      const GateDelay& nominal = circuit.delay(d.gate);
      for (const auto& [ticks, whole] :
           {std::pair(d.rise, nominal.rise.typ), std::pair(d.fall, nominal.fall.typ)}) {
        const double factor = static_cast<double>(ticks) / static_cast<double>(whole * margin.scale);
        REQUIRE(factor >= 1 - margin.witness_spread - 1e-9);
        REQUIRE(factor <= 1 + margin.witness_spread + 1e-9);
      }
    }
  }
  return exact;
}

std::string names(const Circuit& circuit, const std::vector<GateId>& gates) {
  std::string text;
  for (const GateId gate : gates) text += (text.empty() ? "" : " ") + circuit.gate_name(gate);
  return text;
}

// "1/2: inv (1) before ms m ss (3)".
std::string shown(const Circuit& circuit, const StepMargin& margin) {
  std::string text;
  if (margin.fraction)
    text += std::to_string(margin.fraction->first) + "/" + std::to_string(margin.fraction->second) + ":";
  for (const MarginRace& race : margin.races) {
    text += " " + names(circuit, race.faster) + " (" + std::to_string(race.faster_time) + ") before " +
            names(circuit, race.slower) + " (" + std::to_string(race.slower_time) + ");";
  }
  return text;
}

MarginOptions all_steps() {
  MarginOptions options;
  options.space.single_changes_only = false;
  return options;
}

}  // namespace

TEST_CASE("Margins of small cells agree with every assignment on a grid") {
  for (const char* text : {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4,
                           cells::mux_latch, cells::c_element, cells::arbiter, cells::three_way}) {
    agree(circuit(text), 4, all_steps());
  }
}

TEST_CASE("Margins of cells with delays agree with the grid, edges apart or not") {
  MarginOptions apart = all_steps();
  apart.separate_edges = true;
  // The inverter of a multiplexer latch, made fast enough that it holds the bit.
  const Circuit latch = circuit(R"(
cell latch
  in  d c
  out q
  not inv: c -> cn  {rise=1 fall=2}
  and load: d c  -> a {delay=4}
  and keep: q cn -> b {rise=2 fall=3}
  or  sum:  a b  -> q {delay=3}
end
)");
  agree(latch, 6, all_steps());
  const Circuit pair = circuit(R"(
cell pair
  in  s r
  out q qn
  nor q_gate:  r qn -> q {rise=3 fall=2}
  nor qn_gate: s q  -> qn {rise=4 fall=5}
end
)");
  agree(pair, 5, all_steps());
  agree(pair, 5, apart);
}

TEST_CASE("Margins of random circuits agree with the grid") {
  int with_margin = 0;
  for (std::uint64_t seed = 1; seed <= 70; ++seed) {
    RandomCircuitOptions options;
    options.least_gates = 3;
    options.most_gates = 5;
    options.most_inputs = 2;
    options.most_fan_in = 3;
    options.loop_percent = 50;
    options.most_delay = seed % 2 == 0 ? 0 : 4;
    const Circuit random = circuit(random_circuit(seed, options));
    MarginOptions asked = all_steps();
    asked.separate_edges = seed % 3 == 0 && random.gate_count() <= 3;
    with_margin += agree(random, 3, asked);
  }
  CHECK(with_margin >= 3);
}

TEST_CASE("A margin is where it should be, and the race is named") {
  SECTION(
      "data latches behind an inverted clock settle whatever the delays: the slave takes what the master "
      "has") {
    const Circuit c = circuit(cells::master_slave_d);
    const MarginStudy study = study_margins(c, {});
    CHECK(study.complete);
    CHECK(study.steps.empty());
  }
  SECTION("master-slave flip-flop with an inverted clock: the inverter against the master") {
    const Circuit c = circuit(cells::jk_master_slave);
    const MarginStudy study = study_margins(c, {});
    CHECK(study.complete);
    REQUIRE(study.steps.size() == 4);
    for (const StepMargin& margin : study.steps) {
      CHECK(margin.kind == MarginKind::exact);
      CHECK(margin.least == 0.5);
      REQUIRE_FALSE(margin.races.empty());
      CHECK(names(c, margin.races[0].faster) == "inv");
      CHECK(margin.races[0].slower.size() == 3);
    }
    CHECK(shown(c, study.steps[1]) == "1/2: inv (1) before ms m ss (3);");
  }
}

namespace {

// Two D flip-flops in a row; each opens its master with one signal and passes it to the slave with another.
const std::string shift_stage = R"(
cell stage
  in  d open pass
  out q
  not  di: d -> dn
  nand ms: d open  -> a
  nand mr: dn open -> b
  nand m:  a mn -> m
  nand mn: b m  -> mn
  nand ss: m pass  -> e
  nand sr: mn pass -> f
  nand q_gate:  e qn -> q
  nand qn_gate: f q  -> qn
end
)";

}  // namespace

TEST_CASE(
    "A shift register on a clock and its inverse races against the inverter, one on two phases does not") {
  const Circuit inverted = circuit(shift_stage + R"(
cell inverted
  in  d c
  out q
  not inv: c -> cn
  stage first: d cn c -> m
  stage second: m cn c -> q
end
)");
  const MarginStudy study = study_margins(inverted, {});
  CHECK(study.complete);
  REQUIRE(study.steps.size() == 4);
  CHECK(shown(inverted, study.steps[0]) == "1/2: inv (1) before first.ss first.q_gate second.ms (3);");
  CHECK(shown(inverted, study.steps[2]) ==
        "2/3: inv (1) before first.sr first.qn_gate first.q_gate second.di second.mr (5);");

  const Circuit two_phase = circuit(shift_stage + R"(
cell two_phase
  in  d p1 p2
  out q
  stage first: d p1 p2 -> m
  stage second: m p1 p2 -> q
end
)");
  const MarginStudy none = study_margins(two_phase, {});
  CHECK(none.complete);
  CHECK(none.settled == 150);
  CHECK(none.steps.empty());
}

TEST_CASE("Margins of flip-flops") {
  SECTION("six NAND gates: data that changes with the clock, held back by one gate against two") {
    const Circuit c = circuit(cells::six_nand);
    CHECK(study_margins(c, {}).steps.empty());
    const MarginStudy study = study_margins(c, all_steps());
    REQUIRE(study.steps.size() == 4);
    CHECK(study.steps[0].kind == MarginKind::undecided);
    CHECK(study.steps[2].kind == MarginKind::exact);
    CHECK(shown(c, study.steps[2]) == "1/3: g2 (1) before g4 g1 (2);");
  }
  SECTION("toggle flip-flop of master and slave") {
    const Circuit c = circuit(R"(
cell toggle
  in  c r
  out q
  not  inv: c -> cn
  nand ms: qn cn  -> a
  nand mr: q cn r -> b
  nand m:  a mn r -> m
  nand mn: b m    -> mn
  nand ss: m c    -> e
  nand sr: mn c   -> f
  nand q_gate:  e qn  -> q
  nand qn_gate: f q r -> qn
end
)");
    const MarginStudy study = study_margins(c, {});
    REQUIRE(study.steps.size() == 2);
    CHECK(shown(c, study.steps[0]) == "1/2: inv (1) before ss q_gate mr (3);");
    CHECK(shown(c, study.steps[1]) == "1/2: inv (1) before sr qn_gate ms (3);");
  }
  SECTION("a Johnson counter of two stages, although any-delay analysis gives up") {
    const Circuit c = circuit(shift_stage + R"(
cell johnson
  in  c
  out q0 q1
  not inv: c -> cn
  not back: q1 -> q1n
  stage s0: q1n cn c -> q0
  stage s1: q0 cn c -> q1
end
)");
    MarginOptions options;
    options.space.any_delay.states = 2000;
    const MarginStudy study = study_margins(c, options);
    CHECK_FALSE(study.space.complete);
    CHECK(study.complete);
    int exact = 0;
    for (const StepMargin& margin : study.steps) {
      if (margin.kind != MarginKind::exact) continue;
      ++exact;
      CHECK(margin.least >= 0.5);
      REQUIRE_FALSE(margin.races.empty());
      CHECK(names(c, margin.races[0].faster) == "inv");
      CHECK(margin.witness);
    }
    CHECK(exact == 4);
  }
}

TEST_CASE("The margin of a glitch is where its two paths take equally long") {
  // `sum` sees both its inputs at 0 from `load` to `invert` and `keep`: 2 (1 + d) = 5 (1 - d).
  const Circuit c = circuit(R"(
cell slow_sum
  in  lever read
  out seen
  not invert: read -> read_n
  and load:   lever read   -> new
  and keep:   seen  read_n -> old
  or  sum:    new old      -> seen {delay=4}
end
)");
  const MarginStudy study = study_margins(c, {});
  REQUIRE(study.steps.size() == 1);
  CHECK(shown(c, study.steps[0]) == "3/7: invert keep (2) before load sum (5);");
  CHECK(study.steps[0].fails_at);
  CHECK(std::abs(study.steps[0].witness_spread - 3.0 / 7) < 1e-9);
  CHECK(margin_witnesses(study).size() == 1);
}

TEST_CASE("A wire without a level leaves no proved tolerance") {
  CHECK_FALSE(study_margins(circuit("cell c\n in s\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n"), {}).complete);
  CHECK(study_margins(circuit("cell c\n in s r\n out q n\n nor a: r n -> q\n nor b: s q -> n\nend\n"), {}).space.unknown_level.empty());
}

TEST_CASE("A limit leaves a proved tolerance and one found by trial") {
  const Circuit c = circuit(cells::jk_master_slave);
  for (const std::uint64_t limit : {1, 5, 20}) {
    MarginOptions options;
    options.order_limit = limit;
    const MarginStudy study = study_margins(c, options);
    if (limit < 20) CHECK_FALSE(study.complete);
    for (const StepMargin& margin : study.steps) {
      CHECK((margin.kind == MarginKind::between || margin.least == margin.most));
      CHECK(margin.least <= 0.5);
      CHECK(margin.most >= 0.5);
      CHECK(margin.most < 0.6);
      CHECK(margin.witness);
    }
  }
}

}  // namespace settle::testing
