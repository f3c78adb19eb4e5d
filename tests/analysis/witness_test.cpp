// Witnesses: each order of firings is walked with the definitions, each replay is run as a user would run it.
#include <algorithm>
#include <string>

#include "analysis/delay_race.h"
#include "settle/run.h"
#include "settle/states.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

std::vector<GateId> excited(const Circuit& circuit, const std::vector<Value>& nets) {
  std::vector<GateId> gates;
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    std::vector<Value> in;
    for (const NetId pin : circuit.fan_in(g)) in.push_back(nets[pin]);
    if (evaluate(circuit.kind(g), in) != nets[circuit.output_of(g)]) gates.push_back(g);
  }
  return gates;
}

// Every set fires gates that are excited; what is left at the end are followers, and with these the
// circuit is in the ending's state.
void walk(const Circuit& circuit, const StateSpace& space, const Transition& step, const Ending& ending) {
  std::string gates;
  for (const Value v : space.nodes_of(step.from)) gates += to_char(v);
  std::vector<Value> nets = net_values(circuit, vector_text(step.inputs, space.input_bits), gates);
  Time before = 0;
  for (const Ending::Instant& instant : ending.order) {
    const auto ready = excited(circuit, nets);
    REQUIRE_FALSE(instant.gates.empty());
    REQUIRE(std::is_sorted(instant.gates.begin(), instant.gates.end()));
    REQUIRE(std::includes(ready.begin(), ready.end(), instant.gates.begin(), instant.gates.end()));
    if (ending.has_delays) REQUIRE(instant.time > before);
    before = instant.time;
    for (const GateId g : instant.gates) nets[circuit.output_of(g)] = inverted(nets[circuit.output_of(g)]);
  }
  if (ending.state == no_state) {
    if (!ending.order.empty()) REQUIRE_FALSE(excited(circuit, nets).empty());
    return;
  }
  for (int budget = 1000; budget > 0; --budget) {
    const auto ready = excited(circuit, nets);
    if (ready.empty()) break;
    nets[circuit.output_of(ready[0])] = inverted(nets[circuit.output_of(ready[0])]);
  }
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    REQUIRE(nets[circuit.output_of(g)] == space.nodes_of(ending.state)[g]);
  }
}

void replay(const std::vector<ReplayFile>& written) {
  MemoryFiles files;
  for (const ReplayFile& file : written) files.put(file.name, file.text);
  for (std::size_t i = 1; i < written.size(); ++i) {
    INFO(written[0].text << written[i].text);
    Sources sources;
    Diagnostics diagnostics;
    const Stimulus stimulus = parse_stimulus(written[i].name, files, sources, diagnostics);
    REQUIRE_FALSE(diagnostics.has_errors());
    ElaborateOptions options;
    options.cell = stimulus.cell;
    const auto circuit = load_circuit(written[0].name, files, options, sources, diagnostics);
    INFO(render(diagnostics, sources));
    REQUIRE(circuit);
    const auto result = run(*circuit, stimulus, {}, diagnostics);
    REQUIRE(result);
    CHECK(result->passes());
    CHECK(result->complete);
    CHECK(result->passed >= 2);
  }
}

struct Tally {
  std::size_t endings = 0, with_delays = 0, stable_without = 0;
};

Tally check_witnesses(const Circuit& circuit) {
  StatesOptions options;
  options.witness_limit = 1000;
  const StatesStudy study = study_states(circuit, options);
  REQUIRE(study.space.complete);
  REQUIRE(study.witnesses.size() == study.unsettled.size());
  Tally tally;
  for (std::size_t i = 0; i < study.witnesses.size(); ++i) {
    const StepWitness& witness = study.witnesses[i];
    REQUIRE(witness.transition == study.unsettled[i]);
    const Transition& step = study.space.transitions[witness.transition];
    REQUIRE(witness.endings.size() == step.to.size() + step.may_cycle);
    for (std::size_t e = 0; e < witness.endings.size(); ++e) {
      REQUIRE(witness.endings[e].state == (e < step.to.size() ? step.to[e] : no_state));
      walk(circuit, study.space, step, witness.endings[e]);
      ++tally.endings;
      tally.with_delays += witness.endings[e].has_delays;
      tally.stable_without += e < step.to.size() && !witness.endings[e].has_delays;
      if (e < step.to.size()) REQUIRE_FALSE(witness.endings[e].order.empty());
    }
  }
  replay(replay_files(circuit, study.space, study.witnesses, "replay"));
  return tally;
}

}  // namespace

TEST_CASE("Witnesses of the released NOR latch") {
  const Circuit c = circuit(cells::nor_latch);
  const StateSpace space = explore(c);
  const auto step = static_cast<std::uint32_t>(space.transition(4, 0) - space.transitions.data());
  const StepWitness witness = find_witness(c, space, step);
  REQUIRE(witness.endings.size() == 3);
  CHECK(witness.endings[0].delays == std::vector<Ending::Delay>{{0, 2, 2}});
  CHECK(witness.endings[1].delays == std::vector<Ending::Delay>{{1, 2, 2}});
  CHECK(witness.endings[2].delays.empty());
  CHECK(witness.endings[2].has_delays);
  CHECK(witness.endings[2].period == 2);
  CHECK(witness_netlist(c, "again", witness.endings[0].delays) ==
        "cell again\n  in  s r\n  out q qn\n  nor q_gate: r qn -> q {delay=2}\n  nor qn_gate: s q -> qn\nend\n");
}

TEST_CASE("Every stable ending of the textbook cells has gate delays that lead there") {
  for (const char* text : {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4, cells::mux_latch,
                           cells::six_nand, cells::jk_latch, cells::c_element, cells::three_way, cells::gated_ring,
                           cells::jk_master_slave}) {
    CAPTURE(text);
    const Tally tally = check_witnesses(circuit(text));
    CHECK(tally.stable_without == 0);
    // A C-element goes round only if its gates are slow at one firing and fast at another.
    CHECK(tally.endings - tally.with_delays <= 2);
  }
}

TEST_CASE("Witnesses of random circuits hold") {
  Tally all;
  for (std::uint64_t seed = 1; seed <= 120; ++seed) {
    RandomCircuitOptions options;
    options.least_gates = 3;
    options.most_gates = 9;
    options.most_inputs = 3;
    options.loop_percent = 60;
    const std::string text = random_circuit(seed + 5000, options);
    CAPTURE(seed, text);
    const Tally tally = check_witnesses(circuit(text));
    all.endings += tally.endings;
    all.with_delays += tally.with_delays;
  }
  CHECK(all.endings >= 200);
  CHECK(all.with_delays * 10 >= all.endings * 8);
}

TEST_CASE("Names in a replay are cut down to what the language allows") {
  const Circuit c = circuit(R"(
cell pair
  in  s r
  out q qn
  nor a: r qn -> q
  nor b: s q  -> qn
end
cell two
  in  s[1:0] r[1:0]
  out q[1:0] other
  pair bit[1:0]: s[1:0] r[1:0] -> q[1:0] n[1:0]
  and both: n[1] n[0] -> other
end
)");
  const std::string text = witness_netlist(c, "flat", {});
  CHECK(text ==
        "cell flat\n  in  s[1:0] r[1:0]\n  out q[1:0] other\n"
        "  nor bit_1_a: r[1] n_1 -> q[1]\n  nor bit_1_b: s[1] q[1] -> n_1\n"
        "  nor bit_0_a: r[0] n_0 -> q[0]\n  nor bit_0_b: s[0] q[0] -> n_0\n"
        "  and both: n_1 n_0 -> other\nend\n");
  check_witnesses(c);
}

TEST_CASE("Delays can be made from an order of firings") {
  // q = nor(r, qn), qn = nor(s, q) released from 00: q fires alone.
  Subnetwork network;
  network.gates.resize(2);
  network.inputs = {1, 0};
  for (std::uint32_t g = 0; g < 2; ++g) {
    network.gates[g].op = Subnetwork::Op::none;
    network.gates[g].first = g;
    network.gates[g].count = 1;
  }
  network.start = {false, false};
  const NarrowNetwork narrow(network);
  CHECK(find_firings(narrow, 1, 100) == std::vector<std::uint64_t>{1});
  CHECK(find_firings(narrow, 2, 100) == std::vector<std::uint64_t>{2});
  const GateTimes times = times_for(narrow, {1});
  CHECK(times.rise == std::vector<Time>{1, 2});
  const DelayRun run = run_with(narrow, times);
  CHECK(run.decided);
  CHECK_FALSE(run.repeats);
  CHECK(run.end == 1);
  const DelayRun equal = run_with(narrow, {{1, 1}, {1, 1}});
  CHECK(equal.repeats);
  CHECK(equal.period == 2);
  CHECK(equal.round == 0);
}

TEST_CASE("The longest of several waiting times becomes the delay") {
  // Two inverters that read themselves: always excited.
  Subnetwork network;
  network.gates.resize(2);
  network.inputs = {0, 1};
  for (std::uint32_t g = 0; g < 2; ++g) {
    network.gates[g].op = Subnetwork::Op::none;
    network.gates[g].first = g;
    network.gates[g].count = 1;
  }
  network.start = {false, false};
  // The first one rises after 1 and, once it has fallen at 2, after 3.
  const GateTimes times = times_for(NarrowNetwork(network), {1, 1, 2, 2, 1});
  CHECK(times.rise == std::vector<Time>{3, 3});
  CHECK(times.fall == std::vector<Time>{1, 1});
}

TEST_CASE("No replay where a shared wire hangs on itself, so that no stimulus can start it") {
  const auto replays = [](const char* driver) {
    const Circuit c = circuit(std::string("cell c\n in a\n out q w\n nor g: a q -> q\n ") + driver +
                              " -> w\n pullup p: -> w\nend\n");
    const StatesStudy study = study_states(c, {});
    REQUIRE_FALSE(study.witnesses.empty());  // q runs while a is low
    return replay_files(c, study.space, study.witnesses, "replay").size() - 1;
  };
  CHECK(replays("notif0 t: a w") == 0);
  CHECK(replays("notif0 t: a 0") > 0);
}

}  // namespace settle::testing
