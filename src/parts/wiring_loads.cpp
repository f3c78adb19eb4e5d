// Currents, resistors and the bill of materials. All figures are those of electrics.json; nothing is guessed
// for families that are not in it.
#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "parts/wiring_finish.h"

namespace settle {
namespace {

constexpr double decoupling_nf = 100;

/// Sums of many currents may be a hair above their limit.
bool fits(double ma, double limit) { return ma <= limit * (1 + 1e-9); }

class Loads {
 public:
  explicit Loads(Wiring& wiring) : w_(wiring), families_(built_in_electrics()), pins_(pins_by_net(wiring)) {}

  void run() {
    if (w_.options.led.wanted) {
      const auto ohms = led_resistor(w_.options.supply, w_.options.led.volts, w_.options.led.milliamps);
      if (ohms)
        w_.led_ohms = *ohms;
      else
        w_.notes.push_back(fmt::format("an LED of {:g} V cannot light at a supply of {:g} V: none is planned",
                                       w_.options.led.volts, w_.options.supply));
    }
    check_outputs();
    size_resistors();
    say_doubts();
    write_bill();
  }

 private:
  const FamilyElectrics* electrics(const std::string& family) {
    const FamilyElectrics* found = find_electrics(families_, family);
    if (found == nullptr && std::find(unknown_.begin(), unknown_.end(), family) == unknown_.end()) {
      unknown_.push_back(family);
      w_.notes.push_back(
          fmt::format("no electrical figures for family {}: its loads are not checked", family));
    }
    return found;
  }

  /// Current of all inputs on a net, in mA, and their capacitance.
  struct Sum {
    double low = 0, high = 0, pf = 0;
    unsigned inputs = 0;
    bool complete = true;
  };
  Sum inputs_on(WireNetId net) {
    Sum sum;
    for (const WireEnd& end : pins_[net].readers) {
      ++sum.inputs;
      const FamilyElectrics* family = electrics(w_.chips[end.chip].family);
      if (family == nullptr) {
        sum.complete = false;
        continue;
      }
      sum.low += family->input_low;
      sum.high += family->input_high;
      sum.pf += family->input_pf;
    }
    return sum;
  }

  void check_outputs() {
    std::vector<unsigned> leds(w_.nets.size(), 0);
    for (const WireNetId net : w_.outputs) leds[net]++;
    double most_pf = 0;
    for (std::uint32_t chip = 0; chip < w_.chips.size(); ++chip) {
      for (std::uint32_t pin = 1; pin <= w_.chips[chip].pins.size(); ++pin) {
        const WireNetId net = w_.chips[chip].pins[pin - 1];
        if (net == no_id || !gate_at(w_, chip, pin).is_output) continue;
        const FamilyElectrics* family = electrics(w_.chips[chip].family);
        const Sum sum = inputs_on(net);
        LoadCheck check{net, chip, pin, sum.inputs, false, false, sum.low, sum.high, sum.pf, 0, 0, true};
        if (family != nullptr && sum.complete) {
          check.low_limit = family->drives_low;
          check.high_limit = family->drives_high;
          add_led(check, *family, leds[net]);
          check.is_good = fits(check.low_ma, check.low_limit) && fits(check.high_ma, check.high_limit);
          if (!check.is_good) say_overload(check);
          if (family->load_pf > 0 && check.pf > family->load_pf && check.pf > most_pf) {
            most_pf = check.pf;
            slow_ = fmt::format(
                "net {} has {:g} pF of inputs, more than the {:g} pF at which delays are stated: expect it "
                "to be slower",
                w_.nets[net].name, check.pf, family->load_pf);
          }
        }
        w_.loads.push_back(check);
      }
    }
    if (!slow_.empty()) w_.notes.push_back(slow_);
  }

  void add_led(LoadCheck& check, const FamilyElectrics& family, unsigned leds) {
    if (w_.led_ohms == 0 || leds == 0) return;
    const double ma = leds * (w_.options.supply - w_.options.led.volts) / w_.led_ohms * 1e3;
    if (fits(check.high_ma + ma, family.drives_high)) {
      check.has_led = true;
      check.high_ma += ma;
    } else if (fits(check.low_ma + ma, family.drives_low)) {
      check.has_led = true;
      check.led_lights_at_zero = true;
      check.low_ma += ma;
    } else if (std::find(weak_.begin(), weak_.end(), family.name) == weak_.end()) {
      weak_.push_back(family.name);
      w_.notes.push_back(
          fmt::format("an output of {} drives {:g} mA, an LED wants {:.2g} mA: put a transistor between "
                      "them, or a gate of a stronger family",
                      family.name, family.drives_high, ma));
    }
  }

  void say_overload(const LoadCheck& check) {
    const bool low = !fits(check.low_ma, check.low_limit);
    w_.notes.push_back(fmt::format(
        "pin {} of {} has to {} {:.2g} mA and is good for {:g} mA: divide net {} among two gates", check.pin,
        w_.chips[check.chip].name, low ? "sink" : "give", low ? check.low_ma : check.high_ma,
        low ? check.low_limit : check.high_limit, w_.nets[check.net].name));
  }

  void size_resistors() {
    const FamilyElectrics* own = find_electrics(families_, w_.options.family);
    for (const WireNetId net : w_.inputs) {
      const auto& readers = pins_[net].readers;
      const FamilyElectrics* family =
          readers.empty() ? own : electrics(w_.chips[readers.front().chip].family);
      w_.button_ohms.push_back(family == nullptr
                                   ? 0
                                   : pull_resistor(w_.options.supply, w_.options.button_ma, *family,
                                                   static_cast<unsigned>(readers.size())));
    }
    for (PullResistor& pull : w_.pulls) {
      const auto& readers = pins_[pull.net].readers;
      const FamilyElectrics* family =
          readers.empty() ? own : electrics(w_.chips[readers.front().chip].family);
      pull.ohms = family == nullptr ? 0
                                    : pull_resistor(w_.options.supply, w_.options.button_ma, *family,
                                                    static_cast<unsigned>(readers.size()));
    }
  }

  void say_doubts() {
    if (const FamilyElectrics* own = find_electrics(families_, w_.options.family);
        own != nullptr && (w_.options.supply < own->supply_least || w_.options.supply > own->supply_most)) {
      w_.notes.push_back(fmt::format("a supply of {:g} V is outside {:g} to {:g} V of family {}",
                                     w_.options.supply, own->supply_least, own->supply_most, own->name));
    }
    for (const auto confidence : {Part::Confidence::doubt, Part::Confidence::memory}) {
      std::string parts;
      for (const WiredChip& chip : w_.chips) {
        if (w_.parts[chip.part].confidence != confidence) continue;
        if ((", " + parts + ",").find(", " + chip.part_text() + ",") == std::string::npos)
          parts += (parts.empty() ? "" : ", ") + chip.part_text();
      }
      if (parts.empty()) continue;
      w_.notes.push_back(
          confidence == Part::Confidence::doubt
              ? fmt::format("published pin-outs of {} disagree: look at the data sheet before you wire it",
                            parts)
              : fmt::format(
                    "the pin-out of {} is from memory, not read in a data sheet: compare it with yours",
                    parts));
    }
    const bool bipolar = std::any_of(w_.chips.begin(), w_.chips.end(), [&](const WiredChip& chip) {
      const FamilyElectrics* family = find_electrics(families_, chip.family);
      return family != nullptr && family->bipolar;
    });
    const bool at_supply =
        std::any_of(pins_[supply_net].readers.begin(), pins_[supply_net].readers.end(),
                    [&](const WireEnd& end) { return gate_at(w_, end.chip, end.number).gate != nullptr; });
    if (bipolar && at_supply)
      w_.notes.push_back("an LS input at the supply wants a resistor of 1 k\u03a9 in its wire");
    if (!w_.replacements.empty()) {
      w_.notes.push_back(
          "replacements change delays and may change hazards: check them with the board's own netlist "
          "(--format gates)");
    }
  }

  void add(std::size_t count, std::string what, std::string remark) {
    if (count > 0) w_.bill.push_back({static_cast<unsigned>(count), std::move(what), std::move(remark)});
  }

  void write_bill() {
    std::vector<std::pair<std::string, std::vector<std::string>>> chips;
    std::map<std::string, std::size_t> part_of;
    for (const WiredChip& chip : w_.chips) {
      const std::string text = chip.part_text();
      part_of[text] = chip.part;
      const auto found =
          std::find_if(chips.begin(), chips.end(), [&](const auto& c) { return c.first == text; });
      if (found == chips.end())
        chips.push_back({text, {chip.name}});
      else
        found->second.push_back(chip.name);
    }
    for (const auto& [text, names] : chips) {
      std::string list;
      for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
      add(names.size(), text, fmt::format("{}: {}", w_.parts[part_of[text]].title, list));
    }
    add(w_.chips.size(), fmt::format("capacitor {:g} nF, ceramic", decoupling_nf),
        "one at the supply pins of each chip, wires as short as can be");
    add(w_.chips.empty() ? 0 : 1, "capacitor 10 \u00b5F, electrolytic",
        "where the supply comes in; mind its polarity");
    add(w_.inputs.size(), "push-button or lever switch", "one an input, between the input and the supply");
    std::map<double, std::vector<std::string>> resistors;
    for (std::size_t i = 0; i < w_.inputs.size(); ++i) {
      if (w_.button_ohms[i] > 0) resistors[w_.button_ohms[i]].push_back(w_.nets[w_.inputs[i]].name);
    }
    for (const auto& [ohms, names] : resistors)
      add(names.size(), "resistor " + ohm_text(ohms), "holds an open input at 0: from the input to ground");
    std::map<std::pair<double, bool>, std::size_t> pulls;
    for (const PullResistor& pull : w_.pulls) pulls[{pull.ohms, pull.to_supply}]++;
    for (const auto& [kind, count] : pulls) {
      if (kind.first > 0)
        add(count, "resistor " + ohm_text(kind.first),
            kind.second ? "pull-up of the circuit: from its net to the supply"
                        : "pull-down of the circuit: from its net to ground");
    }
    std::size_t leds = 0;
    for (const WireNetId net : w_.outputs) {
      leds += std::any_of(w_.loads.begin(), w_.loads.end(),
                          [&](const LoadCheck& l) { return l.net == net && l.has_led; })
                  ? 1
                  : 0;
    }
    if (leds == 0) return;
    const bool at_zero = std::any_of(w_.loads.begin(), w_.loads.end(),
                                     [](const LoadCheck& l) { return l.led_lights_at_zero; });
    add(leds,
        fmt::format("LED, {}, {:g} V at {:g} mA", w_.options.led.colour, w_.options.led.volts,
                    w_.options.led.milliamps),
        at_zero
            ? "one an output; where an output cannot give the current, between supply and output, lit at 0"
            : "one an output; mind its polarity");
    add(leds, "resistor " + ohm_text(w_.led_ohms), "in series with each LED");
  }

  Wiring& w_;
  std::vector<FamilyElectrics> families_;
  std::vector<NetPins> pins_;
  std::vector<std::string> unknown_, weak_;
  std::string slow_;
};

}  // namespace

void check_loads(Wiring& wiring) { Loads(wiring).run(); }

}  // namespace settle
