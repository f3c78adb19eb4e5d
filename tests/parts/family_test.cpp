// Families of parts: what is shipped, how a file of them is judged, and what gates get from it.
#include "settle/family.h"

#include "settle/catalogue.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/memory_files.h"

using namespace settle;
using namespace settle::testing;

namespace {

const FamilyLibrary& shipped_families() {
  static const FamilyLibrary library = FamilyLibrary::shipped();
  return library;
}

/// "rise min typ max, fall min typ max" of gate `name`.
std::string delay_text_of(const Circuit& circuit, std::string_view name) {
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    if (circuit.gate_name(gate) != name) continue;
    const GateDelay& d = circuit.delay(gate);
    const auto text = [](const DelayTriple& t) {
      return std::to_string(t.min) + ".." + std::to_string(t.typ) + ".." + std::to_string(t.max);
    };
    return text(d.rise) + " " + text(d.fall);
  }
  return "no gate " + std::string(name);
}

Loaded load_with(const std::string& text, std::string_view family, bool only_with_parts = false) {
  const FamilyDelays delays(shipped_families(), *shipped_families().find(family), only_with_parts);
  ElaborateOptions options;
  options.delay_source = &delays;
  return load_text(text, options);
}

std::string messages_of(const std::string& library) {
  MemoryFiles files{{"mine.json", library}};
  Sources sources;
  Diagnostics diagnostics;
  FamilyLibrary families = FamilyLibrary::shipped();
  const auto count = families.families.size();
  const bool good = families.add("mine.json", files, sources, diagnostics);
  CHECK(good == !diagnostics.has_errors());
  if (!good) CHECK(families.families.size() == count);
  std::string text;
  for (const Diagnostic& d : diagnostics.all()) {
    const auto [line, column] = sources.locate(d.place);
    text += std::to_string(line) + ":" + std::to_string(column) + ": error: " + d.text + "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("The shipped families are there, by their trade names") {
  const auto& library = shipped_families();
  CHECK(library.names() == "LS, HC, HCT, AC and 4000B");
  for (const auto* name : {"ls", "74HC", "hct", "AC", "4000", "CD4000B"})
    CHECK(library.find(name) != nullptr);
  CHECK(library.find("ALS") == nullptr);
  for (const Family& family : library.families) {
    for (const GateFigures& gate : family.gates) {
      CAPTURE(gate.part);
      const auto name = part_number_from(gate.part);
      REQUIRE(name);
      CHECK(library.find(name->family) == &family);
      for (const EdgeFigures* edge : {&gate.rise, &gate.fall}) {
        CHECK(!edge->max.is_by_rule());
        CHECK((edge->typ.is_by_rule() ? edge->typ.ps == edge->max.ps / 2
                                      : edge->typ.source < library.sources.size()));
        CHECK((edge->min.is_by_rule() ? edge->min.ps == edge->typ.ps / 4
                                      : edge->min.source < library.sources.size()));
        CHECK(edge->min.ps <= edge->typ.ps);
        CHECK(edge->typ.ps <= edge->max.ps);
      }
    }
  }
}

TEST_CASE("Gates get the delays of the family, or of the part that they name, or their own") {
  const auto loaded = load_with(
      "cell lamp\n"
      "  in a b c\n"
      "  out q r s t u\n"
      "  nor  plain: a b -> q {part=7402}\n"
      "  nor  low_power: a b -> r {part=74LS02}\n"
      "  nor  own: a b -> s {delay=3ns part=74HC02}\n"
      "  nand slow: a b -> t {part=CD4011B}\n"
      "  nor  wide: a b c -> u\n"
      "end\n",
      "HC");
  INFO(loaded.messages);
  REQUIRE(loaded.circuit);
  const Circuit& circuit = *loaded.circuit;
  CHECK(verify(circuit) == "");
  CHECK(circuit.time_unit() == TimeUnit::ps);
  CHECK(loaded.messages == "");
  CHECK(delay_text_of(circuit, "plain") == "2250..9000..18000 2250..9000..18000");
  CHECK(delay_text_of(circuit, "low_power") == "2500..10000..15000 2500..10000..15000");
  CHECK(delay_text_of(circuit, "own") == "3000..3000..3000 3000..3000..3000");
  CHECK(delay_text_of(circuit, "slow") == "21250..85000..250000 30000..120000..250000");
  CHECK(delay_text_of(circuit, "wide") == "2250..9000..18000 2250..9000..18000");
  CHECK(circuit.part(0) == "7402");
  CHECK(circuit.part(1) == "74LS02");
  CHECK(circuit.part(3) == "CD4011B");
}

TEST_CASE("A circuit keeps the parts that gates name, those of each element and instance") {
  const auto plain = circuit(
      "cell pair\n  in a[1:0]\n  out q[1:0]\n  cell_of_two x: a[1:0] -> q[1:0]\nend\n"
      "cell cell_of_two\n  in a[1:0]\n  out q[1:0]\n  not n[1:0]: a[1:0] -> q[1:0] {part=74HC04}\nend\n");
  CHECK(plain.gate_count() == 2);
  CHECK(plain.part(0) == "74HC04");
  CHECK(plain.part(1) == "74HC04");
  CHECK(!plain.has_delays());
  CHECK(circuit("cell n\n in a\n out q\n not g: a -> q\nend\n").part(0) == "");
}

TEST_CASE("A figure of a similar part is said to be one, once") {
  const auto loaded = load_with(
      "cell lamp\n"
      "  in a b\n"
      "  out q r\n"
      "  xor one: a b -> q\n"
      "  xor two: a q -> r\n"
      "end\n",
      "AC");
  REQUIRE(loaded.circuit);
  CHECK(loaded.messages ==
        "test.gates:4:7: note: family AC has no figures for an xor of 2 inputs; it gets those of 74AC00, a "
        "nand of 2 inputs\n"
        "    xor one: a b -> q\n"
        "        ^\n");
  CHECK(delay_text_of(*loaded.circuit, "one") == "1500..6000..8000 1500..4500..6500");
}

TEST_CASE("Without parts a netlist may keep its unit delays") {
  const std::string without = "cell n\n in a\n out q\n not g: a -> q\nend\n";
  CHECK(load_with(without, "HC", true).circuit->time_unit() == TimeUnit::none);
  CHECK(load_with(without, "HC").circuit->time_unit() == TimeUnit::ps);
  const auto mixed =
      load_with("cell n\n in a\n out q\n not g: a -> b\n not h: b -> q {part=74LS04}\nend\n", "HC", true);
  REQUIRE(mixed.circuit);
  CHECK(mixed.circuit->time_unit() == TimeUnit::ps);
  CHECK(mixed.messages ==
        "test.gates:4:6: note: gates that name no part get the delays of family HC\n"
        "   not g: a -> b\n"
        "       ^\n");
}

TEST_CASE("Ticks are as fine as the finest delay") {
  // Parts that nobody needs to look up leave the ticks alone.
  CHECK(load_with("cell n\n in a\n out q\n not g: a -> q {delay=9ns part=74HC04}\nend\n", "HC")
            .circuit->time_unit() == TimeUnit::ns);
  const auto loaded =
      load_with("cell n\n in a\n out q\n not g: a -> b\n not h: b -> q {delay=5fs}\nend\n", "HC");
  REQUIRE(loaded.circuit);
  CHECK(loaded.circuit->time_unit() == TimeUnit::fs);
  CHECK(delay_text_of(*loaded.circuit, "g") == "2250000..9000000..19000000 2250000..9000000..19000000");
  CHECK(delay_text_of(*loaded.circuit, "h") == "5..5..5 5..5..5");
}

TEST_CASE("Parts that cannot be the gate, and parts that nobody knows, are errors at their place") {
  const auto loaded = load_with(
      "cell lamp\n"
      "  in a b c\n"
      "  out q r s t u v\n"
      "  nor  one: a b -> q {part=74HC00}\n"
      "  nand two: a b c -> r {part=74HC00}\n"
      "  nand three: a b -> s {delay=3ns part=74F02}\n"
      "  nand four: a b -> t {part=74F00}\n"
      "  nand five: a b -> u {part=BC547}\n"
      "  nand six: a b -> v {part=CD4011UB}\n"
      "end\n",
      "HC");
  CHECK(!loaded.circuit);
  CHECK(loaded.messages ==
        "test.gates:4:22: error: part '74HC00' is a nand of 2 inputs, the gate a nor of 2 inputs\n"
        "    nor  one: a b -> q {part=74HC00}\n"
        "                       ^\n"
        "  hint: name a part of this function, or none\n"
        "test.gates:5:24: error: part '74HC00' is a nand of 2 inputs, the gate a nand of 3 inputs\n"
        "    nand two: a b c -> r {part=74HC00}\n"
        "                         ^\n"
        "  hint: name a part of this function, or none\n"
        "test.gates:6:24: error: part '74F02' is a nor of 2 inputs, the gate a nand of 2 inputs\n"
        "    nand three: a b -> s {delay=3ns part=74F02}\n"
        "                         ^\n"
        "  hint: name a part of this function, or none\n"
        "test.gates:7:23: error: there are no delays of family 'F' for part '74F00'\n"
        "    nand four: a b -> t {part=74F00}\n"
        "                        ^\n"
        "  hint: the families are LS, HC, HCT, AC and 4000B; --families FILE adds more, and a {delay=...} of the gate comes first\n"
        "test.gates:8:23: error: 'BC547' is not the name of a 74 or 4000 series part\n"
        "    nand five: a b -> u {part=BC547}\n"
        "                        ^\n"
        "  hint: the families are LS, HC, HCT, AC and 4000B; --families FILE adds more, and a {delay=...} of the gate comes first\n"
        "test.gates:9:22: error: there are no delays of family '4000UB' for part 'CD4011UB'\n"
        "    nand six: a b -> v {part=CD4011UB}\n"
        "                       ^\n"
        "  hint: the families are LS, HC, HCT, AC and 4000B; --families FILE adds more, and a {delay=...} of the gate comes first\n");
}

TEST_CASE("What a part can be made into") {
  using enum GateKind;
  const auto part = [](GateKind kind, std::uint32_t inputs) {
    GateFigures figures;
    figures.kind = kind;
    figures.inputs = inputs;
    return figures;
  };
  const auto nand2 = part(nand, 2), nor3 = part(nor, 3), xor2 = part(xor_, 2), and2 = part(and_, 2);
  CHECK(fits(nand2, nand, 2));
  CHECK(fits(nand2, not_, 1));
  CHECK(fits(nand2, nor, 1));
  CHECK(!fits(nand2, nor, 2));
  CHECK(!fits(nand2, nand, 3));
  CHECK(fits(nor3, nor, 2));
  CHECK(fits(xor2, not_, 1));
  CHECK(fits(xor2, buf, 1));
  CHECK(fits(and2, buf, 1));
  CHECK(!fits(and2, not_, 1));
  CHECK(!fits(and2, bufif1, 2));
}

TEST_CASE("A file of families is judged where it stands") {
  CHECK(
      messages_of(
          R"({"schema": "families/1", "sources": [{"id": "s", "title": "own measurement", "confidence": "solid"}],
 "families": [{"name": "F", "gates": [
   {"part": "74F00", "kind": "nand", "inputs": 2, "both": {"max": {"ps": 5000, "source": "s"}}}]}]})") == "");
  CHECK(
      messages_of(
          R"({"schema": "families/1", "sources": [{"id": "s", "title": "t", "confidence": "solid"}], "families": [
 {"name": "F", "gates": [
 {"part": "74F02", "kind": "nand", "inputs": 2, "both": {"max": {"ps": 5000, "source": "s"}}},
 {"part": "74F00", "kind": "nand", "inputs": 2, "both": {"max": {"ps": 5.5, "source": "s"}}},
 {"part": "74F00", "kind": "nand", "inputs": 2, "both": {"max": {"ps": 5, "source": "other"}}},
 {"part": "74F00", "kind": "nand", "inputs": 2, "rise": {"max": {"ps": 5, "source": "s"}}},
 {"part": "74F00", "kind": "nandd", "inputs": 2, "both": {"maxx": {"ps": 5, "source": "s"}}},
 {"part": "74F00", "kind": "nand", "inputs": 2, "both": {"typical": {"ps": 9, "source": "s"}, "max": {"ps": 5, "source": "s"}}}
 ]}]})") ==
      "3:28: error: '7402' is known as a nor with 2 inputs\n"
      "4:72: error: \"ps\" must be a whole number from 1 to 1000000000\n"
      "5:85: error: there is no source 'other' in this file\n"
      "6:2: error: a gate has \"both\", or \"rise\" and \"fall\"\n"
      "7:28: error: 'nandd' is no kind of gate\n"
      "8:57: error: minimum, typical and maximum must not fall\n");
  CHECK(messages_of(R"({"families": [{"name": "F", "gates": []}, {"gates": 3}, 4], "famlies": 1})") ==
        "1:72: error: \"famlies\" is no member that belongs here\n"
        "1:1: error: the document does not say what it is\n"
        "1:15: error: family 'F' has no \"gates\"\n"
        "1:43: error: \"name\" is missing\n"
        "1:53: error: \"gates\" must be an array\n"
        "1:57: error: this must be an object\n");
  CHECK(messages_of("[]") == "1:1: error: a family library is an object\n");
}
