// `settle explain`: whole pages, as a reader sees them, for every example and some textbook cells. The
// pages stand in tests/report/explain, one file each; `settle explain` writes them anew. Read the
// difference before you commit it.
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "settle/explain_report.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/storage_cells.h"

namespace settle::testing {
namespace {

namespace fs = std::filesystem;
const fs::path source = SETTLE_SOURCE_DIR;

std::string page(const std::string& name) {
  std::ifstream file(source / "tests/report/explain" / (name + ".txt"));
  REQUIRE(file);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

Circuit example(const fs::path& path) {
  DiskReader files;
  Sources sources;
  Diagnostics diagnostics;
  auto loaded = load_circuit(path.string(), files, {}, sources, diagnostics);
  REQUIRE(loaded);
  return *std::move(loaded);
}

}  // namespace

TEST_CASE("The page about each example") {
  std::size_t seen = 0;
  for (const auto& entry : fs::directory_iterator(source / "examples")) {
    // The board of chips is the lever latch again; its chips are known in a later layer.
    if (entry.path().extension() != ".gates" || entry.path().stem() == "lever_board") continue;
    INFO(entry.path());
    CHECK(explain_text(explain(example(entry.path())), TextStyle{}) == page(entry.path().stem().string()));
    ++seen;
  }
  CHECK(seen >= 9);
}

TEST_CASE("The pages about textbook cells") {
  const struct {
    const char* name;
    const char* text;
  } all[] = {
      {"jk_latch", cells::jk_latch},           {"jk_master_slave", cells::jk_master_slave},
      {"three_way", cells::three_way},         {"six_nand_preset_clear", cells::six_nand_preset_clear},
      {"gated_ring", cells::gated_ring},       {"c_element", cells::c_element},
  };
  for (const auto& cell : all) {
    INFO(cell.name);
    CHECK(explain_text(explain(circuit(cell.text)), TextStyle{}) == page(cell.name));
  }
}

TEST_CASE("Loops too large to study are said to be that") {
  Explanation none;
  none.circuit = "yard";
  none.kind = "unrecognised";
  none.has_loops = true;
  const std::string text = explain_text(none, TextStyle{});
  CHECK(text.find("yard has loops, but they were too large to find out what they store.") == 0);
}

TEST_CASE("What a flip-flop takes in is said where it is a function of inputs") {
  std::string text = cells::six_nand;
  text.replace(text.find("in  d c"), 7, "in  d c r");
  text.replace(text.find("n3 d "), 5, "n3 x ");
  text.replace(text.rfind("end"), 3, "  and g0: d r -> x\nend");
  const std::string reset = explain_text(explain(circuit(text)), TextStyle{});
  CHECK(reset.find("At each rising edge of c, q becomes 1 if d and r are 1, else 0") != std::string::npos);
}

TEST_CASE("Pages keep to the width, and a quiet page has warnings only") {
  const Explanation e = explain(circuit(cells::six_nand_preset_clear));
  TextStyle narrow;
  narrow.width = 50;
  std::istringstream lines(explain_text(e, narrow));
  for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 50);
  TextStyle quiet;
  quiet.quiet = true;
  CHECK(explain_text(e, quiet).find("pre and clr rise together") != std::string::npos);
  CHECK(explain_text(e, quiet).find("set-up") == std::string::npos);
  CHECK(explain_text(explain(circuit(cells::d_latch_5)), quiet).empty());
}

TEST_CASE("Document explain/1") {
  const auto json = nlohmann::json::parse(explain_json(explain(circuit(cells::nor_latch))));
  CHECK(json["schema"] == "explain/1");
  CHECK(json["settle"] == std::string(version()));
  CHECK(json["circuit"] == "nor_latch");
  CHECK(json["complete"] == true);
  CHECK(json["kind"] == "set-reset latch, set and reset active high");
  CHECK(json["bits_stored"] == 1);
  CHECK(json["outputs"][0]["name"] == "q");
  CHECK(json["outputs"][0]["equation"] == "q+ = s r' + r' q");
  CHECK(json["outputs"][0]["changes_on"].dump() == R"([{"edge":"level","input":"s"},{"edge":"level","input":"r"}])");
  CHECK(json["complementary"].dump() == R"([["q","qn","except"]])");
  CHECK(json["complementary_except"][0]["when"] == "s r");
  CHECK(json["findings"][0]["kind"] == "forbidden-change");
  CHECK(json["findings"][0]["severity"] == "warning");
  const auto edge = nlohmann::json::parse(explain_json(explain(circuit(cells::six_nand))));
  CHECK(edge["outputs"][0]["changes_on"].dump() == R"([{"edge":"rise","input":"c"}])");
  CHECK(edge["complementary"].dump() == R"([["q","qn","always"]])");
  CHECK(edge["cells"][0]["inputs"].dump() ==
        R"([{"active":"1","direct":false,"input":"c","role":"clock"},{"active":"1","direct":false,"input":"d","role":"data"}])");
}

TEST_CASE("The result does not depend on the number of threads") {
  ExplainOptions several;
  several.jobs = 4;
  CHECK(explain_json(explain(circuit(cells::jk_edge), several)) == explain_json(explain(circuit(cells::jk_edge))));
}

}  // namespace settle::testing
