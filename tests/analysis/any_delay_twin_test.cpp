// The any-delay analysis against its obvious twin, with each reduction switched off in turn.
#include <algorithm>
#include <set>
#include <string>
#include <vector>

#include "analysis/any_delay_search.h"
#include "settle/step_analysis.h"
#include "support/agree_any_delay.h"
#include "support/circuit_text.h"
#include "support/naive_any_delay.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"

namespace settle::testing {
TEST_CASE("Any-delay analysis agrees with the enumeration of all subsets") {
  RandomCircuitOptions options;
  std::uint64_t compared = 0;
  for (std::uint64_t seed = 1; seed <= 900; ++seed) {
    Random random(seed * 7919);
    options.least_gates = 2;
    options.most_gates = random.chance(50) ? 6 : 10;
    options.most_fan_in = random.chance(50) ? 2 : 3;
    options.loop_percent = random.between(10, 60);
    options.xor_gates = random.chance(40);
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    const StepCase step = random_step(c, random, random.chance(60));
    CAPTURE(seed, text);
    compare_with_naive(c, step, false, compared);
    if (step.changes.size() > 1) compare_with_naive(c, step, true, compared);
  }
  CHECK(compared >= 1000);
}

// Two or three small loops behind a shared row or fork of front gates: what splitting at fronts is for.
TEST_CASE("Loops behind shared fronts agree with the enumeration of all subsets") {
  std::uint64_t compared = 0, split = 0;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    Random random(seed * 6271);
    std::string text = "cell fronts\n in clk i0 i1 i2\n out q0\n";
    std::vector<std::string> fronts{"clk"};
    const std::uint32_t front_gates = random.between(1, 3);
    for (std::uint32_t f = 0; f < front_gates; ++f) {
      const std::string from = random.chance(75) ? fronts.back() : random.pick(fronts);
      const std::string to = "f" + std::to_string(f);
      text += std::string(random.chance(60) ? " not" : " buf") + " front_" + to + ": " + from + " -> " + to +
              "\n";
      fronts.push_back(to);
    }
    const std::uint32_t blocks = random.between(2, front_gates < 3 ? 3 : 2);
    for (std::uint32_t b = 0; b < blocks; ++b) {
      const std::string n = std::to_string(b);
      const auto gate = [&](const std::string& to, const std::string& loop) {
        static const std::vector<std::string> kinds{"nor", "nand", "and", "or", "xor"};
        text += " " + random.pick(kinds) + " g_" + to + ": " + loop + " " + random.pick(fronts);
        if (random.chance(30)) text += " i" + n;
        if (random.chance(20)) text += " " + random.pick(fronts);
        text += " -> " + to + "\n";
      };
      if (random.chance(20)) {
        gate("q" + n, "q" + n);
      } else {
        gate("q" + n, "p" + n);
        gate("p" + n, "q" + n);
      }
    }
    const Circuit c = circuit(text + "end\n");
    const StepCase step = random_step(c, random, random.chance(60));
    CAPTURE(seed, text);
    compare_with_naive(c, step, false, compared);
    if (random.chance(30)) compare_with_naive(c, step, true, compared);
    Reductions whole;
    whole.split_fronts = false;
    StepAnalyzer analyzer(c);
    if (analyzer.any_delay(step.step()).parts.size() >
        analyzer.any_delay(step.step(), {}, false, whole).parts.size()) {
      ++split;
    }
  }
  CHECK(compared >= 500);
  CHECK(split >= 20);
}

// A front that reads two others may fire twice, and what it reads besides the row belongs to its loops.
TEST_CASE("Loops behind a front that reads two others agree with the enumeration of all subsets") {
  std::uint64_t compared = 0;
  for (const char* front : {"and", "nor", "xor"}) {
    for (const char* first : {"nor", "nand", "xor"}) {
      for (const char* second : {"nor", "and", "xnor"}) {
        const Circuit c = circuit(
            std::string("cell glitch\n in clk\n out q0 q1\n buf a: clk -> f0\n not b: clk -> f1\n ") + front +
            " c: f0 f1 -> f2\n " + first + " g0: q0 f2 -> q0\n " + second + " g1: q1 f2 -> q1\nend\n");
        for (std::uint32_t start = 0; start < 64; ++start) {
          std::string gates;
          for (std::uint32_t g = 0; g < 5; ++g) gates += (start >> g & 1u) != 0 ? '1' : '0';
          const bool up = (start >> 5 & 1u) != 0;
          CAPTURE(front, first, second, gates, up);
          compare_with_naive(c, step_case(c, up ? "0" : "1", up ? "1" : "0", gates), false, compared);
        }
      }
    }
  }
  CHECK(compared == 27 * 64);
}

// y is 1 whatever p does, since it reads p twice; ternary analysis alone cannot tell, nor that q settles.
TEST_CASE("A gate behind one that runs and one that settles keeps its value") {
  const Circuit c = circuit(
      "cell c\n in a\n out p q y\n nor run: p -> p\n xnor rest: q q q q -> q\n xnor g: p q q p -> y\n"
      " and spare: a y -> z\nend\n");
  std::uint64_t compared = 0;
  compare_with_naive(c, step_case(c, "0", "1", "0000"), false, compared);
  CHECK(compared == 1);
}

}  // namespace settle::testing
