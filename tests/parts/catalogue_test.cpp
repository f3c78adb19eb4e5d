#include "settle/catalogue.h"

#include "support/catch.h"
#include "support/memory_files.h"

namespace settle {
namespace {

std::string messages(const std::string& text, Catalogue& catalogue) {
  testing::MemoryFiles files{{"mine.json", text}};
  Sources sources;
  Diagnostics diagnostics;
  read_parts("mine.json", files, sources, diagnostics, catalogue);
  return render(diagnostics, sources);
}

std::string messages(const std::string& text) {
  Catalogue catalogue;
  return messages(text, catalogue);
}

/// A file of one part, with the members given put in place of those of a 7402.
std::string one_part(const std::string& pins, const std::string& gates, const std::string& more = "") {
  return "{\"schema\": \"parts/1\", \"parts\": [\n{\"part\": \"7402\", \"title\": \"four 2-input NOR "
         "gates\",\n" +
         more + "\"gate\": \"nor\", " + pins + ",\n\"gates\": " + gates + ", \"families\": [\"HC\"]}]}\n";
}

constexpr const char* good_pins = R"("pins": 14, "supply": 14, "ground": 7)";
constexpr const char* good_gates = R"(["2 3 -> 1", "5 6 -> 4", "8 9 -> 10", "11 12 -> 13"])";

TEST_CASE("The built-in catalogue loads and each package adds up") {
  const Catalogue catalogue = built_in_catalogue();
  CHECK(catalogue.parts().size() == 36);
  for (const Part& part : catalogue.parts()) {
    CAPTURE(part.number);
    std::vector<int> uses(part.pin_count + 1u, 0);
    uses[part.supply]++;
    uses[part.ground]++;
    for (const auto pin : part.unconnected) uses[pin]++;
    for (const PartGate& gate : part.gates) {
      uses[gate.output]++;
      for (const auto pin : gate.inputs) uses[pin]++;
    }
    for (std::size_t pin = 1; pin < uses.size(); ++pin) {
      CAPTURE(pin);
      CHECK(uses[pin] == 1);
    }
    CHECK(!part.source.empty());
    CHECK(part.confidence != Part::Confidence::user);
  }
}

TEST_CASE("Part numbers are taken apart and put together") {
  const auto parts = [](std::string_view text) {
    const auto number = part_number_from(text);
    return number ? number->number + " " + number->family : "none";
  };
  CHECK(parts("74HC02") == "7402 HC");
  CHECK(parts("74hct125") == "74125 HCT");
  CHECK(parts("SN74LS00N") == "7400 LS");
  CHECK(parts("MC74AC00") == "7400 AC");
  CHECK(parts("7404") == "7404 ");
  CHECK(parts("74HC7266") == "747266 HC");
  CHECK(parts("4001") == "4001 4000B");
  CHECK(parts("CD4011BE") == "4011 4000B");
  CHECK(parts("74HC") == "none");
  CHECK(parts("74") == "none");
  CHECK(parts("555") == "none");
  CHECK(parts("NE555") == "none");
  CHECK(parts("74HC02-7") == "none");
  CHECK(parts("") == "none");
  CHECK(part_number_text("7402", "HC") == "74HC02");
  CHECK(part_number_text("747266", "HC") == "74HC7266");
  CHECK(part_number_text("7402", "") == "7402");
  CHECK(part_number_text("4001", "4000B") == "4001B");
  CHECK(part_number_text("4069", "4000B") == "4069UB");
  CHECK(parts("CD4069UBE") == "4069 4000B");
}

TEST_CASE("A file of parts adds and replaces") {
  Catalogue catalogue = built_in_catalogue();
  const auto before = catalogue.parts().size();
  CHECK(messages(one_part(good_pins, good_gates), catalogue) == "");
  CHECK(catalogue.parts().size() == before);
  CHECK(catalogue.find("7402")->confidence == Part::Confidence::user);
  const std::string other =
      R"({"schema": "parts/1", "parts": [{"part": "4078", "title": "an 8-input NOR gate", "gate": "nor",
    "pins": 14, "supply": 14, "ground": 7, "unconnected": "1 6 8", "gates": ["2 3 4 5 9 10 11 12 -> 13"], "families": ["4000B"]}]})";
  CHECK(messages(other, catalogue) == "");
  CHECK(catalogue.parts().size() == before + 1);
  REQUIRE(catalogue.find("4078") != nullptr);
  CHECK(catalogue.find("4078")->fan_in() == 8);
  CHECK(catalogue.find("4078")->is_made_in("4000B"));
  CHECK(!catalogue.find("4078")->is_made_in("AC"));
}

TEST_CASE("Faults of a file of parts are shown with their places") {
  CHECK(
      messages(one_part(good_pins, R"(["2 3 -> 1", "5 6 -> 4", "8 9 -> 10", "11 9 -> 13"])")) ==
      "mine.json:4:52: error: pin 9 is used twice: gate 3 and gate 4\n"
      "  \"gates\": [\"2 3 -> 1\", \"5 6 -> 4\", \"8 9 -> 10\", \"11 9 -> 13\"], \"families\": [\"HC\"]}]}\n"
      "                                                     ^\n"
      "mine.json:2:10: error: part '7402' says nothing of pin 12\n"
      "  {\"part\": \"7402\", \"title\": \"four 2-input NOR gates\",\n"
      "           ^\n"
      "  hint: each pin is the supply, ground, one pin of a gate, or in \"unconnected\"\n");
  CHECK(messages(one_part(R"("pins": 14, "supply": 15, "ground": 7)", good_gates)) ==
        "mine.json:3:38: error: 15 is no number from 1 to 14\n"
        "  \"gate\": \"nor\", \"pins\": 14, \"supply\": 15, \"ground\": 7,\n"
        "                                       ^\n");
  CHECK(messages(one_part(good_pins, R"(["2 3 -> 1", "5 -> 4"])")) ==
        "mine.json:4:23: error: this gate has 1 inputs, the first one 2\n"
        "  \"gates\": [\"2 3 -> 1\", \"5 -> 4\"], \"families\": [\"HC\"]}]}\n"
        "                        ^\n"
        "  hint: the gates of a part are all alike\n"
        "mine.json:2:10: error: part '7402' says nothing of pin 4, 5, 6, 8, 9, 10, 11, 12, 13\n"
        "  {\"part\": \"7402\", \"title\": \"four 2-input NOR gates\",\n"
        "           ^\n"
        "  hint: each pin is the supply, ground, one pin of a gate, or in \"unconnected\"\n");
  CHECK(messages("{\"schema\": \"parts/1\", \"parts\": [{\"part\": \"7402\", \"titel\": \"x\"}]}\n") ==
        "mine.json:1:59: error: \"titel\" is no member that belongs here\n"
        "  {\"schema\": \"parts/1\", \"parts\": [{\"part\": \"7402\", \"titel\": \"x\"}]}\n"
        "                                                            ^\n"
        "  hint: did you mean \"title\"?\n");
  CHECK(messages("{\"schema\": \"netlist/1\", \"parts\": []}")
            .find("'netlist/1' is another kind of document") != std::string::npos);
  CHECK(messages("[]").find("a file of parts is an object") != std::string::npos);
  CHECK(messages(one_part(good_pins, good_gates, "\"output\": \"three-state\", "))
            .find("'nor' gates have no three-state output") != std::string::npos);
  CHECK(messages(one_part(R"("pins": 14, "supply": 7, "ground": 7)", good_gates))
            .find("pin 7 is used twice: the supply and ground") != std::string::npos);
  Catalogue none;
  CHECK(messages(one_part(R"("pins": 14, "supply": 7, "ground": 7)", good_gates), none) != "");
  CHECK(none.parts().empty());
}

TEST_CASE("A file of parts that is not there") {
  testing::MemoryFiles files;
  Sources sources;
  Diagnostics diagnostics;
  Catalogue catalogue;
  CHECK(!read_parts("mine.json", files, sources, diagnostics, catalogue));
  CHECK(render(diagnostics, sources) == "settle: error: cannot read 'mine.json': no such file\n");
}

}  // namespace
}  // namespace settle
