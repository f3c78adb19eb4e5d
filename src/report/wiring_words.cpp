#include "report/wiring_words.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace settle::report {

std::string wire_net_text(const Wiring& wiring, WireNetId net) {
  return net == ground_net ? "ground" : net == supply_net ? "supply" : wiring.nets[net].name;
}

std::string end_text(const Wiring& wiring, const Circuit& circuit, const WireEnd& end) {
  switch (end.kind) {
    case WireEnd::Kind::pin: return fmt::format("{}.{}", wiring.chips[end.chip].name, end.number);
    case WireEnd::Kind::supply_rail: return "supply";
    case WireEnd::Kind::ground_rail: return "ground";
    case WireEnd::Kind::input: return "input " + circuit.net_name(end.number);
    case WireEnd::Kind::output: break;
  }
  return "output " + circuit.output_bit_name(end.number);
}

std::string wired_gate_text(const WiredGate& gate, const Circuit& circuit) {
  if (gate.gate == no_id) return "at rest";
  return (gate.is_result ? "" : "part of ") + circuit.gate_name(gate.gate);
}

std::string chip_count_text(const Wiring& wiring) {
  const auto count = wiring.chips.size();
  std::string text = fmt::format("{} chip{}", count, count == 1 ? "" : "s");
  text += wiring.is_fewest
              ? fmt::format(", the fewest with --substitute {}", name_of(wiring.options.substitute))
              : fmt::format("; {} might do, that was not found out", wiring.lower_bound);
  if (wiring.chips_without_replacement > count)
    text += fmt::format("; {} without replacements", wiring.chips_without_replacement);
  return text;
}

std::string wiring_summary(const Wiring& wiring) {
  return fmt::format("{}; family {}, {:g} V.", chip_count_text(wiring), wiring.options.family,
                     wiring.options.supply);
}

std::string board_proof_text(const Wiring& wiring) {
  if (wiring.replacements.empty()) return {};
  const std::string tables =
      wiring.functions_checked ? "each replacement has its gate's truth table (all inputs tried)" : "";
  if (!wiring.proof)
    return tables.empty() ? "the replacements were not proved"
                          : tables + "; the whole board was not compared";
  switch (wiring.proof->answer) {
    case Comparison::Answer::equal:
      return (tables.empty() ? "" : tables + "; ") +
             std::string(
                 wiring.proof->proof == Comparison::Proof::inputs
                     ? "the whole board equals the circuit for all inputs (SAT solver)"
                 : wiring.proof->proof == Comparison::Proof::gates
                     ? "the whole board equals the circuit gate by gate"
                     : "the whole board equals the circuit in all stable states and single input changes");
    case Comparison::Answer::different:
      return (tables.empty() ? "" : tables + "; ") +
             std::string("the whole board differs from the circuit where signals race");
    case Comparison::Answer::undecided: break;
  }
  const std::string reason =
      wiring.proof->undecided_reason.empty() ? "" : ": " + wiring.proof->undecided_reason;
  return (tables.empty() ? "" : tables + "; ") + "the whole board was not compared to the end" + reason;
}

std::vector<std::string> terminal_notes(const Wiring& wiring, const Circuit& circuit, bool ascii) {
  std::vector<std::string> notes;
  std::map<double, std::vector<std::string>> inputs;
  for (std::uint32_t i = 0; i < wiring.inputs.size(); ++i) {
    if (wiring.button_ohms[i] > 0) inputs[wiring.button_ohms[i]].push_back(circuit.net_name(i));
  }
  for (const auto& [ohms, names] : inputs) {
    std::string list;
    for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
    notes.push_back(fmt::format(
        "{} {}: button from the supply to the input, {} from the input to ground ({:.2g} mA while pressed)",
        names.size() == 1 ? "input" : "inputs", list, ohm_text(ohms, ascii),
        wiring.options.supply / ohms * 1e3));
  }
  for (const PullResistor& pull : wiring.pulls) {
    if (pull.ohms > 0) {
      notes.push_back(fmt::format("net {}: {} to {} ({})", wire_net_text(wiring, pull.net),
                                  ohm_text(pull.ohms, ascii), pull.to_supply ? "the supply" : "ground",
                                  circuit.gate_name(pull.gate)));
    }
  }
  std::string lit_at_one, lit_at_zero;
  for (std::uint32_t i = 0; i < wiring.outputs.size(); ++i) {
    const auto load = std::find_if(wiring.loads.begin(), wiring.loads.end(), [&](const LoadCheck& l) {
      return l.net == wiring.outputs[i] && l.has_led;
    });
    if (load == wiring.loads.end()) continue;
    std::string& list = load->led_lights_at_zero ? lit_at_zero : lit_at_one;
    list += (list.empty() ? "" : ", ") + circuit.output_bit_name(i);
  }
  const double ma =
      wiring.led_ohms > 0 ? (wiring.options.supply - wiring.options.led.volts) / wiring.led_ohms * 1e3 : 0;
  if (!lit_at_one.empty()) {
    notes.push_back(fmt::format("output {}: {}, then the LED, then ground; {:.2g} mA, lit at 1", lit_at_one,
                                ohm_text(wiring.led_ohms, ascii), ma));
  }
  if (!lit_at_zero.empty()) {
    notes.push_back(
        fmt::format("output {}: supply, then the LED, then {}, then the output; {:.2g} mA, lit at 0",
                    lit_at_zero, ohm_text(wiring.led_ohms, ascii), ma));
  }
  return notes;
}

const std::vector<std::string>& wiring_cautions() {
  static const std::vector<std::string> cautions = {
      "Extra-low voltage only, from a supply that limits its current. Disconnect it before you change a "
      "wire.",
      "Look for the notch: pin 1 is to its left, seen from above. A chip that sits the wrong way round dies.",
      "Mind the polarity of LEDs, electrolytic capacitors and the supply. Touch something earthed before "
      "CMOS chips.",
      "Compare pin-outs, levels and currents with the data sheets of the parts that you have: they decide.",
      "A simulation is no safety case: where people can be hurt, follow local codes and a licensed "
      "practitioner.",
  };
  return cautions;
}

}  // namespace settle::report
