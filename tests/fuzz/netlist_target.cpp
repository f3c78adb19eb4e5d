// Netlist texts, includes from memory: parser, chips of boards, elaboration, lint, the names of the circuit,
// its schematic and the faults of its pins.
#include <string>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "settle/board.h"
#include "settle/catalogue.h"
#include "settle/elaborate.h"
#include "settle/formats.h"
#include "settle/lint.h"
#include "settle/schematic.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

void check_names(const Circuit& circuit) {
  const NetId most = 64;
  for (NetId net = 0; net < circuit.net_count() && net < most; ++net) {
    const std::string name = circuit.net_name(net);
    // Private and constant nets cannot be found; two pins may share a net, so another number is right too.
    const auto found = circuit.find_net(name);
    if (found && !circuit.is_constant(net)) CHECK(circuit.net_name(*found) == name);
    CHECK(circuit.find_bus(name).size() <= circuit.net_count());
  }
  for (GateId gate = 0; gate < circuit.gate_count() && gate < most; ++gate)
    CHECK(!circuit.gate_name(gate).empty());
  CHECK(circuit.bytes() > 0);
  if (circuit.gate_count() < most) CHECK(circuit.gate_count() == 0 || !circuit.dump().empty());
}

const Catalogue& catalogue() {
  static const Catalogue parts = built_in_catalogue();
  return parts;
}

void check_board(const Netlist& tree, const Circuit& circuit) {
  const Board board = board_of(tree, circuit, catalogue());
  if (board.chips.empty()) return;
  const FaultModel model = board_faults(circuit, board, catalogue(), {});
  CHECK(!model.faults.empty());
}

void check_lint(const Netlist& tree, const Circuit& circuit, const Sources& sources) {
  LintOptions options;
  options.conflicts = 200;
  Diagnostics findings;
  lint_names(tree, {}, options, findings);
  lint_circuit(tree, circuit, options, findings);
  lint_drivers(circuit, options, findings);
  CHECK(!findings.has_errors());
  CHECK(render(findings, sources).empty() == findings.all().empty());
}

void check_schematic(const Netlist& tree, const Circuit& circuit) {
  SchematicOptions options;
  options.part_limit = 30;
  const Schematic schematic = draw_schematic(circuit, &tree, options);
  CHECK(schematic.svg.empty() != schematic.error.empty());
}

void run_netlist(std::string_view bytes) {
  const FileSet texts = split_files(bytes, "main.gates");
  testing::MemoryFiles files;
  for (const auto& [name, text] : texts) files.put(name, text);
  ElaborateOptions options;
  options.gate_limit = 3000;
  options.net_limit = 6000;
  Sources sources;
  Diagnostics diagnostics;
  ReadOptions read;
  read.place_chips = [](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, catalogue(), messages);
  };
  Netlist tree;
  const auto circuit = load_any_circuit(texts.front().first, files, read, options, sources, diagnostics, &tree);
  CHECK(circuit.has_value() != diagnostics.has_errors());
  const std::string messages = render(diagnostics, sources);
  CHECK(messages.empty() == diagnostics.all().empty());
  for (const Diagnostic& diagnostic : diagnostics.all())
    CHECK(!diagnostic.text.starts_with("a bug in settle"));
  if (!circuit) return;
  CHECK(circuit->gate_count() <= options.gate_limit);
  CHECK(verify(*circuit).empty());
  check_names(*circuit);
  if (circuit->gate_count() > 200) return;
  check_board(tree, *circuit);
  check_lint(tree, *circuit, sources);
  check_schematic(tree, *circuit);
}

std::string show_netlist(std::string_view bytes) { return join_files(split_files(bytes, "main.gates")); }

}  // namespace

const Target netlist_target{"netlist", run_netlist, show_netlist};

}  // namespace settle::fuzz
