// A wiring as a document: tables of pins, lists of wires with boxes to tick; and that as a page in Markdown.
#include <fmt/format.h>

#include "report/result_documents.h"
#include "report/wiring_words.h"
#include "settle/wiring_report.h"

namespace settle {
namespace report {
namespace {

using Align = DocumentColumn::Align;

void add_chip(Document& document, const Wiring& wiring, const WiredChip& chip) {
  const Part& part = wiring.parts[chip.part];
  document.heading(fmt::format("{} {}, {}", chip.name, chip.part_text(), part.title), 2);
  DocumentTable table{fmt::format("Pins of {} as the chip lies, pin 1 at the top left", chip.name),
                      {{"pin", Align::right}, {"net"}, {"pin", Align::right, true}, {"net"}},
                      {}};
  // As the chip lies: pin 1 at the top left, the last one at the top right.
  const auto half = static_cast<std::size_t>((part.pin_count + 1) / 2);
  for (std::size_t row = 1; row <= half; ++row) {
    auto& cells = table.rows.emplace_back();
    for (const std::size_t pin : {row, part.pin_count + 1 - row}) {
      const WireNetId net = chip.pins[pin - 1];
      cells.push_back(std::to_string(pin));
      cells.push_back(net == no_id ? "open" : wire_net_text(wiring, net));
    }
  }
  document.table(std::move(table));
}

void add_items(Document& document, const std::string& title, std::vector<std::string> items) {
  if (items.empty()) return;
  document.heading(title);
  document.list(Document::Kind::list, std::move(items));
}

void add_wires(Document& document, const Wiring& wiring, const Circuit& circuit) {
  document.heading("Wires");
  for (const WiringStep& step : wiring.steps) {
    document.heading(step.title, 2);
    std::vector<std::string> ticks;
    for (const Wire& wire : step.wires) {
      ticks.push_back(fmt::format("{} to {} ({})", end_text(wiring, circuit, wire.from),
                                  end_text(wiring, circuit, wire.to), wire_net_text(wiring, wire.net)));
    }
    if (!step.test.empty()) ticks.push_back(step.test);
    document.list(Document::Kind::ticks, std::move(ticks));
  }
}

void add_bill(Document& document, const Wiring& wiring) {
  document.heading("Bill of materials");
  DocumentTable table{"Parts to get", {{"count", Align::right}, {"part"}, {"remark"}}, {}};
  for (const BillLine& line : wiring.bill)
    table.rows.push_back({std::to_string(line.count), line.what, line.remark});
  document.table(std::move(table));
}

void add_loads(Document& document, const Wiring& wiring) {
  if (wiring.loads.empty()) return;
  document.heading("What the outputs drive");
  DocumentTable table{"Currents of the outputs",
                      {{"pin"},
                       {"net"},
                       {"inputs", Align::right},
                       {"mA at 0", Align::right},
                       {"limit", Align::right},
                       {"mA at 1", Align::right},
                       {"limit", Align::right},
                       {"verdict"}},
                      {},
                      true};
  for (const LoadCheck& load : wiring.loads) {
    table.rows.push_back({fmt::format("{}.{}", wiring.chips[load.chip].name, load.pin),
                          wire_net_text(wiring, load.net), std::to_string(load.inputs),
                          fmt::format("{:.2g}", load.low_ma), fmt::format("{:g}", load.low_limit),
                          fmt::format("{:.2g}", load.high_ma), fmt::format("{:g}", load.high_limit),
                          load.is_good ? "good" : "too much"});
  }
  document.table(std::move(table));
}

}  // namespace

Document wiring_document(const Wiring& wiring, const Circuit& circuit) {
  Document document;
  document.heading("Chips");
  for (const WiredChip& chip : wiring.chips) add_chip(document, wiring, chip);
  if (!wiring.replacements.empty()) {
    std::vector<std::string> items;
    for (const Replacement& replacement : wiring.replacements)
      items.push_back(circuit.gate_name(replacement.gate) + ": " + replacement.text);
    items.push_back(board_proof_text(wiring));
    add_items(document, "Replaced gates", std::move(items));
  }
  add_wires(document, wiring, circuit);
  add_items(document, "Inputs and outputs", terminal_notes(wiring, circuit, false));
  add_bill(document, wiring);
  add_loads(document, wiring);
  add_items(document, "Notes", wiring.notes);
  return document;
}

}  // namespace report

std::string wiring_markdown(const Wiring& wiring, const Circuit& circuit) {
  report::Document page;
  page.heading("Wiring of " + circuit.cell_name(), 1);
  page.paragraph(report::wiring_summary(wiring));
  page.heading("Before you build", 2);
  page.list(report::Document::Kind::list, report::wiring_cautions());
  return report::document_markdown(page, 1) + "\n" +
         report::document_markdown(report::wiring_document(wiring, circuit), 2);
}

}  // namespace settle
