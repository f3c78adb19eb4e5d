// A wiring as a page in Markdown: tables of pins, lists of wires with boxes to tick.
#include <algorithm>

#include <fmt/format.h>

#include "report/markdown_text.h"
#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {
namespace {

using report::escape_markdown;

void add_items(std::string& out, const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return;
  out += "\n## " + title + "\n\n";
  for (const std::string& item : items) out += "- " + escape_markdown(item) + "\n";
}

}  // namespace

std::string wiring_markdown(const Wiring& wiring, const Circuit& circuit) {
  std::string out =
      fmt::format("# Wiring of {}\n\n{}; family {}, {:g} V.\n", escape_markdown(circuit.cell_name()),
                  report::chip_count_text(wiring), wiring.options.family, wiring.options.supply);
  add_items(out, "Before you build", report::wiring_cautions());
  out += "\n## Chips\n";
  for (const WiredChip& chip : wiring.chips) {
    const Part& part = wiring.parts[chip.part];
    out += fmt::format("\n**{} {}**, {}\n\n| pin | net | pin | net |\n|--:|:--|--:|:--|\n",
                       escape_markdown(chip.name), chip.part_text(), part.title);
    // As the chip lies: pin 1 at the top left, the last one at the top right.
    const auto half = static_cast<std::size_t>((part.pin_count + 1) / 2);
    const auto cell = [&](std::size_t pin) {
      const WireNetId net = chip.pins[pin - 1];
      return fmt::format(" {} | {} |", pin,
                         net == no_id ? "open" : escape_markdown(report::wire_net_text(wiring, net)));
    };
    for (std::size_t row = 1; row <= half; ++row)
      out += "|" + cell(row) + cell(part.pin_count + 1 - row) + "\n";
  }
  if (!wiring.replacements.empty()) {
    std::vector<std::string> items;
    for (const Replacement& replacement : wiring.replacements)
      items.push_back(circuit.gate_name(replacement.gate) + ": " + replacement.text);
    items.push_back(report::board_proof_text(wiring));
    add_items(out, "Replaced gates", items);
  }
  out += "\n## Wires\n";
  for (const WiringStep& step : wiring.steps) {
    out += fmt::format("\n### {}\n\n", step.title);
    for (const Wire& wire : step.wires) {
      out +=
          fmt::format("- [ ] {} to {} ({})\n", escape_markdown(report::end_text(wiring, circuit, wire.from)),
                      escape_markdown(report::end_text(wiring, circuit, wire.to)),
                      escape_markdown(report::wire_net_text(wiring, wire.net)));
    }
    if (!step.test.empty()) out += fmt::format("- [ ] {}\n", step.test);
  }
  add_items(out, "Inputs and outputs", report::terminal_notes(wiring, circuit, false));
  out += "\n## Bill of materials\n\n| count | part | remark |\n|--:|:--|:--|\n";
  for (const BillLine& line : wiring.bill)
    out += fmt::format("| {} | {} | {} |\n", line.count, escape_markdown(line.what),
                       escape_markdown(line.remark));
  out +=
      "\n## What the outputs drive\n\n| pin | net | inputs | mA at 0 | limit | mA at 1 | limit | "
      "|\n|:--|:--|--:|--:|--:|--:|--:|:--|\n";
  for (const LoadCheck& load : wiring.loads) {
    out += fmt::format("| {}.{} | {} | {} | {:.2g} | {:g} | {:.2g} | {:g} | {} |\n",
                       escape_markdown(wiring.chips[load.chip].name), load.pin,
                       escape_markdown(report::wire_net_text(wiring, load.net)), load.inputs, load.low_ma,
                       load.low_limit, load.high_ma, load.high_limit, load.is_good ? "" : "too much");
  }
  add_items(out, "Notes", wiring.notes);
  return out;
}

}  // namespace settle
