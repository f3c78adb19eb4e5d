// Texts of other formats, read from memory.
#pragma once

#include <memory>
#include <string>

#include "settle/formats.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::testing {

struct ReadText {
  std::shared_ptr<Sources> sources = std::make_shared<Sources>();  ///< the tree has views into its texts
  std::optional<Circuit> circuit;
  Netlist tree;
  std::string messages;
};

/// Reads `text` as a file of that name, which tells the format.
inline ReadText read_text(const std::string& name, const std::string& text, FlipFlopForm form = FlipFlopForm::six_nand,
                          const std::string& cell = {}) {
  ReadText result;
  Sources& sources = *result.sources;
  MemoryFiles files;
  files.put(name, text);
  Diagnostics diagnostics;
  ReadOptions read;
  read.flip_flops = form;
  ElaborateOptions elaborate;
  elaborate.cell = cell;
  result.circuit = load_any_circuit(name, files, read, elaborate, sources, diagnostics, &result.tree);
  result.messages = render(diagnostics, sources);
  return result;
}

}  // namespace settle::testing
