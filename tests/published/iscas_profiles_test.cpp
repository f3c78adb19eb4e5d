// The ISCAS-85 and ISCAS-89 benchmark circuits: sizes as published, and their answers to a fixed stimulus.
//
// Sizes: counted from the published netlists; inputs, outputs, gates and levels agree with the published
// tables (Hansen, Yalcin, Hayes, IEEE Design & Test 16 (3), 72-80, 1999). Answers: derived by an
// independent evaluator. The files themselves are not part of the project: without the folder named by
// SETTLE_ISCAS only c17 and s27, typed below, are checked, and the test says so.
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

#include "settle/kernel.h"
#include "support/format_text.h"

namespace settle {
namespace {

struct Profile {
  const char* name;
  std::uint32_t inputs, outputs, flip_flops, gates;
  std::uint32_t patterns, ones, sum;
  int state;  // flip-flops at 1 at the end, -1: has none
};

const Profile profiles[] = {
    {"c17", 5, 2, 0, 6, 1024, 1204, 917389, -1},
    {"c432", 36, 7, 0, 160, 1024, 4530, 8759608, -1},
    {"c499", 41, 32, 0, 202, 1024, 16391, 138277202, -1},
    {"c880", 60, 26, 0, 383, 1024, 13245, 101089406, -1},
    {"c1355", 41, 32, 0, 546, 1024, 16391, 138277202, -1},
    {"c1908", 33, 25, 0, 880, 1024, 12408, 81329492, -1},
    {"c2670", 233, 140, 0, 1193, 1024, 73798, 2682795514, -1},
    {"c3540", 50, 22, 0, 1669, 1024, 10207, 65981160, -1},
    {"c5315", 178, 123, 0, 2307, 1024, 57291, 1742139474, -1},
    {"c6288", 32, 32, 0, 2416, 1024, 14593, 126094973, -1},
    {"c7552", 207, 108, 0, 3512, 1024, 61208, 1723967625, -1},
    {"s27", 4, 1, 3, 10, 256, 195, 24826, 1},
    {"s298", 3, 6, 14, 119, 256, 510, 230265, 2},
    {"s344", 9, 11, 15, 160, 256, 771, 691541, 8},
    {"s349", 9, 11, 15, 161, 256, 771, 426218, 8},
    {"s382", 3, 6, 21, 158, 256, 512, 164486, 4},
    {"s386", 7, 7, 6, 159, 256, 95, 29009, 2},
    {"s420.1", 18, 1, 16, 218, 256, 100, 12660, 2},
    {"s444", 3, 6, 21, 181, 256, 512, 230271, 4},
    {"s510", 19, 7, 6, 211, 256, 537, 372969, 3},
    {"s526", 3, 6, 21, 193, 256, 510, 230265, 2},
    {"s641", 35, 24, 19, 379, 256, 3741, 7017646, 4},
    {"s713", 35, 23, 19, 393, 256, 3529, 5828285, 4},
    {"s820", 18, 19, 5, 289, 256, 343, 627927, 0},
    {"s832", 18, 19, 5, 287, 256, 343, 501818, 0},
    {"s838.1", 34, 1, 32, 446, 256, 96, 12735, 2},
    {"s953", 16, 23, 29, 395, 256, 857, 1106597, 2},
    {"s1196", 14, 14, 18, 529, 256, 236, 114579, 12},
    {"s1238", 14, 14, 18, 508, 256, 236, 318617, 12},
    {"s1423", 17, 5, 74, 657, 256, 297, 123766, 33},
    {"s1488", 8, 19, 6, 653, 256, 1047, 1553164, 0},
    {"s1494", 8, 19, 6, 647, 256, 1047, 1517182, 0},
    {"s5378", 35, 49, 179, 2779, 256, 7383, 22718152, 75},
    {"s38584", 12, 278, 1452, 19253, 256, 28038, 635508853, 626},
    {"s38584.1", 38, 304, 1426, 19253, 256, 31628, 748408215, 634},
};

const char* const c17_text =
    "INPUT(1)\nINPUT(2)\nINPUT(3)\nINPUT(6)\nINPUT(7)\nOUTPUT(22)\nOUTPUT(23)\n10 = NAND(1, 3)\n11 = NAND(3, 6)\n"
    "16 = NAND(2, 11)\n19 = NAND(11, 7)\n22 = NAND(10, 16)\n23 = NAND(16, 19)\n";
const char* const s27_text =
    "INPUT(G0)\nINPUT(G1)\nINPUT(G2)\nINPUT(G3)\nOUTPUT(G17)\nG5 = DFF(G10)\nG6 = DFF(G11)\nG7 = DFF(G13)\nG14 = NOT(G0)\n"
    "G17 = NOT(G11)\nG8 = AND(G14, G6)\nG15 = OR(G12, G8)\nG16 = OR(G3, G8)\nG9 = NAND(G16, G15)\nG10 = NOR(G14, G11)\n"
    "G11 = NOR(G5, G9)\nG12 = NOR(G1, G7)\nG13 = NOR(G2, G12)\n";

/// The text of a circuit, empty when it is not at hand.
std::string iscas_text(const std::string& name) {
  if (name == "c17") return c17_text;
  if (name == "s27") return s27_text;
  const char* folder = std::getenv("SETTLE_ISCAS");
  if (folder == nullptr) return {};
  std::ostringstream text;
  text << std::ifstream(std::filesystem::path(folder) / (name + ".bench")).rdbuf();
  return text.str();
}

bool stimulus_bit(std::uint32_t pattern, std::uint32_t input) {
  return ((pattern + 1) * (input + 7) * 2654435761u >> 31) != 0;
}

void run_to_rest(Kernel& kernel) {
  if (kernel.is_waiting()) kernel.run_instant(kernel.now());
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
}

struct Answers {
  std::uint32_t ones = 0, sum = 0;
  int state = -1;
  void count(std::uint32_t pattern, std::uint32_t output, Value value) {
    if (value != Value::one) return;
    ++ones;
    sum += (pattern + 1) * (output + 1);
  }
};

/// With the flip-flops as pins: their values are carried from pattern to pattern here.
Answers answers_with_pins(const Circuit& c, const Profile& p) {
  Kernel kernel(c);
  std::vector<Value> state(p.flip_flops, Value::zero);
  Answers answers;
  for (std::uint32_t pattern = 0; pattern < p.patterns; ++pattern) {
    for (std::uint32_t i = 0; i < p.inputs; ++i) kernel.set_input(i, to_value(stimulus_bit(pattern, i)));
    for (std::uint32_t f = 0; f < p.flip_flops; ++f) kernel.set_input(p.inputs + f, state[f]);
    run_to_rest(kernel);
    for (std::uint32_t o = 0; o < p.outputs; ++o) answers.count(pattern, o, kernel.value(c.outputs()[o]));
    for (std::uint32_t f = 0; f < p.flip_flops; ++f) state[f] = kernel.value(c.outputs()[p.outputs + f]);
  }
  if (p.state >= 0) answers.state = static_cast<int>(std::count(state.begin(), state.end(), Value::one));
  return answers;
}

/// With gate-level flip-flops: cleared first, then a clock pulse after each pattern.
Answers answers_with_gates(const Circuit& c, const Profile& p) {
  Kernel kernel(c);
  const NetId clock = p.inputs, clear_n = p.inputs + 1;
  for (std::uint32_t i = 0; i < p.inputs; ++i) kernel.set_input(i, Value::zero);
  kernel.set_input(clock, Value::zero);
  kernel.set_input(clear_n, Value::zero);
  run_to_rest(kernel);
  kernel.set_input(clear_n, Value::one);
  run_to_rest(kernel);
  Answers answers;
  for (std::uint32_t pattern = 0; pattern < p.patterns; ++pattern) {
    for (std::uint32_t i = 0; i < p.inputs; ++i) kernel.set_input(i, to_value(stimulus_bit(pattern, i)));
    run_to_rest(kernel);
    for (std::uint32_t o = 0; o < p.outputs; ++o) answers.count(pattern, o, kernel.value(c.outputs()[o]));
    for (const Value level : {Value::one, Value::zero}) {
      kernel.set_input(clock, level);
      run_to_rest(kernel);
    }
  }
  return answers;
}

TEST_CASE("Benchmark circuits load with the published numbers of pins, gates and flip-flops, and answer alike", "[iscas]") {
  std::size_t missing = 0;
  for (const Profile& p : profiles) {
    INFO(p.name);
    const std::string text = iscas_text(p.name);
    if (text.empty()) {
      ++missing;
      continue;
    }
    const auto read = testing::read_text(std::string(p.name) + ".bench", text, FlipFlopForm::pins);
    REQUIRE(read.circuit);
    const Circuit& c = *read.circuit;
    CHECK(c.input_ports().size() == p.inputs + p.flip_flops);
    CHECK(c.output_ports().size() == p.outputs + p.flip_flops);
    // Each flip-flop ends in a buf of its own, and so does an output that is an input or a flip-flop.
    std::uint32_t own = p.flip_flops;
    for (GateId g = 0; g < c.gate_count(); ++g) {
      const std::string name = c.gate_name(g);
      if (c.kind(g) == GateKind::buf && name.size() > 4 && name.compare(name.size() - 4, 4, "_out") == 0) ++own;
    }
    CHECK(c.gate_count() == p.gates + own);
    const Answers answers = answers_with_pins(c, p);
    CHECK(answers.ones == p.ones);
    CHECK(answers.sum == p.sum);
    CHECK(answers.state == p.state);
  }
  if (missing != 0) {
    std::cout << "benchmark circuits: " << missing << " of " << std::size(profiles)
              << " skipped; set SETTLE_ISCAS to the folder of the published .bench files\n";
  }
}

TEST_CASE("Gate-level flip-flops give the same answers", "[iscas]") {
  for (const Profile& p : profiles) {
    if (p.flip_flops == 0 || p.gates > 700) continue;
    INFO(p.name);
    const std::string text = iscas_text(p.name);
    if (text.empty()) continue;
    for (const FlipFlopForm form : {FlipFlopForm::six_nand, FlipFlopForm::master_slave}) {
      const auto read = testing::read_text(std::string(p.name) + ".bench", text, form);
      REQUIRE(read.circuit);
      const Answers answers = answers_with_gates(*read.circuit, p);
      CHECK(answers.ones == p.ones);
      CHECK(answers.sum == p.sum);
    }
  }
}

// c17: derived from the equations 22 = 1*3 + 2*(3*6)', 23 = (3*6)' * (2 + 7); input 1 is the most
// significant bit of the vector's number.
TEST_CASE("c17 answers all 32 input vectors as derived", "[iscas]") {
  const auto read = testing::read_text("c17.bench", c17_text);
  REQUIRE(read.circuit);
  const std::string vector22 = "00000000111111000000111111111111", vector23 = "01010100111111000101010011111100";
  for (std::uint32_t v = 0; v < 32; ++v) {
    Kernel kernel(*read.circuit);
    for (NetId i = 0; i < 5; ++i) kernel.set_input(i, to_value((v >> (4 - i) & 1) != 0));
    run_to_rest(kernel);
    CHECK(to_char(kernel.value(read.circuit->outputs()[0])) == vector22[v]);
    CHECK(to_char(kernel.value(read.circuit->outputs()[1])) == vector23[v]);
  }
}

}  // namespace
}  // namespace settle
