// Shipped delays against rows copied here from data sheets, each with its source and how it is known.
#include "settle/family.h"
#include "support/catch.h"

using namespace settle;

namespace {

struct PartDelayRow {
  const char* family;
  const char* number;
  const char* edge;                 // "rise" (tPLH), "fall" (tPHL) or "both"
  std::uint64_t min, typical, max;  // picoseconds; 0: the sheet gives none
  const char* source;
};

constexpr PartDelayRow part_delay_rows[] = {
    {"HC", "7400", "both", 0, 9000, 18000, "TI SN74HC00 SCLS181, 4.5 V (from memory)"},
    {"HC", "7402", "both", 0, 9000, 18000, "TI SN74HC02 SCLS076, 4.5 V (from memory)"},
    {"HC", "7404", "both", 0, 9000, 19000, "TI SN74HC04 SCLS078, 4.5 V (from memory)"},
    {"HC", "7410", "both", 0, 0, 19000, "TI SN74HC10, maximum only (from memory)"},
    {"HCT", "7400", "both", 0, 13000, 19000, "Toshiba TC74HCT00AP/AF (29 Feb 2012), 4.5 V, 50 pF"},
    {"HCT", "7402", "both", 0, 11000, 19000, "Philips 74HC/HCT02 Dec 1990, 4.5 V, 50 pF"},
    {"HCT", "7420", "both", 0, 16000, 28000, "Philips 74HC/HCT20 Dec 1990, 4.5 V, 50 pF"},
    {"HCT", "74125", "both", 0, 13000, 21000, "ST M54/M74HCT125/126, 4.5 V, 50 pF"},
    {"AC", "7400", "rise", 1500, 6000, 8000, "Motorola MC74AC00, 5 V, 50 pF"},
    {"AC", "7400", "fall", 1500, 4500, 6500, "Motorola MC74AC00, 5 V, 50 pF"},
    {"LS", "7402", "rise", 0, 10000, 15000, "TI SN74LS02, 5 V, 15 pF (from memory)"},
    {"LS", "7408", "fall", 0, 10000, 20000, "TI SN74LS08, 5 V, 15 pF (from memory)"},
    {"LS", "7486", "rise", 0, 20000, 30000, "TI SN74LS86A, other input HIGH (from memory)"},
    {"4000B", "4001", "fall", 0, 120000, 250000, "National CD4001BC TL/F/5939, 5 V, 50 pF"},
    {"4000B", "4001", "rise", 0, 110000, 250000, "National CD4001BC TL/F/5939, 5 V, 50 pF"},
    {"4000B", "4011", "rise", 0, 85000, 250000, "National CD4011BC TL/F/5939, 5 V, 50 pF (from memory)"},
};

}  // namespace

TEST_CASE("Shipped delays are those of the data sheets, and figures that sheets lack follow the rules") {
  const FamilyLibrary library = FamilyLibrary::shipped();
  for (const PartDelayRow& row : part_delay_rows) {
    CAPTURE(row.family, row.number, row.edge, row.source);
    const Family* family = library.find(row.family);
    REQUIRE(family != nullptr);
    const GateFigures* gate = family->find(row.number);
    REQUIRE(gate != nullptr);
    const std::string edge = row.edge;
    for (const bool rises : {true, false}) {
      if (edge != "both" && (edge == "rise") != rises) continue;
      const EdgeFigures& figures = rises ? gate->rise : gate->fall;
      CHECK(figures.max.ps == row.max);
      CHECK(figures.typ.ps == (row.typical != 0 ? row.typical : row.max / 2));
      CHECK(figures.typ.is_by_rule() == (row.typical == 0));
      CHECK(figures.min.ps == (row.min != 0 ? row.min : figures.typ.ps / 4));
      CHECK(figures.min.is_by_rule() == (row.min == 0));
      // What was from memory is marked so.
      const bool is_memory = std::string(row.source).find("from memory") != std::string::npos;
      CHECK(library.sources[figures.max.source].confidence == (is_memory ? "memory" : "solid"));
    }
  }
}
