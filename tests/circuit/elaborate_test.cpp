// Syntax tree -> flat circuit, checked as dump strings.
#include "settle/elaborate.h"

#include "support/circuit_text.h"

namespace settle {
namespace {

using testing::circuit;

const std::string latches =
    "cell block_memory\n"
    "  in  enter leave\n"
    "  out occupied clear\n"
    "  nor hold_a: leave clear    -> occupied\n"
    "  nor hold_b: enter occupied -> clear\n"
    "end\n"
    "cell lever_latch\n"
    "  in  lever read\n"
    "  out seen seen_n\n"
    "  nor  invert: lever lever -> lever_n\n"
    "  and  gate_s: lever   read -> s\n"
    "  and  gate_r: lever_n read -> r\n"
    "  block_memory keep: s r -> seen seen_n\n"
    "end\n";

TEST_CASE("one cell of gates") {
  const auto c = circuit(latches, {.cell = "block_memory"});
  CHECK(c.dump() ==
        "hold_a nor leave clear -> occupied\n"
        "hold_b nor enter occupied -> clear\n");
  CHECK(c.cell_name() == "block_memory");
  CHECK(c.input_count() == 2);
  CHECK(c.net_name(0) == "enter");
  CHECK(c.outputs() == std::vector<NetId>{2, 3});
  CHECK_FALSE(c.has_delays());
}

TEST_CASE("a net has the name of the outermost cell that sees it") {
  const auto c = circuit(latches);
  CHECK(c.dump() ==
        "invert nor lever lever -> lever_n\n"
        "gate_s and lever read -> s\n"
        "gate_r and lever_n read -> r\n"
        "keep.hold_a nor r seen_n -> seen\n"
        "keep.hold_b nor s seen -> seen_n\n");
}

TEST_CASE("an instance array connects bus against bus, shares single nets, leaves pins open") {
  const auto c = circuit(latches +
                         "cell route_register\n"
                         "  in  lever[1:0] read\n"
                         "  out route[1:0]\n"
                         "  lever_latch bit[1:0]: lever[1:0] read -> route[1:0] _\n"
                         "end\n");
  CHECK(c.dump() ==
        "bit[1].invert nor lever[1] lever[1] -> bit[1].lever_n\n"
        "bit[1].gate_s and lever[1] read -> bit[1].s\n"
        "bit[1].gate_r and bit[1].lever_n read -> bit[1].r\n"
        "bit[1].keep.hold_a nor bit[1].r bit[1].seen_n -> route[1]\n"
        "bit[1].keep.hold_b nor bit[1].s route[1] -> bit[1].seen_n\n"
        "bit[0].invert nor lever[0] lever[0] -> bit[0].lever_n\n"
        "bit[0].gate_s and lever[0] read -> bit[0].s\n"
        "bit[0].gate_r and bit[0].lever_n read -> bit[0].r\n"
        "bit[0].keep.hold_a nor bit[0].r bit[0].seen_n -> route[0]\n"
        "bit[0].keep.hold_b nor bit[0].s route[0] -> bit[0].seen_n\n");
  REQUIRE(c.input_ports().size() == 2);
  CHECK(c.input_ports()[0].is_bus);
  CHECK(c.input_ports()[0].width == 2);
  CHECK(c.input_ports()[1].first == 2);
  CHECK(c.net_name(0) == "lever[1]");
  CHECK(c.net_name(2) == "read");
  CHECK(c.output_bit_name(0) == "route[1]");
  CHECK(c.output_bit_name(1) == "route[0]");
}

TEST_CASE("ranges and slices in both directions keep the order written") {
  const auto c = circuit(
      "cell c\n in a[0:3]\n out y[5:2]\n"
      "  buf same[0:3]: a -> y\n"
      "end\n");
  CHECK(c.dump() ==
        "same[0] buf a[0] -> y[5]\nsame[1] buf a[1] -> y[4]\n"
        "same[2] buf a[2] -> y[3]\nsame[3] buf a[3] -> y[2]\n");
  const auto turned = circuit(
      "cell c\n in a[3:0]\n out y[3:0]\n"
      "  buf low[1:0]: a[0:1] -> y[1:0]\n"
      "  buf high[1:0]: a[3:2] -> y[3:2]\n"
      "end\n");
  CHECK(turned.dump() ==
        "low[1] buf a[0] -> y[1]\nlow[0] buf a[1] -> y[0]\n"
        "high[1] buf a[3] -> y[3]\nhigh[0] buf a[2] -> y[2]\n");
}

TEST_CASE("pins wider than one bit: groups of bits for the elements, or one bus for all") {
  const auto c = circuit(
      "cell pair\n in a[1:0] mask[1:0]\n out y[1:0]\n and g[1:0]: a mask -> y\nend\n"
      "cell c\n in a[3:0] mask[1:0]\n out y[3:0]\n pair p[1:0]: a mask -> y\nend\n");
  CHECK(c.dump() ==
        "p[1].g[1] and a[3] mask[1] -> y[3]\np[1].g[0] and a[2] mask[0] -> y[2]\n"
        "p[0].g[1] and a[1] mask[1] -> y[1]\np[0].g[0] and a[0] mask[0] -> y[0]\n");
}

TEST_CASE("an undeclared bus spans its selects, in the direction of its first slice") {
  const auto c = circuit(
      "cell c\n in a[1:0] b\n out y[2:0]\n"
      "  not last: b -> n[2]\n"
      "  not two[1:0]: a -> n[0:1]\n"
      "  buf all[2:0]: n -> y\n"
      "end\n");
  CHECK(c.dump() ==
        "last not b -> n[2]\ntwo[1] not a[1] -> n[0]\ntwo[0] not a[0] -> n[1]\n"
        "all[2] buf n[0] -> y[2]\nall[1] buf n[1] -> y[1]\nall[0] buf n[2] -> y[0]\n");
}

TEST_CASE("a bus of single bits only runs down; bits between them are no nets") {
  const auto c =
      circuit("cell c\n in a\n out y\n not g: a -> n[9]\n not h: n[9] -> n[4]\n not i: n[4] -> y\nend\n");
  CHECK(c.net_count() == 1 + 3 + 2);
  CHECK(c.undriven_count() == 0);
  CHECK(c.find_bus("n") == std::vector<NetId>{1, 2});
}

TEST_CASE("connections by name, in any order, outputs left out") {
  const auto c = circuit(latches +
                             "cell c\n in s r\n out q\n"
                             "  block_memory keep: leave=r enter=s -> occupied=q\n"
                             "end\n",
                         {.cell = "c"});
  CHECK(c.dump() == "keep.hold_a nor r keep.clear -> q\nkeep.hold_b nor s q -> keep.clear\n");
}

TEST_CASE("constants, also into a cell; 0 fills a bus") {
  const auto c = circuit(
      "cell two\n in a[1:0] b\n out y[1:0]\n and g[1:0]: a b -> y\nend\n"
      "cell c\n out y[1:0] k\n two t: 0 1 -> y\n nand h: 1 0 -> k\nend\n");
  CHECK(c.dump() == "t.g[1] and 0 1 -> y[1]\nt.g[0] and 0 1 -> y[0]\nh nand 1 0 -> k\n");
  CHECK(c.fan_out(c.const_zero()).size() == 3);
  CHECK(c.fan_out(c.const_one()).size() == 3);
  CHECK(c.input_count() == 0);
}

TEST_CASE("a net that nothing drives, and an input left open") {
  const auto c = circuit(
      "cell inner\n in a b\n out y\n and g: a b -> y\nend\n"
      "cell c\n in a\n out y\n inner k: n _ -> y\n buf h: a -> _\nend\n");
  CHECK(c.dump() == "k.g and n k.b -> y\nh buf a -> h.out\n");
  REQUIRE(c.undriven_count() == 2);
  CHECK(c.net_name(c.first_undriven()) == "n");
  CHECK(c.net_name(c.first_undriven() + 1) == "k.b");
}

TEST_CASE("several three-state and pull gates share a resolved net") {
  const auto c = circuit(
      "cell c\n in a b ea eb\n out y bus\n"
      "  bufif1 drive_a: a ea -> bus\n"
      "  buf read: bus -> y\n"
      "  bufif1 drive_b: b eb -> bus\n"
      "  pullup pull: -> bus\n"
      "end\n");
  CHECK(c.dump() ==
        "drive_a bufif1 a ea -> bus\nread buf bus -> y\ndrive_b bufif1 b eb -> bus\npull pullup -> bus\n");
  REQUIRE(c.resolved_count() == 1);
  const auto bus = c.first_resolved();
  CHECK(c.net_name(bus) == "bus");
  CHECK(std::vector<NetId>(c.drivers_of(bus).begin(), c.drivers_of(bus).end()) ==
        std::vector<NetId>{c.output_of(0), c.output_of(2), c.output_of(3)});
  CHECK(c.shared_wire(0) == bus);
  CHECK(c.shared_wire(1) == no_id);
  CHECK(c.visible_net(2) == bus);
  CHECK(c.fan_out(c.output_of(0)).empty());
  CHECK(c.net_name(c.output_of(0)) == "drive_a.out");
  CHECK(c.outputs() == std::vector<NetId>{c.output_of(1), bus});
  // A lone three-state gate needs no resolved net.
  CHECK(circuit("cell c\n in a e\n out y\n bufif0 g: a e -> y\nend\n").resolved_count() == 0);
}

TEST_CASE("delays come in ticks of the finest unit") {
  const std::string text =
      "cell c\n in a\n out y z\n"
      "  buf g: a -> n {delay=2..3..5ns}\n  buf h: n -> y {rise=400ps fall=1ns}\n  buf i: n -> z "
      "{delay=3ns}\nend\n";
  const auto c = circuit(text);
  CHECK(c.time_unit() == TimeUnit::ps);
  CHECK(c.dump() ==
        "g buf a -> n {delay=2000..3000..5000}\nh buf n -> y {rise=400 fall=1000}\ni buf n -> z "
        "{delay=3000}\n");
  CHECK(circuit(text, {.cell = {}, .stimulus_unit = TimeUnit::fs}).delay(2).rise.typ == 3'000'000);
  CHECK(circuit(text, {.cell = {}, .stimulus_unit = TimeUnit::us}).time_unit() == TimeUnit::ps);
}

TEST_CASE("bare delays are units; a circuit of one unit a gate has none") {
  const auto c = circuit("cell c\n in a\n out y\n buf g: a -> n {delay=3}\n buf h: n -> y\nend\n");
  CHECK(c.time_unit() == TimeUnit::none);
  CHECK(c.dump() == "g buf a -> n {delay=3}\nh buf n -> y {delay=1}\n");
  CHECK_FALSE(circuit("cell c\n in a\n out y\n buf g: a -> y {delay=1}\nend\n").has_delays());
  // A unit in the stimulus alone does not make the circuit physical.
  CHECK(circuit("cell c\n in a\n out y\n buf g: a -> y\nend\n", {.cell = {}, .stimulus_unit = TimeUnit::ns})
            .time_unit() == TimeUnit::none);
}

TEST_CASE("gates know where they stand in the text") {
  const std::string text = "cell c\n in a\n out y\n buf first: a -> n\n buf second: n -> y\nend\n";
  const auto c = circuit(text);
  CHECK(c.gate_place(0).offset == text.find("first"));
  CHECK(c.gate_place(1).offset == text.find("second"));
}

TEST_CASE("a cell without inputs and one without gates are circuits") {
  const auto ring = circuit("cell ring\n out y\n not g: y -> y\nend\n");
  CHECK(ring.input_count() == 0);
  CHECK(ring.loop_count() == 1);
  CHECK(circuit("cell empty\n in a\nend\n").gate_count() == 0);
}

TEST_CASE("fan-out lists have one entry for each pin") {
  const auto c = circuit("cell c\n in a b\n out y z\n and g: a a b -> y\n or h: b a -> z\nend\n");
  const auto readers = c.fan_out(0);
  CHECK(std::vector<GateId>(readers.begin(), readers.end()) == std::vector<GateId>{0, 0, 1});
}

TEST_CASE("cells may be nested a hundred thousand deep") {
  std::string text = "cell c0\n in a\n out y\n not g: a -> y\nend\n";
  for (int i = 1; i < 100'000; ++i) {
    const auto k = std::to_string(i);
    text += "cell c" + k + "\n in a\n out y\n c" + std::to_string(i - 1) + " k: a -> y\nend\n";
  }
  const auto c = circuit(text);
  REQUIRE(c.gate_count() == 1);
  CHECK(c.cell_name() == "c99999");
  CHECK(c.gate_name(0).size() == 2 * 99'999 + 1);
  CHECK(c.net_name(c.output_of(0)) == "y");
}

TEST_CASE("limits on gates and nets hold before anything is built") {
  std::string text = "cell c0\n in a\n out y\n not g: a -> y\nend\n";
  for (int i = 1; i <= 8; ++i) {  // 256^8 gates
    const auto k = std::to_string(i);
    text += "cell c" + k + "\n in a\n out y\n c" + std::to_string(i - 1) + " k[255:0]: a -> _\nend\n";
  }
  const auto loaded = testing::load_text(text);
  CHECK_FALSE(loaded.circuit);
  CHECK(loaded.messages.find("error: cell 'c8' has more than 20000000 gates when its cells are put in") !=
        std::string::npos);
}

}  // namespace
}  // namespace settle
