// A board from a few lines of text, through the real readers and the built-in catalogue.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "settle/board.h"
#include "settle/formats.h"
#include "support/memory_files.h"

namespace settle::testing {

struct LoadedBoard {
  std::shared_ptr<Sources> sources = std::make_shared<Sources>();  // the tree refers to its texts
  Netlist tree;
  std::optional<Circuit> circuit;
  std::string messages;
};

inline LoadedBoard load_board(const std::string& text) {
  MemoryFiles files{{"test.gates", text}};
  Diagnostics diagnostics;
  ReadOptions read;
  read.place_chips = [](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, built_in_catalogue(), messages);
  };
  LoadedBoard board;
  board.circuit = load_any_circuit("test.gates", files, read, {}, *board.sources, diagnostics, &board.tree);
  board.messages = render(diagnostics, *board.sources);
  return board;
}

}  // namespace settle::testing
