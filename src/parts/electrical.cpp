// Figures of families from electrics.json, and resistors from Ohm's law.
//
// The E12 values are those of IEC 60063: twelve a decade.
#include "settle/electrical.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "parts/embedded.h"

namespace settle {
namespace {

constexpr std::array<double, 12> e12 = {1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};
constexpr double smallest = 1, largest = 1e7;

/// All E12 values from `smallest` to `largest`, ascending.
std::vector<double> e12_values() {
  std::vector<double> values;
  for (double decade = smallest; decade < largest; decade *= 10) {
    for (const double v : e12) values.push_back(v * decade);
  }
  values.push_back(largest);
  return values;
}

/// Sums of binary fractions may be a hair off the value meant.
constexpr double hair = 1e-9;

void read_two(const nlohmann::json& value, double& first, double& second) {
  std::istringstream text(value.get<std::string>());
  text >> first >> second;
}

}  // namespace

std::vector<FamilyElectrics> built_in_electrics() {
  std::vector<FamilyElectrics> families;
  // Our own file, judged by a test: nothing in it can be missing.
  const nlohmann::json document = nlohmann::json::parse(electrics_json(), nullptr, false);
  for (const auto& item : document["families"]) {
    FamilyElectrics family;
    family.name = item["family"].get<std::string>();
    family.bipolar = item["bipolar"].get<bool>();
    read_two(item["supply"], family.supply_least, family.supply_most);
    read_two(item["levels"], family.low_level, family.high_level);
    read_two(item["drives"], family.drives_low, family.drives_high);
    read_two(item["takes"], family.input_low, family.input_high);
    family.input_pf = item["input_pf"].get<double>();
    family.load_pf = item["load_pf"].get<double>();
    family.source = item["source"].get<std::string>();
    family.confidence = item["confidence"].get<std::string>();
    families.push_back(std::move(family));
  }
  return families;
}

const FamilyElectrics* find_electrics(const std::vector<FamilyElectrics>& families, std::string_view name) {
  const auto found = std::find_if(families.begin(), families.end(),
                                  [&](const FamilyElectrics& f) { return f.name == name; });
  return found == families.end() ? nullptr : &*found;
}

double e12_at_least(double ohms) {
  const auto values = e12_values();
  const auto found = std::lower_bound(values.begin(), values.end(), ohms * (1 - hair));
  return found == values.end() ? values.back() : *found;
}

double e12_at_most(double ohms) {
  const auto values = e12_values();
  const auto above = std::upper_bound(values.begin(), values.end(), ohms * (1 + hair));
  return above == values.begin() ? values.front() : *(above - 1);
}

std::string ohm_text(double ohms, bool ascii) {
  const char* unit = ascii ? "ohm" : "\u03a9";
  if (ohms >= 1e6) return fmt::format("{:g} M{}", ohms / 1e6, unit);
  if (ohms >= 1e3) return fmt::format("{:g} k{}", ohms / 1e3, unit);
  return fmt::format("{:g} {}", ohms, unit);
}

std::optional<double> led_resistor(double supply, double led_volts, double led_ma) {
  if (led_volts >= supply || led_ma <= 0) return {};
  return e12_at_least((supply - led_volts) / led_ma * 1e3);
}

double pull_resistor(double supply, double button_ma, const FamilyElectrics& family, unsigned inputs) {
  const double by_button = supply / button_ma * 1e3;
  // Half of the low level is left for noise.
  const double by_inputs = inputs == 0 || family.input_low <= 0
                               ? by_button
                               : family.low_level / 2 / (family.input_low * inputs) * 1e3;
  return e12_at_most(std::min(by_button, by_inputs));
}

}  // namespace settle
