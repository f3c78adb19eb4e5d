// What an explanation promises must be seen in the steps: kinds are named from decided steps only.
#include <algorithm>
#include <sstream>

#include "settle/explain.h"
#include "settle/state_space.h"
#include "support/catch.h"
#include "support/circuit_text.h"
#include "support/random.h"
#include "support/storage_cells.h"

namespace settle {
namespace {

using testing::circuit;
namespace cells = testing::cells;

// Gates of a six-NAND D flip-flop `name`, with clear and set where these are named.
std::string flip_flop(const std::string& name, const std::string& d, const std::string& c, const std::string& q,
                      const std::string& clear = "", const std::string& set = "") {
  const auto n = [&](int k) { return name + std::to_string(k); };
  std::ostringstream text;
  text << " nand " << n(1) << "g: " << set << ' ' << n(4) << ' ' << n(2) << " -> " << n(1) << "\n"
       << " nand " << n(2) << "g: " << n(1) << ' ' << c << ' ' << clear << " -> " << n(2) << "\n"
       << " nand " << n(3) << "g: " << n(2) << ' ' << c << ' ' << n(4) << " -> " << n(3) << "\n"
       << " nand " << n(4) << "g: " << n(3) << ' ' << d << ' ' << clear << " -> " << n(4) << "\n"
       << " nand " << n(5) << "g: " << set << ' ' << n(2) << ' ' << q << "n -> " << q << "\n"
       << " nand " << n(6) << "g: " << n(3) << ' ' << q << ' ' << clear << " -> " << q << "n\n";
  return text.str();
}

TEST_CASE("Steps that are left undecided are no evidence for a kind") {
  const struct {
    const char* text;
    const char* not_this;
  } cases[] = {
      // A D latch without its inverter: the fall of d alone lets both sides go.
      {"cell t\n in d e\n out q n\n nand x: d e -> s\n nand y: d e -> r\n nand a: s n -> q\n nand b: r q -> n\nend\n", "arbiter"},
      // A third input makes both outputs 1, and its end is undecided.
      {"cell t\n in s r e\n out q n\n nand a: s e n -> q\n nand b: r e q -> n\nend\n", "set-reset latch, set, set"},
      // Reset is the only stable state with b at 1, but the way there swings.
      {"cell t\n in b\n out n\n xor x: n m -> n\n and y: b n -> m\nend\n", "latch"},
      {"cell t\n in t\n out q n\n nand x: t n -> s\n nand y: t q -> r\n nand a: s n -> q\n nand b: r q -> n\nend\n", "set-only"},
  };
  for (const auto& c : cases) {
    const Explanation e = explain(circuit(c.text));
    CAPTURE(c.text, e.kind);
    CHECK(e.kind.find(c.not_this) == std::string::npos);
  }
}

TEST_CASE("Direct controls of broken cells do what is said of them") {
  const std::vector<const char*> texts = {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4,
                                          cells::d_latch_5, cells::jk_latch, cells::c_element, cells::mux_latch};
  testing::Random random(7);
  std::size_t looked_at = 0;
  for (int round = 0; round < 160; ++round) {
    // One pin of one gate reads another net.
    std::vector<std::string> lines, nets;
    std::istringstream text(texts[random.below(static_cast<std::uint32_t>(texts.size()))]);
    std::vector<std::size_t> gates;
    for (std::string line; std::getline(text, line);) {
      if (line.find("->") != std::string::npos) gates.push_back(lines.size());
      std::istringstream words(line.substr(std::min(line.size(), line.find(':') == std::string::npos ? line.size() : line.find(':') + 1)));
      for (std::string word; words >> word;) {
        if (word != "->") nets.push_back(word);
      }
      lines.push_back(line);
    }
    std::string& line = lines[gates[random.below(static_cast<std::uint32_t>(gates.size()))]];
    const std::size_t colon = line.find(':'), arrow = line.find("->");
    std::istringstream pins(line.substr(colon + 1, arrow - colon - 1));
    std::vector<std::string> names;
    for (std::string pin; pins >> pin;) names.push_back(pin);
    names[random.below(static_cast<std::uint32_t>(names.size()))] = nets[random.below(static_cast<std::uint32_t>(nets.size()))];
    std::string changed = line.substr(0, colon + 1);
    for (const std::string& name : names) changed += " " + name;
    line = changed + " " + line.substr(arrow);
    std::string whole;
    for (const std::string& each : lines) whole += each + "\n";
    const Circuit c = circuit(whole);
    const Explanation e = explain(c);
    if (e.cells.size() != 1 || e.cells[0].core != CellCore::hold || !e.complete) continue;
    const ExplainedCell& cell = e.cells[0];
    CAPTURE(whole, e.kind);
    const StateSpace space = explore(c);
    const NetId output = c.find_net(cell.output).value();
    const auto bit = [&](const InputRole& role) {
      return VectorIndex{1} << (c.input_count() - 1 - c.find_net(role.input).value());
    };
    VectorIndex rest = 0, mask = 0;
    for (const InputRole& role : cell.inputs) {
      mask |= bit(role);
      if (!role.active_high) rest |= bit(role);
    }
    for (const InputRole& role : cell.inputs) {
      std::size_t seen = 0;
      for (std::uint32_t s = 0; s < space.stable.size(); ++s) {
        if ((space.stable[s].inputs & mask) != rest) continue;
        const Transition* step = space.transition(s, space.stable[s].inputs ^ bit(role));
        REQUIRE(step != nullptr);
        CHECK(step->equal_delay != no_state);
        if (step->equal_delay == no_state) continue;
        CHECK(space.value(c, step->equal_delay, output) == to_value(role.role == "set"));
        const Transition* back = space.transition(step->equal_delay, space.stable[s].inputs);
        seen += back->equal_delay != no_state && space.value(c, back->equal_delay, output) == to_value(role.role == "set") ? 1 : 0;
      }
      CHECK(seen != 0);
      ++looked_at;
    }
  }
  CHECK(looked_at > 20);
}

TEST_CASE("Equations at an edge tell what set and reset do then") {
  const Explanation e = explain(circuit(cells::six_nand_preset_clear));
  CHECK(e.outputs[0].equation == "q+ = d clr + pre'");
  CHECK(e.outputs[0].level_equation == "q+ = pre' + clr q");
}

TEST_CASE("A clock behind a gate") {
  const Explanation e = explain(circuit("cell t\n in d e c\n out q\n and g: c e -> k\n" + flip_flop("f", "d", "k", "q") + "end\n"));
  CHECK(e.kind == "rising-edge D flip-flop, gated clock");
  CHECK(e.cells[0].has_gated_clock);
}

TEST_CASE("Where no sequence is certain, one for equal delays is told") {
  const Explanation e = explain(circuit("cell t\n in d c\n out q\n" + flip_flop("a", "d", "c", "m") + flip_flop("b", "m", "c", "q") + "end\n"));
  CHECK(e.cells.at(0).synchronised_by.empty());
  CHECK(e.cells[0].synchronised_if_equal == "d=0 c=0, then c=1, then c=0, then c=1");
}

TEST_CASE("A ring counter with a reset keeps its name, and its sequences are listed") {
  const Explanation e = explain(circuit("cell t\n in c r\n out a b d\n" + flip_flop("x", "d", "c", "a", "", "r") +
                                        flip_flop("y", "a", "c", "b", "r") + flip_flop("z", "b", "c", "d", "r") + "end\n"));
  CHECK(e.kind == "rising-edge 3-stage ring counter, asynchronous reset active low");
  const ExplainedCell& cell = e.cells.at(0);
  CHECK(cell.forced_too == std::vector<std::string>{"b=0 d=0"});
  REQUIRE(cell.counts.size() == 4);
  CHECK(cell.counts[0] == std::vector<std::string>{"001", "100", "010"});
  CHECK(cell.counts[1] == std::vector<std::string>{"011", "101", "110"});
  CHECK(cell.counts[2] == std::vector<std::string>{"000"});
  CHECK(cell.counts[3] == std::vector<std::string>{"111"});
}

TEST_CASE("Ripple counters count up or down") {
  const auto kind = [](const std::string& carry) {
    return explain(circuit("cell t\n in c\n out a b\n" + flip_flop("x", "an", "c", "a") + flip_flop("y", "bn", carry, "b") + "end\n")).kind;
  };
  CHECK(kind("an") == "2-bit ripple up-counter of rising-edge T flip-flops");
  CHECK(kind("a") == "2-bit ripple down-counter of rising-edge T flip-flops");
}

TEST_CASE("Three-state outputs are explained by what they show while they are driven") {
  const Explanation e = explain(circuit("cell t\n in d g en\n out y\n not i: d -> dn\n nand s: d g -> sn\n nand r: dn g -> rn\n"
                                        " nand a: sn qn -> q\n nand b: rn q -> qn\n bufif0 t: q en -> y\nend\n"));
  CHECK(e.complete);
  CHECK(e.kind == "transparent latch");
  CHECK(e.bits_stored == 1);
  CHECK(e.outputs[0].equation == "y+ = d g + g' y");
  REQUIRE(e.three_state.size() == 1);
  CHECK(e.three_state[0].output == "y");
  CHECK(e.three_state[0].control == "en");
  CHECK_FALSE(e.three_state[0].drives_at_one);
}

TEST_CASE("Latches in a row that listen at the same time are no shift register") {
  const auto latch = [](const std::string& name, const std::string& d, const std::string& q) {
    const auto n = [&](const char* suffix) { return name + suffix; };
    return " not " + n("i") + ": " + d + " -> " + n("dn") + "\n nand " + n("s") + ": " + d + " g -> " + n("sn") + "\n nand " + n("r") + ": " +
           n("dn") + " g -> " + n("rn") + "\n nand " + n("a") + ": " + n("sn") + " " + q + "n -> " + q + "\n nand " + n("b") + ": " + n("rn") +
           " " + q + " -> " + q + "n\n";
  };
  const Explanation e = explain(circuit("cell t\n in d g\n out q p\n" + latch("x", "d", "q") + latch("y", "q", "p") + "end\n"));
  CHECK(std::any_of(e.findings.begin(), e.findings.end(), [](const ExplainFinding& f) {
    return f.kind == ExplainFinding::Kind::neighbours && f.message.starts_with("latches in a row, as q and p");
  }));
}

}  // namespace
}  // namespace settle
