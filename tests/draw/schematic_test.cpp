#include "settle/schematic.h"

#include <filesystem>

#include "draw/drawing_check.h"
#include "settle/board.h"
#include "settle/catalogue.h"
#include "settle/formats.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"

using namespace settle;
using namespace settle::testing;

namespace {

struct Read {
  std::optional<Circuit> circuit;
  Netlist tree;
};

Read read_circuit(const std::string& path, FileReader& files) {
  Sources sources;
  Diagnostics diagnostics;
  ReadOptions options;
  options.place_chips = [](Netlist& netlist, const Sources&, Diagnostics& messages) {
    place_chips(netlist, built_in_catalogue(), messages);
  };
  Read read;
  read.circuit = load_any_circuit(path, files, options, {}, sources, diagnostics, &read.tree);
  INFO(render(diagnostics, sources));
  REQUIRE(read.circuit);
  return read;
}

Read read_text(const std::string& text) {
  MemoryFiles files;
  files.put("test.gates", text);
  return read_circuit("test.gates", files);
}

std::string faults(const draw::Sheet& sheet, const draw::BlockOptions& options = {}) {
  std::string text;
  for (const std::string& fault : faults_of(sheet, draw::lay_out(sheet, options))) text += fault + "\n";
  return text;
}

void check_all_forms(const Read& read) {
  std::vector<std::string> names;
  for (const CellSyntax& cell : read.tree.cells) names.emplace_back(read.tree.symbols->text(cell.name));
  const std::vector<draw::Sheet> sheets = {draw::flat_sheet(*read.circuit),
                                           draw::cell_sheet(*read.circuit, read.tree, {}),
                                           draw::cell_sheet(*read.circuit, read.tree, names)};
  for (const draw::Sheet& sheet : sheets) {
    CHECK(faults(sheet) == "");
    CHECK(faults(sheet, {draw::SymbolStyle::rectangular, true}) == "");
  }
}

// Nand gates in the manner of the 7474: three pairs, two of which hold each other.
constexpr const char* six_nand = R"(cell points_memory
  in  lever moved
  out seen seen_n
  nand n1: n4 n2          -> n1
  nand n2: n1 moved       -> n2
  nand n3: n2 moved n4    -> n3
  nand n4: n3 lever       -> n4
  nand n5: n2 seen_n      -> seen
  nand n6: n3 seen        -> seen_n
end
)";

constexpr const char* every_kind = R"(cell all_kinds
  in  a b c d e enable bus[3:0]
  out line w[3:0] q open_end
  and    g1: a b c d e    -> n1
  nand   g2: a b c        -> n2
  or     g3: n1 n2 1      -> n3
  nor    g4: a b c d      -> n4
  xor    g5: n3 n4        -> n5
  xnor   g6: n5 0 a       -> n6
  buf    g7: n6           -> q
  not    g8: q            -> n8
  bufif0 t1: n8 enable    -> line
  bufif1 t2: n5 enable    -> line
  notif0 t3: a b          -> line
  notif1 t4: c b          -> line
  pullup p1:              -> line
  nand   many[3:0]: bus[3:0] a -> w[3:0]
  and    part: bus[2] bus[0]   -> open_end
end
)";

}  // namespace

TEST_CASE("Schematics of all examples can be read back as their netlists") {
  for (const auto& entry : std::filesystem::directory_iterator(SETTLE_SOURCE_DIR "/examples")) {
    if (entry.path().extension() != ".gates") continue;
    CAPTURE(entry.path().string());
    DiskReader files;
    check_all_forms(read_circuit(entry.path().string(), files));
  }
}

TEST_CASE("Schematics of a six-NAND flip-flop and of every kind of gate can be read back") {
  check_all_forms(read_text(six_nand));
  check_all_forms(read_text(every_kind));
}

TEST_CASE("Schematics of random circuits can be read back") {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    CAPTURE(seed);
    RandomCircuitOptions options;
    options.outputs = 4;
    options.three_state = seed % 4 == 0;
    options.pulls = options.three_state;
    const Read read = read_text(random_circuit(seed, options));
    CHECK(faults(draw::flat_sheet(*read.circuit)) == "");
  }
}

TEST_CASE("A flat circuit of 60 gates can be read back") {
  RandomCircuitOptions options;
  options.least_gates = options.most_gates = 60;
  options.outputs = 6;
  const Read read = read_text(random_circuit(7, options));
  CHECK(faults(draw::flat_sheet(*read.circuit), {draw::SymbolStyle::distinctive, true}) == "");
}

TEST_CASE("The reader of drawings finds what is wrong") {
  const Read read = read_text(six_nand);
  const draw::Sheet sheet = draw::flat_sheet(*read.circuit);
  const draw::Drawing good = draw::lay_out(sheet, {});
  REQUIRE(faults_of(sheet, good).empty());
  SECTION("a line is missing") {
    for (std::size_t i = 0; i < good.lines.size(); ++i) {
      draw::Drawing drawing = good;
      drawing.lines.erase(drawing.lines.begin() + static_cast<std::ptrdiff_t>(i));
      CAPTURE(i);
      CHECK_FALSE(faults_of(sheet, drawing).empty());
    }
  }
  SECTION("a dot is missing") {
    for (std::size_t i = 0; i < good.dots.size(); ++i) {
      draw::Drawing drawing = good;
      drawing.dots.erase(drawing.dots.begin() + static_cast<std::ptrdiff_t>(i));
      CAPTURE(i);
      CHECK_FALSE(faults_of(sheet, drawing).empty());
    }
  }
  SECTION("a gate stands on a wire") {
    draw::Drawing drawing = good;
    drawing.figures.back().at = {drawing.lines[0].from.x - 2, drawing.lines[0].from.y - 2};
    CHECK_FALSE(faults_of(sheet, drawing).empty());
  }
  SECTION("a net ends at another one") {
    draw::Drawing drawing = good;
    drawing.lines.back().net = drawing.lines.front().net;
    drawing.lines.back().to = drawing.lines.front().from;
    CHECK_FALSE(faults_of(sheet, drawing).empty());
  }
}
