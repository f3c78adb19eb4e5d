#include <algorithm>
#include <string>
#include <vector>

#include "settle/stable_states.h"
#include "support/all_stable.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

std::vector<std::string> stable(const Circuit& circuit, const std::string& inputs) {
  std::vector<std::string> found;
  const StableList list = find_stable_states(circuit, values_of(inputs));
  CHECK(list.complete);
  for (const auto& state : list.states) {
    std::string text;
    for (const Value v : state) text += to_char(v);
    found.push_back(text);
  }
  return found;
}

using Texts = std::vector<std::string>;

}  // namespace

TEST_CASE("Stable states of the textbook cells") {
  SECTION("latches") {
    const Circuit nor = circuit(cells::nor_latch);
    CHECK(stable(nor, "00") == Texts{"01", "10"});
    CHECK(stable(nor, "10") == Texts{"10"});
    CHECK(stable(nor, "11") == Texts{"00"});
    CHECK(stable(circuit(cells::nand_latch), "00") == Texts{"11"});
    CHECK(stable(circuit(cells::three_way), "000") == Texts{"001", "010", "100"});
  }
  SECTION("six-NAND flip-flop") {
    const Circuit c = circuit(cells::six_nand);
    CHECK(stable(c, "00") == Texts{"011101", "011110"});
    CHECK(stable(c, "10") == Texts{"111001", "111010"});
    CHECK(stable(c, "01") == Texts{"010101", "101110"});
    CHECK(stable(c, "11") == Texts{"010101", "101010"});
  }
  SECTION("a ring that runs has none, no loop has one") {
    CHECK(stable(circuit(cells::gated_ring), "1").empty());
    CHECK(stable(circuit(cells::gated_ring), "0") == Texts{"101"});
    CHECK(stable(circuit("cell plain\n in a\n out y\n not g: a -> y\nend\n"), "1") == Texts{"0"});
  }
}

TEST_CASE("Stable states agree with trying every combination") {
  RandomCircuitOptions options;
  std::uint64_t states = 0;
  for (std::uint64_t seed = 1; seed <= 600; ++seed) {
    Random random(seed * 31);
    options.least_gates = 2;
    options.most_gates = random.chance(80) ? 7 : 11;
    options.loop_percent = random.between(10, 80);
    options.three_state = random.chance(30);
    options.pulls = random.chance(50);
    if (options.three_state) options.most_gates = 5;
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    if (c.gate_count() > 12) continue;
    std::string inputs;
    for (NetId i = 0; i < c.input_count(); ++i) inputs += random.chance(50) ? '1' : '0';
    CAPTURE(seed, text, inputs);
    const StableList got = find_stable_states(c, values_of(inputs));
    REQUIRE(got.complete);
    REQUIRE(got.states == all_stable(c, inputs));
    states += got.states.size();
  }
  CHECK(states > 300);
}

TEST_CASE("The list of stable states stops at its limit") {
  std::string text = "cell many\n in s[9:0] r[9:0]\n out q[9:0]\n keep k[9:0]: s[9:0] r[9:0] -> q[9:0]\nend\n";
  text += "cell keep\n in s r\n out q\n nor a: r qn -> q\n nor b: s q -> qn\nend\n";
  const Circuit c = circuit(text);
  const std::vector<Value> quiet(20, Value::zero);
  const StableList all = find_stable_states(c, quiet);
  CHECK(all.complete);
  CHECK(all.states.size() == 1024);
  CHECK(std::is_sorted(all.states.begin(), all.states.end()));
  const StableList some = find_stable_states(c, quiet, StableSearch{100});
  CHECK_FALSE(some.complete);
  CHECK(some.states.size() == 100);
  CHECK(find_stable_states(c, quiet, StableSearch{1024}).complete);
}

}  // namespace settle::testing
