// A circuit from a few lines of text, through the real parser.
#pragma once

#include <optional>
#include <string>
#include <utility>

#include "settle/elaborate.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::testing {

/// What became of a netlist text: maybe a circuit, and all messages as printed.
struct Loaded {
  std::optional<Circuit> circuit;
  std::string messages;
};

/// Loads `text` as the file "test.gates"; `files` holds what it includes.
inline Loaded load_text(const std::string& text, const ElaborateOptions& options = {},
                        MemoryFiles files = {}) {
  files.put("test.gates", text);
  Sources sources;
  Diagnostics diagnostics;
  Loaded loaded;
  loaded.circuit = load_circuit("test.gates", files, options, sources, diagnostics);
  loaded.messages = render(diagnostics, sources);
  return loaded;
}

/// The circuit of a text that must have no errors; warnings are allowed.
inline Circuit circuit(const std::string& text, const ElaborateOptions& options = {}) {
  auto loaded = load_text(text, options);
  INFO(text << "\n" << loaded.messages);
  REQUIRE(loaded.circuit);
  REQUIRE(verify(*loaded.circuit) == "");
  return *std::move(loaded.circuit);
}

}  // namespace settle::testing
