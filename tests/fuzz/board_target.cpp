// A small circuit from bytes, taken to the board and back: its drawings read like its netlist, its wiring is
// legal, and the board read back behaves like the circuit.
#include <string>

#include "draw/drawing_check.h"
#include "draw/sheet.h"
#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "fuzz/generate.h"
#include "settle/elaborate.h"
#include "settle/wired_board.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

struct BoardCase {
  Substitute substitute = Substitute::none;
  draw::BlockOptions look;
  std::string netlist;
};

BoardCase board_case_of(std::string_view text) {
  ByteSource bytes(text);
  BoardCase c;
  const std::uint32_t choice = bytes.byte();
  c.substitute = static_cast<Substitute>(choice % 3);
  if (choice / 3 % 2 != 0) c.look = {draw::SymbolStyle::rectangular, true};
  SmallCircuit options;
  options.most_gates = 7;
  options.most_inputs = 3;
  options.three_state = choice / 6 % 4 == 0;
  c.netlist = small_circuit(bytes, options);
  return c;
}

void check_drawing(const Circuit& circuit, const draw::BlockOptions& look) {
  const draw::Sheet sheet = draw::flat_sheet(circuit);
  const std::vector<std::string> faults = faults_of(sheet, draw::lay_out(sheet, look));
  for (const std::string& fault : faults) std::fprintf(stderr, "%s\n", fault.c_str());
  CHECK(faults.empty());
}

// Pins are used once, outputs are on one net each, and the bound holds.
void check_wiring(const Circuit& circuit, const Wiring& wiring) {
  CHECK(wiring.chips.size() >= wiring.lower_bound);
  CHECK((!wiring.is_fewest || wiring.chips.size() == wiring.lower_bound));
  std::vector<unsigned> results(circuit.gate_count(), 0);
  for (const WiredChip& chip : wiring.chips) {
    for (const WiredGate& gate : chip.gates) {
      if (gate.gate != no_id && gate.is_result) ++results[gate.gate];
    }
  }
  for (const unsigned count : results) CHECK(count <= 1);
}

void check_board(const Circuit& circuit, const Wiring& wiring, const Catalogue& catalogue) {
  const auto board = wired_board(circuit, wiring, catalogue);
  CHECK(board.has_value());
  if (!wiring.replacements.empty()) return;  // other delays, other races: `wire` proves or refutes these itself
  Diagnostics diagnostics;
  CompareOptions options;
  options.space.any_delay.states = 5000;
  options.search_nodes = 500;
  options.walk_steps = 500;
  options.conflicts = 5000;
  PinMatch match;
  CHECK(match_pins(circuit, board->circuit, options, match, diagnostics));
  CHECK(compare(circuit, board->circuit, match, options).answer != Comparison::Answer::different);
}

void run_board(std::string_view bytes) {
  const BoardCase c = board_case_of(bytes);
  testing::MemoryFiles files{{"small.gates", c.netlist}};
  Sources sources;
  Diagnostics diagnostics;
  const auto circuit = load_circuit("small.gates", files, {}, sources, diagnostics);
  CHECK(circuit.has_value());
  check_drawing(*circuit, c.look);
  static const Catalogue catalogue = built_in_catalogue();
  WiringOptions options;
  options.substitute = c.substitute;
  options.prove = false;
  const auto wiring =
      wire_circuit(*circuit, std::vector<GateWish>(circuit->gate_count()), catalogue, options, diagnostics);
  CHECK(wiring.has_value() != diagnostics.has_errors());
  if (!wiring) return;
  check_wiring(*circuit, *wiring);
  check_board(*circuit, *wiring, catalogue);
}

std::string show_board(std::string_view bytes) {
  return join_files({{"small.gates", board_case_of(bytes).netlist}});
}

}  // namespace

const Target board_target{"board", run_board, show_board};

}  // namespace settle::fuzz
