// Netlist texts of other forms: the first byte tells which. What is read must come back the same from
// every form that is written.
#include <fmt/format.h>

#include <array>
#include <string>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "settle/formats.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

constexpr std::array<const char*, 3> foreign_names = {"main.v", "main.bench", "main.json"};

struct ForeignText {
  std::string name;
  std::string text;
  FlipFlopForm flip_flops;
};

ForeignText foreign_text(std::string_view bytes) {
  const unsigned choice = bytes.empty() ? 0 : static_cast<unsigned char>(bytes.front());
  return {foreign_names[choice % 3], std::string(bytes.substr(bytes.empty() ? 0 : 1)), static_cast<FlipFlopForm>(choice / 3 % 3)};
}

struct Reading {
  Sources sources;
  Netlist tree;
  std::optional<Circuit> circuit;
  std::string messages;
};

void read_form(const std::string& name, const std::string& text, FlipFlopForm flip_flops, Reading& reading) {
  testing::MemoryFiles files;
  files.put(name, text);
  ReadOptions read;
  read.flip_flops = flip_flops;
  ElaborateOptions elaborate;
  elaborate.gate_limit = 3000;
  elaborate.net_limit = 6000;
  elaborate.parse.bus_width = 4096;
  Diagnostics diagnostics;
  reading.circuit = load_any_circuit(name, files, read, elaborate, reading.sources, diagnostics, &reading.tree);
  CHECK(reading.circuit.has_value() != diagnostics.has_errors());
  for (const Diagnostic& diagnostic : diagnostics.all()) CHECK(!diagnostic.text.starts_with("a bug in settle"));
  reading.messages = render(diagnostics, reading.sources);
}

/// All but the names.
std::string shape(const Circuit& circuit) {
  std::string text;
  for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
    const GateDelay& delay = circuit.delay(gate);
    text += fmt::format("{} {} {} {} {}\n", static_cast<int>(circuit.kind(gate)), fmt::join(circuit.fan_in(gate), " "),
                        circuit.visible_net(gate), delay.rise.typ, delay.fall.typ);
  }
  return fmt::format("{}{}", text, fmt::join(circuit.outputs(), " "));
}

void run_formats(std::string_view bytes) {
  const ForeignText given = foreign_text(bytes);
  Reading first;
  read_form(given.name, given.text, given.flip_flops, first);
  if (!first.circuit) return;
  CHECK(verify(*first.circuit).empty());
  if (first.circuit->gate_count() > 300) return;
  const std::string dump = first.circuit->dump();
  const std::pair<const char*, std::string> written[] = {
      {"back.gates", write_gates(first.tree)}, {"back.json", write_netlist_json(first.tree)}, {"back.v", write_ieee1364(first.tree)}};
  for (const auto& [name, text] : written) {
    Reading back;
    read_form(name, text, given.flip_flops, back);
    CHECK(back.circuit.has_value());
    // There, a gate that has the name of a net gets another.
    if (name == std::string_view("back.v")) CHECK(shape(*back.circuit) == shape(*first.circuit));
    else CHECK(back.circuit->dump() == dump);
  }
  const Netlist flat = flatten(*first.circuit);
  Reading back;
  read_form("flat.gates", write_gates(flat), given.flip_flops, back);
  CHECK(back.circuit.has_value());
  CHECK(back.circuit->gate_count() >= first.circuit->gate_count());
}

std::string show_formats(std::string_view bytes) {
  const ForeignText given = foreign_text(bytes);
  return join_files({{given.name, given.text}});
}

}  // namespace

const Target formats_target{"formats", run_formats, show_formats};

}  // namespace settle::fuzz
