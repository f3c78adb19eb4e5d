// What the pins of a logic family can drive and what they take, and resistors from that.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace settle {

/// Static figures of a family, as positive numbers; currents out of a pin and into it alike.
struct FamilyElectrics {
  std::string name;                          ///< "HC"
  bool bipolar = false;                      ///< inputs take current, mostly at 0
  double supply_least = 0, supply_most = 0;  ///< volts
  double low_level = 0;    ///< volts up to which an input surely reads 0, at the lowest common supply
  double high_level = 0;   ///< volts from which an input surely reads 1
  double drives_low = 0;   ///< mA that an output sinks at 0
  double drives_high = 0;  ///< mA that an output gives at 1
  double input_low = 0;    ///< mA of an input at 0
  double input_high = 0;   ///< mA of an input at 1
  double input_pf = 0;     ///< capacitance of an input; 0 where the sheet says nothing
  double load_pf = 0;      ///< load at which the sheet gives its delays; 0: not given
  std::string source;
  std::string confidence;  ///< "sheet" or "memory"
};

/// The families that come with settle: the file src/parts/electrics.json.
std::vector<FamilyElectrics> built_in_electrics();

/// By name; nullptr when there is none.
const FamilyElectrics* find_electrics(const std::vector<FamilyElectrics>& families, std::string_view name);

/// The E12 value (IEC 60063) that is the next at or above, or at or below, `ohms`; from 1 ohm to 10 Mohm.
double e12_at_least(double ohms);
double e12_at_most(double ohms);

/// "1.5 kΩ", "470 Ω"; in ASCII "1.5 kohm".
std::string ohm_text(double ohms, bool ascii = false);

/// The resistor in series with an indicator LED: supply less LED voltage, over the current. Rounded up, so
/// that the current is at most the one stated. Nothing when the LED needs more than the supply.
std::optional<double> led_resistor(double supply, double led_volts, double led_ma);

/// The resistor that holds an open button's line at 0: the button then carries `button_ma`, and the
/// inputs' own current must not lift the line above their low level. Rounded down.
double pull_resistor(double supply, double button_ma, const FamilyElectrics& family, unsigned inputs);

}  // namespace settle
