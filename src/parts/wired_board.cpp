#include "settle/wired_board.h"

#include "settle/formats.h"
#include "settle/text_reader.h"

namespace settle {

std::optional<WiredBoard> wired_board(const Circuit& circuit, const Wiring& wiring, const Catalogue& catalogue) {
  TextReader reader(as_built_text(wiring, circuit));
  Sources sources;
  Diagnostics diagnostics;
  ReadOptions read;
  read.place_chips = [&](Netlist& netlist, const Sources&, Diagnostics& messages) { place_chips(netlist, catalogue, messages); };
  Netlist tree;
  auto built = load_any_circuit("board", reader, read, {}, sources, diagnostics, &tree);
  if (!built) return std::nullopt;
  WiredBoard result{*std::move(built), {}, std::vector<NetId>(circuit.net_count(), no_id)};
  result.board = board_of(tree, result.circuit, catalogue);
  for (NetId input = 0; input < circuit.input_count(); ++input) result.net_of[input] = input;
  for (const BoardChip& chip : result.board.chips) {
    for (const WiredChip& wired : wiring.chips) {
      if (wired.name != chip.name) continue;
      for (std::size_t pin = 0; pin < chip.pins.size(); ++pin) {
        const WireNetId net = wired.pins[pin];
        if (net == no_id || chip.pins[pin].net == no_id || wiring.nets[net].net == no_id) continue;
        result.net_of[wiring.nets[net].net] = chip.pins[pin].net;
      }
    }
  }
  for (std::size_t bit = 0; bit < circuit.outputs().size(); ++bit) {
    NetId& net = result.net_of[circuit.outputs()[bit]];
    if (net == no_id) net = result.circuit.outputs()[bit];
  }
  return result;
}

}  // namespace settle
