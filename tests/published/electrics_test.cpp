// The static figures of the logic families against the makers' data sheets, and the fan-outs that makers
// state against those that follow from our figures.
#include <cmath>
#include <map>
#include <string>

#include "settle/electrical.h"
#include "support/catch.h"

namespace settle {
namespace {

struct SheetRow {
  const char* family;
  double supply_least, supply_most;  // V
  double low_level, high_level;      // V: VIL max, VIH min
  double drives_low, drives_high;    // mA: IOL, -IOH
  double input_low, input_high;      // uA: -IIL, IIH
  double input_pf;
};

const SheetRow sheet_rows[] = {
    // TI SDLS025B (Oct 2003), SN74LS00: VIH 2.0, VIL 0.8, IOH -0.4 mA, IOL 8 mA, IIH 20 uA, IIL -0.4 mA,
    // supply 4.75 to 5.25 V; Motorola SN54/74LS00 gives the same figures
    {"LS", 4.75, 5.25, 0.8, 2.0, 8, 0.4, 400, 20, 0},
    // NXP 74HC02/74HCT02 Rev.4 (4 Sep 2012), Table 6 at 4.5 V: VIH 3.15, VIL 1.35, 4 mA, II 0.1 uA, CI 3.5 pF
    {"HC", 2, 6, 1.35, 3.15, 4, 4, 0.1, 0.1, 3.5},
    // TI CD54/74HCT08 DC specifications: supply 4.5 to 5.5 V, VIH 2.0, VIL 0.8, 4 mA; inputs as for HC
    {"HCT", 4.5, 5.5, 0.8, 2.0, 4, 4, 0.1, 0.1, 3.5},
    // Motorola MC74AC00: 24 mA, 2 to 6 V; thresholds at 4.5 V and input current from memory
    {"AC", 2, 6, 1.35, 3.15, 24, 24, 0.1, 0.1, 0},
    // National CD4001BC/CD4011BC TL/F/5939 at 5 V: VIH 3.5, VIL 1.5, 0.44 mA, 5 pF; supply range and input
    // current from memory
    {"4000B", 3, 15, 1.5, 3.5, 0.44, 0.44, 0.1, 0.1, 5},
};

bool same(double a, double b) { return std::abs(a - b) < 1e-9; }

TEST_CASE("Static figures of the families are those of the data sheets") {
  const auto families = built_in_electrics();
  CHECK(families.size() == std::size(sheet_rows));
  for (const SheetRow& row : sheet_rows) {
    CAPTURE(row.family);
    const FamilyElectrics* family = find_electrics(families, row.family);
    REQUIRE(family != nullptr);
    CHECK(same(family->supply_least, row.supply_least));
    CHECK(same(family->supply_most, row.supply_most));
    CHECK(same(family->low_level, row.low_level));
    CHECK(same(family->high_level, row.high_level));
    CHECK(same(family->drives_low, row.drives_low));
    CHECK(same(family->drives_high, row.drives_high));
    CHECK(same(family->input_low * 1000, row.input_low));
    CHECK(same(family->input_high * 1000, row.input_high));
    CHECK(same(family->input_pf, row.input_pf));
    CHECK(!family->source.empty());
  }
}

TEST_CASE("Stated fan-outs follow from the figures") {
  const auto families = built_in_electrics();
  const auto fan_out = [&](const char* driver, const char* load) {
    const FamilyElectrics *d = find_electrics(families, driver), *l = find_electrics(families, load);
    return std::floor(std::min(d->drives_low / l->input_low, d->drives_high / l->input_high) + 1e-9);
  };
  // 8 mA / 0.4 mA and 400 uA / 20 uA
  CHECK(fan_out("LS", "LS") == 20);
  // TI SN74HC74-Q1 SCLS577A, features: 10 LSTTL loads
  CHECK(fan_out("HC", "LS") == 10);
  // National TL/F/5939: 1 input of 74LS
  CHECK(fan_out("4000B", "LS") == 1);
}

}  // namespace
}  // namespace settle
