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

// A page on one line.
std::string page_words(const std::string& text) {
  TextStyle wide;
  wide.width = 5000;
  return explain_text(explain(circuit(text)), wide);
}

TEST_CASE("Sentences about which input wins, levels, rounds and hidden states") {
  const struct {
    const char* text;
    const char* says;
  } all[] = {
      {"cell t\n in s1 s2 r\n out q qn\n nor a: r qn -> q\n nor b: s1 s2 q -> qn\nend\n",
       "(set and reset active high). It stores one bit."},
      {"cell t\n in s1 s2 r\n out q qn\n nor a: r qn -> q\n nor b: s1 s2 q -> qn\nend\n",
       "Should several be active, r wins over s1 and s2 as far as q is concerned."},
      {cells::six_nand_preset_clear, "should both be 0, pre wins as far as q is concerned."},
      {"cell t\n in d1 e1 d2 e2\n out q\n nor n: e1 e2 -> h\n and a: d1 e1 -> x\n and b: d2 e2 -> y\n and c: q h -> z\n"
       " or o: x y z -> q\nend\n",
       "It is 0 while e1 is 1 and d1 and e2 are 0, or e2 is 1 and d1 and d2 are 0, or e2 is 1 and e1 and d2 are 0. It holds what it "
       "has while e1 and e2 are 0."},
      {"cell t\n in s r\n out y\n nor a: r qn -> q\n nor b: s q -> qn\n and g: q qn -> y\nend\n",
       "no output ever tells them apart, so the output is what the inputs say."},
      {"cell t\n in s\n out q\n nor a: r qn -> q\n nor b: s q -> qn\n buf d: q -> e\n buf f: e -> r\nend\n",
       "there is one definite state for it to stop in, but while s is 0 it may go on for ever instead of coming to it."},
      {"cell t\n in a r\n out q\n not i: a -> b\n and g: a b -> p\n nor n1: r qn -> q\n nor n2: p q -> qn\nend\n",
       "a can change it as well, but gate delays decide whether it does: see 'Take care'."},
      {"cell t\n in a ea s r\n out q y\n bufif1 g: a ea -> w\n and x: w ea -> y\n nor n1: r qn -> q\n nor n2: s q -> qn\nend\n",
       "It stores one bit."},
      {cells::jk_latch, "Once it is at rest, the state is made known while j and c are 1 and k is 0, or k and c are 1 and j is 0;"},
  };
  for (const auto& sentence : all) {
    INFO(sentence.text);
    CHECK(page_words(sentence.text).find(sentence.says) != std::string::npos);
  }
  CHECK(page_words("cell t\n in a\n out q\n xor x: a q -> q\nend\n").find("The equations promise") == std::string::npos);
  const std::string flip = cells::six_nand;
  CHECK(page_words(flip + "cell t\n in d c1 c2\n out x y\n six_nand a: d c1 -> x _\n six_nand b: x c2 -> y _\nend\n")
            .find("each but the first takes its data from the one before; they have clocks of their own, c1 and c2 in this order.") !=
        std::string::npos);
  CHECK(page_words(flip + "cell t\n in d c\n out x y\n six_nand a: d c -> x _\n six_nand b: x c -> y _\nend\n")
            .find("Then x is known; each further active edge of the clock makes the next one known, so that it takes two in all.") !=
        std::string::npos);
  CHECK(page_words(flip + "cell t\n in c\n out x y\n six_nand a: xn c -> x xn\n six_nand b: yn xn -> y yn\nend\n")
            .find("Inside, xn is the opposite of x") != std::string::npos);
  const std::string ring = page_words(std::string(cells::six_nand) + "cell t\n in c\n out x y z\n six_nand a: z c -> x _\n"
                                                                " six_nand b: x c -> y _\n six_nand e: y c -> z _\nend\n");
  CHECK(ring.find("Once in 011, 101, 110, they go round among these; once in 000 or in 111, they stay there:") != std::string::npos);
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
  CHECK(json["findings"][0]["moment"].is_null());
  CHECK(json["cells"][0]["hides_states"] == false);
  const auto edge = nlohmann::json::parse(explain_json(explain(circuit(cells::six_nand))));
  CHECK(edge["outputs"][0]["changes_on"].dump() == R"([{"edge":"rise","input":"c"}])");
  CHECK(edge["complementary"].dump() == R"([["q","qn","always"]])");
  CHECK(edge["findings"][0]["must_rest"].dump() == R"(["d"])");
  CHECK(edge["findings"][0]["moment"] == "c rises");
  CHECK(edge["cells"][0]["inputs"].dump() ==
        R"([{"active":"1","direct":false,"input":"c","role":"clock"},{"active":"1","direct":false,"input":"d","role":"data"}])");
}

TEST_CASE("The result does not depend on the number of threads") {
  ExplainOptions several;
  several.jobs = 4;
  CHECK(explain_json(explain(circuit(cells::jk_edge), several)) == explain_json(explain(circuit(cells::jk_edge))));
}

}  // namespace settle::testing
