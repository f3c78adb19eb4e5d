// The lint messages of a netlist text, as printed.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "settle/elaborate.h"
#include "settle/lint.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::testing {

using LintCall = std::function<void(const Netlist&, const Circuit&, Diagnostics&)>;

/// What `call` says about `text`, read as "test.gates"; what each load says is left out.
inline std::string lint_text(const std::string& text, const LintCall& call, const std::string& cell = "") {
  MemoryFiles files{{"test.gates", text}};
  Sources sources;
  Diagnostics at_load;
  const auto netlist = parse_netlist("test.gates", files, sources, at_load);
  ElaborateOptions options;
  options.cell = cell;
  const auto built = elaborate(netlist, options, sources, at_load);
  INFO(text << "\n" << render(at_load, sources));
  REQUIRE(built);
  Diagnostics found;
  call(netlist, *built, found);
  return render(found, sources);
}

/// A netlist with a title, and the messages that it must bring.
struct LintRow {
  const char* title;
  std::string text;
  std::string messages;
};

inline void check_rows(const std::vector<LintRow>& rows, const LintCall& call) {
  for (const auto& row : rows) {
    INFO(row.title << "\n" << row.text);
    CHECK(lint_text(row.text, call) == row.messages);
  }
}

}  // namespace settle::testing
