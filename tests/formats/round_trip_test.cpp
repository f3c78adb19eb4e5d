// Text -> circuit -> text -> circuit: nothing changes on the way. Equality of the circuits here is of
// their arrays; equality of behaviour is what the tests of compare prove.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "support/circuit_text.h"
#include "support/format_text.h"
#include "support/random_circuit.h"

namespace settle {
namespace {

using testing::read_text;

TEST_CASE("Every example comes back the same from our text, IEEE 1364 and JSON") {
  for (const auto& entry : std::filesystem::directory_iterator(SETTLE_SOURCE_DIR "/examples")) {
    if (entry.path().extension() != ".gates") continue;
    INFO(entry.path().string());
    DiskReader files;
    Sources sources;
    Diagnostics diagnostics;
    Netlist tree;
    const auto circuit = load_any_circuit(entry.path().string(), files, {}, {}, sources, diagnostics, &tree);
    if (!circuit) continue;  // a library of several cells
    const std::string dump = circuit->dump();
    const auto gates = read_text("t.gates", write_gates(tree));
    INFO(gates.messages);
    REQUIRE(gates.circuit);
    CHECK(gates.circuit->dump() == dump);
    CHECK(write_gates(gates.tree) == write_gates(tree));
    const auto hdl = read_text("t.v", write_ieee1364(tree));
    INFO(hdl.messages);
    REQUIRE(hdl.circuit);
    CHECK(hdl.circuit->dump() == dump);
    const auto json = read_text("t.json", write_netlist_json(tree));
    INFO(json.messages);
    REQUIRE(json.circuit);
    CHECK(json.circuit->dump() == dump);
    CHECK(write_gates(json.tree) == write_gates(tree));
  }
}

TEST_CASE("A flat netlist has the same gates in the same order") {
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    INFO(seed);
    const Circuit c = testing::circuit(testing::random_circuit(seed, {}));
    const Netlist flat = flatten(c);
    for (const auto& [name, text] : {std::pair{"f.gates", write_gates(flat)}, {"f.v", write_ieee1364(flat)}, {"f.json", write_netlist_json(flat)}}) {
      const auto back = read_text(name, text);
      INFO(text << back.messages);
      REQUIRE(back.circuit);
      // Output pins that share a net bring a buf each; the gates in front of these are the same.
      REQUIRE(back.circuit->gate_count() >= c.gate_count());
      CHECK(back.circuit->input_count() == c.input_count());
      CHECK(back.circuit->outputs().size() == c.outputs().size());
      for (GateId g = 0; g < c.gate_count(); ++g) {
        CHECK(back.circuit->kind(g) == c.kind(g));
        CHECK(back.circuit->fan_in(g).size() == c.fan_in(g).size());
      }
    }
  }
}

TEST_CASE("Flat names of instances are names again") {
  const auto read = read_text("t.gates", "cell one\n in a\n out y\n not g: a -> n\n not h: n -> y\nend\ncell two\n in a[1:0]\n out y[1:0]\n one u[1:0]: a[1:0] -> y[1:0]\nend\n");
  REQUIRE(read.circuit);
  CHECK(write_gates(flatten(*read.circuit)) ==
        "cell two\n  in  a[1:0]\n  out y[1:0]\n  not u_1_g: a[1] -> u_1_n\n  not u_1_h: u_1_n -> y[1]\n"
        "  not u_0_g: a[0] -> u_0_n\n  not u_0_h: u_0_n -> y[0]\nend\n");
}

TEST_CASE("IEEE 1364 text keeps to its one set of names and to the direction of buses") {
  const auto read = read_text("t.gates", "cell one\n in a\n out y\n not y: a -> y\nend\ncell t\n in a[3:0]\n out q q_2 y[1:0]\n not q: a[0] -> q\n one r: a[1] -> r\n"
                                         " not q_2: r -> q_2\n buf t[1:0]: a[1:2] -> y[1:0]\n not v[1:0]: n -> _\n not w[0:1]: a[3:2] -> n[0:1]\n buf x: n[1] -> _\nend\n");
  INFO(read.messages);
  REQUIRE(read.circuit);
  const std::string text = write_ieee1364(read.tree);
  CHECK(text.substr(text.find("module t")) ==
        "module t(\n  input  [3:0] a,\n  output q,\n  output q_2,\n  output [1:0] y\n);\n  wire r;\n  wire [0:1] n;\n"
        "  wire [1:0] unused_v;\n  wire unused_x;\n  not q_3(q, a[0]);\n  one r_2(.a(a[1]), .y(r));\n  not q_2_2(q_2, r);\n"
        "  buf t [1:0](y[1:0], {a[1], a[2]});\n  not v [1:0](unused_v, n);\n  not w [0:1](n[0:1], a[3:2]);\n"
        "  buf x(unused_x, n[1]);\nendmodule\n");
  const auto back = read_text("t.v", text);
  INFO(text << back.messages);
  REQUIRE(back.circuit);
  REQUIRE(back.circuit->gate_count() == read.circuit->gate_count());
  for (GateId g = 0; g < read.circuit->gate_count(); ++g) {
    CHECK(std::ranges::equal(back.circuit->fan_in(g), read.circuit->fan_in(g)));
  }
  CHECK(back.circuit->outputs() == read.circuit->outputs());
}

TEST_CASE("A flat netlist leaves open what was open") {
  const std::string text = "cell t\n  in  a\n  out y\n  not g: a -> y\n  buf h: y -> _\nend\n";
  const auto read = read_text("t.gates", text);
  REQUIRE(read.circuit);
  CHECK(write_gates(flatten(*read.circuit)) == text);
}

TEST_CASE("A flat netlist keeps the parts of gates") {
  const auto read = read_text("t.gates", "cell one\n in a\n out y\n not g: a -> y {part=74HC04 place=U1.1}\nend\ncell t\n in a b\n out y z\n one u: a -> y\n or h: a b -> z\nend\n");
  REQUIRE(read.circuit);
  CHECK(write_gates(flatten(*read.circuit)) == "cell t\n  in  a b\n  out y z\n  not u_g: a -> y {part=74HC04}\n  or h: a b -> z\nend\n");
}

TEST_CASE("A flat netlist gives pulls no delay") {
  const std::string text =
      "cell t\n  in  a c\n  out y\n  bufif1 g: a c -> y {delay=2}\n  pullup p: -> y\nend\n";
  const auto read = read_text("t.gates", text);
  REQUIRE(read.circuit);
  const Netlist flat = flatten(*read.circuit);
  CHECK(write_gates(flat) == text);
  for (const auto& [name, form] : {std::pair{"f.v", write_ieee1364(flat)}, {"f.json", write_netlist_json(flat)}}) {
    const auto back = read_text(name, form);
    INFO(form << back.messages);
    REQUIRE(back.circuit);
    CHECK(write_gates(flatten(*back.circuit)) == text);
  }
}

TEST_CASE("Delays, parts, arrays and requirements survive every form") {
  const std::string text =
      "cell m\n  in  a[3:0]\n  out y[3:0] z\n  not g[3:0]: a[3:0] -> y[3:0] {delay=2..3..5ns part=74HC04}\n"
      "  nor h: a[3] a[2] -> z {rise=4ns fall=6ns place=U1.2}\n  require stores 0\nend\n";
  const auto read = read_text("t.gates", text);
  INFO(read.messages);
  REQUIRE(read.circuit);
  CHECK(write_gates(read.tree) == text);
  CHECK(write_gates(read_text("t.json", write_netlist_json(read.tree)).tree) == text);
  const auto hdl = read_text("t.v", write_ieee1364(read.tree));
  INFO(write_ieee1364(read.tree) << hdl.messages);
  REQUIRE(hdl.circuit);
  CHECK(hdl.circuit->delay(4).fall == DelayTriple{6, 6, 6});
  CHECK(hdl.tree.attributes[1].place == "U1.2");
}

}  // namespace
}  // namespace settle
