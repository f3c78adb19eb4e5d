// The searches for narrow and wide parts must agree, and so must moves listed and all subsets tried.
#include <algorithm>
#include <string>
#include <vector>

#include "analysis/any_delay_choices.h"
#include "analysis/any_delay_search.h"
#include "analysis/joint_moves.h"
#include "analysis/subnetwork.h"
#include "support/agree_any_delay.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/step_cases.h"
#include "support/textbook_cells.h"

namespace settle::testing {
TEST_CASE("All searches agree") {
  RandomCircuitOptions options;
  std::uint64_t states = 0, cycles = 0, bitmaps = 0, refused = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    Random random(seed * 977);
    options.least_gates = 4;
    options.most_gates = 14;
    options.most_fan_in = 3;
    options.loop_percent = random.between(20, 70);
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    const Subnetwork network = whole(c, random_step(c, random, random.chance(40)));
    CAPTURE(seed, text);
    const SearchResult array = search_narrow(network, {});
    check_same(array, search_narrow(network, {}, 0));
    check_same(array, search_wide(network, {}));
    if (const auto bitmap = search_bitmap(network, {})) {
      check_same(array, *bitmap);
      ++bitmaps;
    }
    if (array.known && array.states > 500) {
      // A small allowance of memory or states ends each of them without a result.
      const AnyDelayLimits few{array.states / 2, 1u << 30};
      CHECK_FALSE(search_narrow(network, few).complete);
      CHECK_FALSE(search_wide(network, few).complete);
      if (const auto bitmap = search_bitmap(network, few)) CHECK_FALSE(bitmap->complete);
    }
    if (array.known) {
      // Never refused when the whole search fits, whatever the allowance.
      CHECK_FALSE(has_too_many_choices(network, {array.states, 1u << 30}));
      for (std::uint64_t few = 1; few < array.states; few *= 2) {
        if (has_too_many_choices(network, {few, 1u << 30})) ++refused;
      }
    }
    states += array.states;
    cycles += array.may_cycle ? 1 : 0;
  }
  CHECK(states > 20'000);
  CHECK(cycles > 50);
  CHECK(bitmaps > 100);
  CHECK(refused > 100);
}

TEST_CASE("All searches agree on loops with more sets of gates than are listed") {
  // Each gate reads all others, so any two or more of ten are strongly connected: 1,013 sets.
  for (const char* kind : {"nor", "nand", "xnor"}) {
    const std::uint32_t n = 10;
    std::string text = "cell all\n in hold\n out n0\n", start;
    for (std::uint32_t i = 0; i < n; ++i) {
      text += std::string(" ") + kind + " g" + std::to_string(i) + ": hold";
      for (std::uint32_t k = 0; k < n; ++k) {
        if (k != i) text += " n" + std::to_string(k);
      }
      text += " -> n" + std::to_string(i) + "\n";
      start += kind[1] == 'a' ? '1' : '0';
    }
    const Circuit c = circuit(text + "end\n");
    const bool nand = kind[1] == 'a';
    CAPTURE(kind);
    const Subnetwork network = whole(c, step_case(c, nand ? "0" : "1", nand ? "1" : "0", start));
    CHECK(find_joint_moves(network).sets.empty());
    const SearchResult array = search_narrow(network, {});
    CHECK(array.complete);
    CHECK(array.states > 10);
    check_same(array, search_narrow(network, {}, 0));
    check_same(array, search_wide(network, {}));
    const auto bitmap = search_bitmap(network, {});
    REQUIRE(bitmap);
    check_same(array, *bitmap);
  }
}

TEST_CASE("A part that certainly has too many states is refused at its first one") {
  // Latches released together, each behind the one before: 2^n states within the first round.
  const int n = 2000;
  std::string text = "cell chain\n in hold\n out q0\n", start;
  for (int i = 0; i < n; ++i) {
    const std::string k = std::to_string(i), before = i == 0 ? "hold" : "q" + std::to_string(i - 1);
    text += " nor a" + k + ": hold p" + k + " -> q" + k + "\n nor b" + k + ": q" + k + " " + before + " -> p" + k + "\n";
    start += "00";
  }
  const Circuit c = circuit(text + "end\n");
  const SearchResult result = search_any_delay(whole(c, step_case(c, "1", "0", start)), {});
  CHECK_FALSE(result.complete);
  CHECK(result.states == 0);
}

TEST_CASE("Parts of more than 64 gates") {
  // An odd ring of inverters with one place where neighbours agree: one wave front, no rest.
  const int n = 71;
  std::string text = "cell ring\n out n0\n", start;
  for (int i = 0; i < n; ++i) {
    text += " not g" + std::to_string(i) + ": n" + std::to_string((i + n - 1) % n) + " -> n" +
            std::to_string(i) + "\n";
    start += i % 2 != 0 ? '1' : '0';
  }
  const Circuit c = circuit(text + "end\n");
  StepAnalyzer analyzer(c);
  const StepCase s = step_case(c, "", "", start);
  const StepOutcome outcome = analyzer.any_delay(s.step());
  REQUIRE(outcome.complete);
  REQUIRE(outcome.parts.size() == 1);
  CHECK(outcome.parts[0].states == 2 * n);
  CHECK(outcome.may_cycle());
  CHECK_FALSE(outcome.has_outcome());
  CHECK(outcome.differing.size() == n);
}

TEST_CASE("Gates that need to fire together") {
  const auto sets = [](const char* cell) {
    const Circuit c = circuit(cell);
    const StepCase s = step_case(c, std::string(c.input_count(), '0'), std::string(c.input_count(), '0'),
                                 std::string(c.gate_count(), '0'));
    return find_joint_moves(whole(c, s));
  };
  using Sets = std::vector<std::vector<std::uint32_t>>;
  CHECK(sets(cells::nor_latch).sets == Sets{{0, 1}});
  CHECK(sets(cells::three_way).sets == Sets{{0, 1}, {0, 1, 2}, {0, 2}, {1, 2}});
  CHECK(sets("cell ring\n out a b c\n not x: c -> a\n not y: a -> b\n not z: b -> c\nend\n").sets ==
        Sets{{0, 1, 2}});
  CHECK(sets("cell row\n in i\n out a b\n not x: i -> a\n not y: a -> b\nend\n").sets.empty());
}

TEST_CASE("Gates that all read each other") {
  const auto all = [](int n) {
    std::string text = "cell all\n out n0\n";
    for (int i = 0; i < n; ++i) {
      text += " nor g" + std::to_string(i) + ":";
      for (int k = 0; k < n; ++k) {
        if (k != i) text += " n" + std::to_string(k);
      }
      text += " -> n" + std::to_string(i) + "\n";
    }
    const Circuit c = circuit(text + "end\n");
    return whole(c, step_case(c, "", "", std::string(static_cast<std::size_t>(n), '0')));
  };
  SECTION("too many sets to list") {
    const JointMoves few = find_joint_moves(all(7), 50);
    CHECK(few.sets.empty());
    REQUIRE(few.any_subset_of.size() == 1);
    CHECK(few.any_subset_of[0].size() == 7);
  }
  SECTION("every set of two or more is one") {
    CHECK(find_joint_moves(all(7), 10'000).sets.size() == 128 - 8);
    CHECK(find_joint_moves(all(4)).sets.size() == 16 - 5);
  }
  SECTION("the search finds every end either way") {
    for (const int n : {4, 10}) {
      const SearchResult narrow = search_narrow(all(n), {});
      CHECK(narrow.states == std::uint64_t{1} << n);
      CHECK(narrow.outcomes.size() == static_cast<std::size_t>(n));
      CHECK(narrow.racing.size() == static_cast<std::size_t>(n));
      CHECK(narrow.may_cycle);
      check_same(narrow, search_wide(all(n), {}));
    }
  }
}

}  // namespace settle::testing
