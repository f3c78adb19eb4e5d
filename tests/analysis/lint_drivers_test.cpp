// Three-state wires: each finding with its whole message, its near misses, and a slow twin that tries
// all inputs.
#include <random>
#include <string>

#include "support/lint_text.h"

namespace settle {
namespace {

using testing::check_rows;
using testing::lint_text;
using testing::LintRow;

void lint_wires(const Netlist&, const Circuit& circuit, Diagnostics& diagnostics) {
  lint_drivers(circuit, {}, diagnostics);
}

// clang-format off
TEST_CASE("drivers that fight, wires that float, drivers that never drive") {
  const std::string conflict_hint = "  hint: let one decoder choose the driver, so that two are never on at once\n";
  const std::string floating_hint = "  hint: add a pullup or a pulldown, or see to it that one driver is always on\n";
  const std::string choose = "cell t\n in a b s\n out y\n not n: s -> sn\n";
  check_rows({
    {"two enables of their own",
     "cell t\n in a ea b eb\n out y\n bufif1 g: a ea -> y\n bufif1 h: b eb -> y\n pulldown p: -> y\nend\n",
     "test.gates:5:9: warning: 'g' and 'h' drive net 'y' to different values when a=1 ea=1 b=0 eb=1\n"
     "   bufif1 h: b eb -> y\n"
     "          ^\n" + conflict_hint},
    {"a pull in each direction", "cell t\n in a e\n out y\n bufif1 g: a e -> y\n pullup u: -> y\n pulldown d: -> y\nend\n",
     "test.gates:6:11: warning: 'u' and 'd' pull net 'y' both ways\n"
     "   pulldown d: -> y\n"
     "            ^\n"
     "  hint: keep the one that gives the level at rest\n"},
    {"always on", "cell t\n in a b\n out y\n bufif1 g: a 1 -> y\n notif0 h: a 0 -> y\nend\n",
     "test.gates:5:9: warning: 'g' and 'h' drive net 'y' to different values when a=0\n"
     "   notif0 h: a 0 -> y\n"
     "          ^\n" + conflict_hint},
    {"read while off", "cell t\n in a e\n out y\n bufif0 g: a e -> w\n not h: w -> y\nend\n",
     "test.gates:4:9: warning: net 'w' floats while gates read it when e=1\n"
     "   bufif0 g: a e -> w\n"
     "          ^\n" + floating_hint},
    {"an enable that contradicts itself", "cell t\n in a b\n out y\n not n: b -> bn\n and e: b bn -> never\n"
     " bufif1 g: a never -> y\n pullup p: -> y\nend\n",
     "test.gates:6:9: warning: gate 'g' never drives net 'y': its control can never be 1\n"
     "   bufif1 g: a never -> y\n"
     "          ^\n"
     "  hint: look at the logic in front of its control pin\n"},
    {"an enable tied off, alone on its wire", "cell t\n in a\n out y\n notif0 g: a 1 -> w\n buf h: w -> y\nend\n",
     "test.gates:4:9: warning: gate 'g' never drives net 'w': its control can never be 0\n"
     "   notif0 g: a 1 -> w\n"
     "          ^\n"
     "  hint: look at the logic in front of its control pin\n"},
    {"a rare fight that only the solver sees",
     "cell t\n in c[15:0] a b\n out y\n and e: c[0] c[1] c[2] c[3] c[4] c[5] c[6] c[7] c[8] c[9] c[10] c[11] c[12] c[13]"
     " c[14] c[15] -> all\n bufif1 g: a all -> y\n bufif1 h: b 1 -> y\nend\n",
     "test.gates:6:9: warning: 'g' and 'h' drive net 'y' to different values when c[15]=1 c[14]=1 c[13]=1 c[12]=1 "
     "c[11]=1 c[10]=1 c[9]=1 c[8]=1 c[7]=1 c[6]=1 c[5]=1 c[4]=1 and 6 more inputs\n"
     "   bufif1 h: b 1 -> y\n"
     "          ^\n" + conflict_hint},
    // Near misses.
    {"one or the other", choose + " bufif1 g: a s -> w\n bufif1 h: b sn -> w\n buf k: w -> y\nend\n", ""},
    {"one or the other, with one net", choose + " bufif1 g: a s -> w\n bufif0 h: b s -> w\n and k: w sn -> y\nend\n", ""},
    {"both on with the same value", choose + " bufif1 g: a 1 -> w\n bufif0 h: a sn -> w\n and k: w b -> y\nend\n", ""},
    {"held by a pull", "cell t\n in a e\n out y\n bufif0 g: a e -> w\n not h: w -> y\n pullup p: -> w\nend\n", ""},
    {"floating, but only for the outside", "cell t\n in a e\n out y\n bufif0 g: a e -> y\nend\n", ""},
    {"enables from a memory", "cell t\n in a b s r\n out y\n nor h1: r p -> q\n nor h2: s q -> p\n bufif1 g: a q -> y\n"
     " bufif1 h: b p -> y\nend\n", ""},
    {"no three-state gate", "cell t\n in a\n out y\n not g: a -> y\nend\n", ""},
  }, lint_wires);
}
// clang-format on

TEST_CASE("a decoder of four drivers is proved free of fights") {
  std::string text = "cell t\n in d[3:0] s[1:0]\n out y\n not n[1:0]: s[1:0] -> sn[1:0]\n";
  for (int i = 0; i < 4; ++i) {
    const auto n = std::to_string(i);
    text += " and e" + n + ": " + (i & 2 ? "s" : "sn") + "[1] " + (i & 1 ? "s" : "sn") + "[0] -> en" + n + "\n";
    text += " bufif1 g" + n + ": d[" + n + "] en" + n + " -> w\n";
  }
  CHECK(lint_text(text + " buf k: w -> y\nend\n", lint_wires) == "");
}

// Random logic in front of two drivers: all inputs tried one by one must give the same answers.
TEST_CASE("random enables agree with trying all inputs") {
  std::mt19937_64 random(5);
  int fights = 0, floats = 0, never = 0;
  for (int round = 0; round < 200; ++round) {
    const int inputs = 4, gates = 6;
    const std::vector<std::string> kinds = {"and", "nand", "or", "nor", "xor", "xnor"};
    struct Gate {
      std::size_t kind;
      std::size_t a, b;
    };
    std::vector<Gate> logic;
    std::string text = "cell t\n in i[0:3]\n out y\n";
    const auto net = [&](std::size_t n) {
      return n < inputs ? "i[" + std::to_string(n) + "]" : "n" + std::to_string(n - inputs);
    };
    for (std::size_t g = 0; g < gates; ++g) {
      logic.push_back({random() % kinds.size(), random() % (inputs + g), random() % (inputs + g)});
      text += " " + kinds[logic[g].kind] + " g" + std::to_string(g) + ": " + net(logic[g].a) + " " + net(logic[g].b) +
              " -> n" + std::to_string(g) + "\n";
    }
    std::size_t pins[4];
    for (auto& pin : pins) pin = random() % (inputs + gates);
    text += " bufif1 d: " + net(pins[0]) + " " + net(pins[1]) + " -> w\n";
    text += " notif0 e: " + net(pins[2]) + " " + net(pins[3]) + " -> w\n buf k: w -> y\nend\n";

    bool can_fight = false, can_float = false, first_drives = false, second_drives = false;
    for (unsigned vector = 0; vector < 16; ++vector) {
      std::vector<bool> value;
      for (unsigned i = 0; i < inputs; ++i) value.push_back((vector >> i & 1u) != 0);
      for (const auto& gate : logic) {
        const bool a = value[gate.a], b = value[gate.b];
        const bool base = gate.kind < 2 ? a && b : gate.kind < 4 ? a || b : a != b;
        value.push_back(gate.kind % 2 == 0 ? base : !base);
      }
      const bool first = value[pins[1]], second = !value[pins[3]];
      first_drives |= first;
      second_drives |= second;
      can_float |= !first && !second;
      can_fight |= first && second && value[pins[0]] != !value[pins[2]];
    }
    INFO(text);
    const auto messages = lint_text(text, lint_wires);
    const auto told = [&](const std::string& words) { return messages.find(words) != std::string::npos; };
    CHECK(told("'d' and 'e' drive net 'w' to different values") == can_fight);
    CHECK(told("net 'w' floats") == (can_float && (first_drives || second_drives)));
    CHECK(told("gate 'd' never drives") == !first_drives);
    CHECK(told("gate 'e' never drives") == !second_drives);
    fights += can_fight ? 1 : 0;
    floats += can_float ? 1 : 0;
    never += !first_drives || !second_drives ? 1 : 0;
  }
  CHECK(fights > 20);
  CHECK(fights < 180);
  CHECK(floats > 20);
  CHECK(never > 3);
}

}  // namespace
}  // namespace settle
