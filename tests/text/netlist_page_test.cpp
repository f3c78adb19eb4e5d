// The netlists shown in docs/netlist.md are netlists.
#include <string>

#include "settle/netlist.h"
#include "support/catch.h"
#include "support/memory_files.h"

using namespace settle;

TEST_CASE("every netlist of the language page is parsed without a message") {
  DiskReader disk;
  std::string page;
  std::string error;
  REQUIRE(disk.read(SETTLE_SOURCE_DIR "/docs/netlist.md", page, error));
  const std::string start = "\n```gates\n";
  int count = 0;
  for (std::size_t at = page.find(start); at != std::string::npos; at = page.find(start, at)) {
    at += start.size();
    const std::size_t end = page.find("```", at);
    REQUIRE(end != std::string::npos);
    testing::MemoryFiles files{{"page.gates", page.substr(at, end - at)}, {"lever_latch.gates", ""}};
    Sources sources;
    Diagnostics diagnostics;
    const Netlist netlist = parse_netlist("page.gates", files, sources, diagnostics);
    CHECK(render(diagnostics, sources) == "");
    CHECK(netlist.statements.size() + netlist.chips.size() != 0);
    ++count;
  }
  CHECK(count >= 6);
}
