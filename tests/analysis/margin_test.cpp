// Margins against every assignment of delays on a grid, and against what is known of textbook cells.
#include <string>

#include "settle/margin.h"
#include "support/circuit_text.h"
#include "support/naive_margin.h"
#include "support/random_circuit.h"
#include "support/storage_cells.h"

namespace settle::testing {
namespace {

// The grid never fails below the margin, and the witness, run by the kernel, fails just beyond it. Returns how
// many steps have a margin.
int agree(const Circuit& circuit, Time scale, const MarginOptions& options) {
  int exact = 0;
  const MarginStudy study = study_margins(circuit, options);
  for (const StepMargin& margin : study.steps) {
    const Transition& step = study.space.transitions[margin.transition];
    INFO(circuit.dump() << "from " << step.from << " to " << vector_text(step.inputs, study.space.input_bits));
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
      for (const auto& [ticks, whole] : {std::pair(d.rise, nominal.rise.typ), std::pair(d.fall, nominal.fall.typ)}) {
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
  if (margin.fraction) text += std::to_string(margin.fraction->first) + "/" + std::to_string(margin.fraction->second) + ":";
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
  for (const char* text : {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4, cells::mux_latch,
                           cells::c_element, cells::arbiter, cells::three_way}) {
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
  for (std::uint64_t seed = 1; seed <= 110; ++seed) {
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
  CHECK(with_margin >= 8);
}

TEST_CASE("A margin is where it should be, and the race is named") {
  SECTION("data latches behind an inverted clock settle whatever the delays: the slave takes what the master has") {
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

}  // namespace settle::testing
