#include "settle/wiring.h"

#include <cmath>
#include <map>
#include <set>

#include "parts/board_text.h"
#include "settle/board.h"
#include "settle/formats.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

struct Wired {
  std::optional<Circuit> circuit;
  std::optional<Wiring> wiring;
  std::string messages;
};

Wired wire_file(FileReader& files, const std::string& path, const WiringOptions& options) {
  Sources sources;
  Diagnostics diagnostics;
  Netlist tree;
  Wired result;
  result.circuit = load_any_circuit(path, files, {}, {}, sources, diagnostics, &tree);
  REQUIRE(result.circuit);
  diagnostics.clear();
  const auto wishes = wishes_of(tree, *result.circuit, diagnostics);
  result.wiring = wire_circuit(*result.circuit, wishes, built_in_catalogue(), options, diagnostics);
  result.messages = render(diagnostics, sources);
  return result;
}

Wired wire_text(const std::string& text, Substitute level = Substitute::tied,
                const std::string& family = "HC") {
  testing::MemoryFiles files{{"test.gates", text}};
  WiringOptions options;
  options.substitute = level;
  options.family = family;
  return wire_file(files, "test.gates", options);
}

Wired wire_example(const std::string& name, Substitute level = Substitute::tied) {
  DiskReader files;
  WiringOptions options;
  options.substitute = level;
  return wire_file(files, SETTLE_SOURCE_DIR "/examples/" + name, options);
}

long long tenths(double value) { return std::llround(value * 10); }

/// "U1 74HC02, U2 74HC08"
std::string chips_of(const Wiring& wiring) {
  std::string text;
  for (const WiredChip& chip : wiring.chips)
    text += (text.empty() ? "" : ", ") + chip.name + " " + chip.part_text();
  return text;
}

/// The as-built text, read with its chips as every command reads it, against the circuit.
Comparison::Answer read_back(const Wired& wired) {
  testing::MemoryFiles files{{"board.gates", as_built_text(*wired.wiring, *wired.circuit)}};
  const Catalogue catalogue = built_in_catalogue();
  ReadOptions options;
  options.place_chips = [&catalogue](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, catalogue, messages);
  };
  Sources sources;
  Diagnostics diagnostics;
  const auto board = load_any_circuit("board.gates", files, options, {}, sources, diagnostics);
  INFO(as_built_text(*wired.wiring, *wired.circuit) << render(diagnostics, sources));
  REQUIRE(board);
  PinMatch match;
  REQUIRE(match_pins(*wired.circuit, *board, {}, match, diagnostics));
  return compare(*wired.circuit, *board, match, {}).answer;
}

/// What must hold for every wiring, whatever the circuit.
void check_sound(const Circuit& circuit, const Wiring& wiring) {
  std::multiset<GateId> results;
  for (const WiredChip& chip : wiring.chips) {
    const Part& part = wiring.parts[chip.part];
    REQUIRE(chip.gates.size() == part.gates.size());
    CHECK(chip.pins[part.supply - 1u] == supply_net);
    CHECK(chip.pins[part.ground - 1u] == ground_net);
    for (std::size_t g = 0; g < chip.gates.size(); ++g) {
      const WiredGate& gate = chip.gates[g];
      if (gate.is_result) results.insert(gate.gate);
      for (const auto pin : part.gates[g].inputs) CHECK(chip.pins[pin - 1u] != no_id);
      if (gate.gate == no_id) CHECK(chip.pins[part.gates[g].output - 1u] == no_id);
    }
  }
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate)
    CHECK(results.count(gate) == (is_pull(circuit.kind(gate)) ? 0u : 1u));
  // Every pin that belongs to a net is reached by wires from one place.
  std::map<WireNetId, std::set<std::pair<std::uint32_t, std::uint32_t>>> reached;
  for (const WiringStep& step : wiring.steps) {
    for (const Wire& wire : step.wires) {
      for (const WireEnd& end : {wire.from, wire.to}) {
        if (end.kind == WireEnd::Kind::pin) reached[wire.net].emplace(end.chip, end.number);
      }
    }
  }
  for (std::uint32_t chip = 0; chip < wiring.chips.size(); ++chip) {
    for (std::uint32_t pin = 1; pin <= wiring.chips[chip].pins.size(); ++pin) {
      const WireNetId net = wiring.chips[chip].pins[pin - 1];
      CAPTURE(wiring.chips[chip].name, pin);
      if (net != no_id && wiring.nets[net].net == no_id) CHECK(reached[net].contains({chip, pin}));
    }
  }
}

TEST_CASE("The lever latch takes two packages, its inverter a spare NOR") {
  for (const auto level : {Substitute::none, Substitute::tied, Substitute::full}) {
    const Wired wired = wire_example("lever_latch.gates", level);
    REQUIRE(wired.wiring);
    check_sound(*wired.circuit, *wired.wiring);
    CHECK(chips_of(*wired.wiring) == "U1 74HC02, U2 74HC08");
    CHECK(wired.wiring->is_fewest);
    CHECK(wired.wiring->replacements.empty());
    // The storage loop comes first and stays together.
    CHECK(wired.wiring->chips[0].gates[0].gate != no_id);
    CHECK(wired.circuit->gate_name(wired.wiring->chips[0].gates[0].gate) == "keep.hold_a");
    CHECK(wired.circuit->gate_name(wired.wiring->chips[0].gates[1].gate) == "keep.hold_b");
  }
  const std::string with_not =
      "cell latch\n in lever read\n out q n\n not i: lever -> lever_n\n and s: lever read -> s\n and r: "
      "lever_n read -> r\n"
      " nor a: r n -> q\n nor b: s q -> n\nend\n";
  const Wired plain = wire_text(with_not, Substitute::none);
  REQUIRE(plain.wiring);
  CHECK(plain.wiring->chips.size() == 3);
  const Wired tied = wire_text(with_not, Substitute::tied);
  REQUIRE(tied.wiring);
  CHECK(chips_of(*tied.wiring) == "U1 74HC02, U2 74HC08");
  CHECK(tied.wiring->chips_without_replacement == 3);
  REQUIRE(tied.wiring->replacements.size() == 1);
  CHECK(tied.wiring->replacements[0].text == "not from a 2-input nor with its inputs tied");
  CHECK(tied.wiring->functions_checked);
  REQUIRE(tied.wiring->proof);
  CHECK(tied.wiring->proof->answer == Comparison::Answer::equal);
  check_sound(*tied.circuit, *tied.wiring);
}

TEST_CASE("The board of an example as a netlist equals the example") {
  for (const char* name : {"block_memory.gates", "gated_block.gates", "lever_latch.gates",
                           "button_memory.gates", "single_lever.gates"}) {
    CAPTURE(name);
    for (const auto level : {Substitute::none, Substitute::tied, Substitute::full}) {
      const Wired wired = wire_example(name, level);
      CAPTURE(wired.messages);
      if (level == Substitute::none && !wired.wiring) continue;
      REQUIRE(wired.wiring);
      check_sound(*wired.circuit, *wired.wiring);
      const Comparison comparison = prove_board(*wired.wiring, *wired.circuit, {});
      CAPTURE(board_gates_text(*wired.wiring, *wired.circuit));
      CHECK(comparison.answer == Comparison::Answer::equal);
      CHECK(read_back(wired) == Comparison::Answer::equal);
    }
  }
}

TEST_CASE("Random circuits are placed soundly with every family and level") {
  testing::RandomCircuitOptions options;
  options.most_gates = 14;
  options.most_fan_in = 3;
  options.loop_percent = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    const std::string text = testing::random_circuit(seed, options);
    for (const char* family : {"HC", "LS", "4000B"}) {
      const Wired wired = wire_text(text, Substitute::full, family);
      CAPTURE(family, wired.messages);
      REQUIRE(wired.wiring);
      check_sound(*wired.circuit, *wired.wiring);
      CHECK(wired.wiring->is_fewest);
      if (!wired.wiring->replacements.empty()) {
        REQUIRE(wired.wiring->proof);
        CHECK(wired.wiring->proof->answer == Comparison::Answer::equal);
      }
    }
  }
}

// Without branch and bound what is left is the greedy placing and the bound of the relaxation.
TEST_CASE("Large circuits without a search for the optimum: a sound placing within a proved bound") {
  testing::RandomCircuitOptions options;
  options.least_gates = 60;
  options.most_gates = 200;
  options.loop_percent = 0;
  std::size_t not_fewest = 0;
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    for (const auto level : {Substitute::tied, Substitute::full}) {
      options.most_fan_in = level == Substitute::tied ? 2 : 3;
      testing::MemoryFiles files{{"test.gates", testing::random_circuit(seed, options)}};
      WiringOptions hasty;
      hasty.substitute = level;
      hasty.place_steps = 0;
      hasty.prove = false;
      const Wired wired = wire_file(files, "test.gates", hasty);
      CAPTURE(seed, wired.messages);
      REQUIRE(wired.wiring);
      check_sound(*wired.circuit, *wired.wiring);
      const auto chips = wired.wiring->chips.size();
      CHECK(wired.wiring->lower_bound <= chips);
      CHECK(wired.wiring->lower_bound > 0);
      CHECK(wired.wiring->is_fewest == (wired.wiring->lower_bound == chips));
      if (!wired.wiring->is_fewest) ++not_fewest;
      CHECK(read_back(wired) == Comparison::Answer::equal);
      if (seed > 2) continue;
      WiringOptions patient = hasty;
      patient.place_steps = 20'000;
      const Wired best = wire_file(files, "test.gates", patient);
      REQUIRE(best.wiring);
      CHECK(best.wiring->is_fewest);
      CHECK(best.wiring->chips.size() <= chips);
      CHECK(best.wiring->chips.size() >= wired.wiring->lower_bound);
    }
  }
  CHECK(not_fewest > 0);  // else it was not put to the test
}

TEST_CASE("Parts and places asked for are kept") {
  const Wired wired = wire_text(
      "cell memory\n in s r\n out q n\n nor a: r n -> q {place=U7.3}\n nor b: s q -> n {part=74LS02}\n not "
      "i: q -> m {part=74HC04 place=IC2.6}\nend\n");
  CAPTURE(wired.messages);
  REQUIRE(wired.wiring);
  CHECK(chips_of(*wired.wiring) == "U7 74HC02, IC2 74HC04, U1 74LS02");
  CHECK(wired.circuit->gate_name(wired.wiring->chips[0].gates[2].gate) == "a");
  CHECK(wired.circuit->gate_name(wired.wiring->chips[1].gates[5].gate) == "i");
  check_sound(*wired.circuit, *wired.wiring);
}

TEST_CASE("Wishes that cannot be met") {
  const auto said = [](const std::string& gates, Substitute level = Substitute::tied) {
    const Wired wired = wire_text("cell c\n in a b\n out q\n" + gates + "end\n", level);
    CHECK(!wired.wiring);
    return wired.messages;
  };
  CHECK(said(" nor g: a b -> q {part=74HC99}\n") ==
        "test.gates:4:6: error: gate 'g' asks for part '74HC99', which is unknown\n"
        "   nor g: a b -> q {part=74HC99}\n"
        "       ^\n"
        "  hint: did you mean 7409? --parts FILE adds parts\n");
  // Only listed families are known, others are taken with a warning.
  const Wired odd = wire_text("cell c\n in a b\n out q\n nor g: a b -> q {part=74AHC02}\nend\n");
  REQUIRE(odd.wiring);
  CHECK(odd.messages ==
        "test.gates:4:6: warning: gate 'g' asks for '74AHC02': a 7402 is listed in the families LS, HC, HCT and AC, not in 'AHC'\n"
        "   nor g: a b -> q {part=74AHC02}\n"
        "       ^\n"
        "  hint: its pins are taken for the same, its currents and delays are not known; look at its data sheet, or list it with --parts FILE\n");
  CHECK(said(" nor g: a b -> q {part=74HC00}\n")
            .find("gate 'g' is a 2-input nor, part '74HC00' has 2-input nand gates") != std::string::npos);
  CHECK(said(" nor g: a b -> q {place=U1}\n").find("'U1' is no place") != std::string::npos);
  CHECK(said(" nor g: a b -> q {place=U1.5}\n")
            .find("no part of family HC holds all that is to be in chip 'U1': 'g' (U1.5, 2-input nor)") !=
        std::string::npos);
  CHECK(said(" nor g: a b -> t {place=U1.1}\n nor h: t b -> q {place=U1.1}\n")
            .find("place 'U1.1' is asked for twice: by 'g' and by 'h'") != std::string::npos);
  CHECK(said(" nor g: a b -> t {place=U1.1}\n nand h: t b -> q {place=U1.2}\n")
            .find("no part of family HC holds") != std::string::npos);
  CHECK(said(" nor g: a b -> t {place=U1.1 part=74HC02}\n nand h: t b -> q {place=U1.2 part=74HC00}\n")
            .find("chip 'U1' would be a 74HC02 and a 74HC00") != std::string::npos);
}

TEST_CASE("Gates that no chip has") {
  const std::string wide = "cell c\n in a b c d e\n out q\n nor g: a b c d e -> q\nend\n";
  CHECK(wire_text(wide).messages ==
        "test.gates:4:6: error: no part of family HC has a 5-input nor: gate 'g'\n"
        "   nor g: a b c d e -> q\n"
        "       ^\n"
        "  hint: --substitute full builds it from several gates\n");
  const Wired full = wire_text(wide, Substitute::full);
  REQUIRE(full.wiring);
  CHECK(full.wiring->proof->answer == Comparison::Answer::equal);
  CHECK(wire_text("cell c\n in a\n out q\n buf g: a -> q\nend\n", Substitute::none)
            .messages.find("hint: --substitute tied builds it from another gate") != std::string::npos);
  CHECK(wire_text("cell c\n in a\n out q\n buf g: a -> q\nend\n", Substitute::tied, "XY").messages ==
        "settle: error: there is no part of family 'XY'\n"
        "  hint: the families are 'LS', 'HC', 'HCT', 'AC', '4000B'\n");
}

TEST_CASE("The board in the language") {
  const Wired wired = wire_example("block_memory.gates");
  REQUIRE(wired.wiring);
  CHECK(as_built_text(*wired.wiring, *wired.circuit) ==
        "cell block_memory\n"
        "  in  enter leave\n"
        "  out occupied clear\n"
        "  chip U1 74HC02: 1=occupied 2=leave 3=clear 4=clear 5=enter 6=occupied 7=0 8=0 9=0 11=0 12=0 14=1\n"
        "end\n");
}

TEST_CASE("Wires are listed power first, then feedback, then the rest") {
  const Wired wired = wire_example("lever_latch.gates");
  REQUIRE(wired.wiring);
  std::string titles;
  for (const WiringStep& step : wired.wiring->steps) titles += step.title + "; ";
  CHECK(titles == "Power; Feedback; Between the gates; Inputs; Outputs; Constants and inputs at rest; ");
  CHECK(wired.wiring->steps[0].wires.size() == 4);
  CHECK(wired.wiring->steps[1].wires.size() == 2);
}

TEST_CASE("Currents are added up by family") {
  // 21 LS inputs at 0.4 mA are more than the 8 mA of an LS output; HC inputs take next to nothing.
  std::string text = "cell c\n in a b\n out q\n nand g: a b -> t\n";
  for (int i = 0; i < 20; ++i) text += " not n" + std::to_string(i) + ": t -> m" + std::to_string(i) + "\n";
  const std::string end = " not last: t -> q\nend\n";
  const auto load_of = [](const Wired& wired) {
    for (const LoadCheck& load : wired.wiring->loads) {
      if (wired.wiring->nets[load.net].name == "t") return load;
    }
    return LoadCheck{};
  };
  const Wired ls = wire_text(text + end, Substitute::none, "LS");
  REQUIRE(ls.wiring);
  CHECK(load_of(ls).inputs == 21);
  CHECK(tenths(load_of(ls).low_ma) == 84);
  CHECK(!load_of(ls).is_good);
  const Wired hc = wire_text(text + end, Substitute::none, "HC");
  REQUIRE(hc.wiring);
  CHECK(load_of(hc).is_good);
  CHECK(tenths(load_of(hc).pf) == 735);
}

TEST_CASE("Resistors are E12 values on the safe side") {
  CHECK(tenths(e12_at_least(1500)) == 15000);
  CHECK(tenths(e12_at_least(1501)) == 18000);
  CHECK(tenths(e12_at_most(1499)) == 12000);
  CHECK(tenths(e12_at_most(9999)) == 82000);
  CHECK(tenths(e12_at_least(8201)) == 100000);
  CHECK(tenths(*led_resistor(5, 2, 2)) == 15000);
  CHECK(tenths(*led_resistor(5, 2, 4)) == 8200);
  CHECK(!led_resistor(3, 3.2, 2));
  CHECK(ohm_text(1500) == "1.5 k\u03a9");
  CHECK(ohm_text(470, true) == "470 ohm");
  const auto families = built_in_electrics();
  REQUIRE(families.size() == 5);
  CHECK(tenths(pull_resistor(5, 0.5, *find_electrics(families, "HC"), 2)) == 100000);
  // Two LS inputs give 0.8 mA at 0; half of 0.8 V is left for them: 500 ohm.
  CHECK(tenths(pull_resistor(5, 0.5, *find_electrics(families, "LS"), 2)) == 4700);
}

}  // namespace
}  // namespace settle
