// A wiring for the terminal.
#include <algorithm>

#include <fmt/format.h>

#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {
namespace {

using report::end_text;
using report::wire_net_text;

class WiringText {
 public:
  WiringText(const Wiring& wiring, const Circuit& circuit, const TextStyle& style)
      : w_(wiring), c_(circuit), style_(style) {}

  std::string run() {
    add(fmt::format("wiring of {}: {}", c_.cell_name(), report::chip_count_text(w_)));
    add(fmt::format("family {}, {:g} V", w_.options.family, w_.options.supply));
    if (style_.quiet) return out_;
    add_chips();
    add_replacements();
    add_steps();
    const auto terminals = report::terminal_notes(w_, c_, style_.ascii);
    add_list("Inputs and outputs", terminals);
    add_bill();
    add_loads();
    add_list("Notes", w_.notes);
    add_list("Before you build", report::wiring_cautions());
    return out_;
  }

 private:
  void add(const std::string& line) { out_ += plain(line) + "\n"; }

  std::string plain(const std::string& line) const {
    if (!style_.ascii) return line;
    std::string text;
    for (std::size_t i = 0; i < line.size(); ++i) {
      if (line.compare(i, 2, "\u03a9") == 0)
        text += "ohm", ++i;
      else if (line.compare(i, 2, "\u00b5") == 0)
        text += "u", ++i;
      else
        text += line[i];
    }
    return text;
  }

  /// Broken at blanks to the width of the terminal, later lines indented.
  void add_wrapped(const std::string& first, const std::string& text, std::size_t indent) {
    std::string line = first;
    std::size_t column = first.size();
    std::size_t at = 0;
    bool is_start = true;
    while (at < text.size()) {
      const auto end = std::min(text.find(' ', at), text.size());
      if (!is_start && column + 1 + (end - at) > style_.width) {
        add(line);
        line = std::string(indent, ' ');
        column = indent;
        is_start = true;
      }
      if (!is_start) line += ' ', ++column;
      line += text.substr(at, end - at);
      column += end - at;
      is_start = false;
      at = end + 1;
    }
    add(line);
  }

  void add_list(const std::string& title, const std::vector<std::string>& items) {
    if (items.empty()) return;
    add("\n" + title);
    for (const std::string& item : items) add_wrapped("  - ", item, 4);
  }

  void add_chips() {
    add("\nChips");
    for (const WiredChip& chip : w_.chips) {
      const Part& part = w_.parts[chip.part];
      add(fmt::format("  {} {}, {}", chip.name, chip.part_text(), part.title));
      for (std::size_t g = 0; g < part.gates.size(); ++g) {
        const WiredGate& gate = chip.gates[g];
        std::string pins, nets;
        for (std::size_t i = 0; i < part.gates[g].inputs.size(); ++i) {
          pins += fmt::format("{} ", part.gates[g].inputs[i]);
          nets += wire_net_text(w_, chip.pins[part.gates[g].inputs[i] - 1u]) + " ";
        }
        pins += fmt::format("-> {}", part.gates[g].output);
        nets += "-> " + (gate.output == no_id ? "open" : wire_net_text(w_, gate.output));
        add(fmt::format("    gate {}  pins {:<12}  {}{}", g + 1, pins, report::wired_gate_text(gate, c_),
                        gate.gate == no_id ? "" : ": " + nets));
      }
    }
  }

  void add_replacements() {
    if (w_.replacements.empty()) return;
    add("\nReplaced gates");
    for (const Replacement& replacement : w_.replacements) {
      add(fmt::format("  {}: {}{}", c_.gate_name(replacement.gate), replacement.text,
                      replacement.gates > 1 ? fmt::format(" ({} gates)", replacement.gates) : ""));
    }
    add_wrapped("  ", report::board_proof_text(w_), 2);
  }

  void add_steps() {
    add("\nWires, to be ticked one by one");
    std::size_t number = 0, from_width = 0, to_width = 0;
    for (const WiringStep& step : w_.steps) {
      for (const Wire& wire : step.wires) {
        from_width = std::max(from_width, end_text(w_, c_, wire.from).size());
        to_width = std::max(to_width, end_text(w_, c_, wire.to).size());
      }
    }
    for (const WiringStep& step : w_.steps) {
      add("  " + step.title);
      for (const Wire& wire : step.wires) {
        add(fmt::format("    [ ] {:>3}  {:<{}} - {:<{}}  {}", ++number, end_text(w_, c_, wire.from),
                        from_width, end_text(w_, c_, wire.to), to_width, wire_net_text(w_, wire.net)));
      }
      if (!step.test.empty()) add("    " + step.test);
    }
  }

  void add_bill() {
    add("\nBill of materials");
    for (const BillLine& line : w_.bill)
      add_wrapped(fmt::format("  {:>3}  ", line.count), line.what + ", " + line.remark, 9);
  }

  void add_loads() {
    if (w_.loads.empty()) return;
    add("\nWhat the outputs drive");
    std::size_t width = 3;
    for (const LoadCheck& load : w_.loads) width = std::max(width, wire_net_text(w_, load.net).size());
    add(fmt::format("  {:<8}{:<{}}  inputs  at 0 (limit)      at 1 (limit)", "pin", "net", width));
    for (const LoadCheck& load : w_.loads) {
      add(fmt::format("  {:<8}{:<{}}  {:>6}  {:<16}  {}{}",
                      fmt::format("{}.{}", w_.chips[load.chip].name, load.pin), wire_net_text(w_, load.net),
                      width, load.inputs, fmt::format("{:.2g} ({:g}) mA", load.low_ma, load.low_limit),
                      fmt::format("{:.2g} ({:g}) mA", load.high_ma, load.high_limit),
                      load.is_good ? "" : "  too much"));
    }
  }

  const Wiring& w_;
  const Circuit& c_;
  const TextStyle& style_;
  std::string out_;
};

}  // namespace

std::string wiring_text(const Wiring& wiring, const Circuit& circuit, const TextStyle& style) {
  return WiringText(wiring, circuit, style).run();
}

}  // namespace settle
