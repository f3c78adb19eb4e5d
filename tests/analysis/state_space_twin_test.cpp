// State spaces of random circuits against the obvious twin, with one thread and with three.
#include <algorithm>
#include <set>
#include <string>

#include "settle/state_space.h"
#include "support/agree_state_space.h"
#include "support/circuit_text.h"
#include "support/naive_state_space.h"
#include "support/random_circuit.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

bool same(const StateSpace& a, const StateSpace& b) {
  if (a.transitions.size() != b.transitions.size()) return false;
  for (std::size_t i = 0; i < a.transitions.size(); ++i) {
    const Transition &x = a.transitions[i], &y = b.transitions[i];
    if (x.from != y.from || x.inputs != y.inputs || x.to != y.to || x.may_cycle != y.may_cycle ||
        x.equal_delay != y.equal_delay || x.period != y.period || x.verdict != y.verdict || x.racing != y.racing ||
        x.judged != y.judged) {
      return false;
    }
  }
  return a.complete == b.complete && a.incomplete_reason == b.incomplete_reason && a.states_held == b.states_held &&
         a.synchronising_sequence == b.synchronising_sequence;
}

}  // namespace

TEST_CASE("State spaces agree with the enumeration of everything") {
  std::uint32_t compared = 0, storing = 0, undecided = 0;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    Random random(seed * 104729);
    RandomCircuitOptions options;
    options.least_gates = 2;
    options.most_gates = 7;
    options.most_inputs = 3;
    options.most_fan_in = random.chance(60) ? 2 : 3;
    options.loop_percent = random.between(20, 80);
    options.xor_gates = random.chance(40);
    options.outputs = random.between(1, 2);
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    CAPTURE(seed, text);
    const NaiveStateSpace twin(c);
    if (twin.too_large()) continue;
    const StateSpace space = explore(c);
    compare_with_naive(space, twin);
    StateSpaceOptions threads;
    threads.jobs = 3;
    REQUIRE(same(space, explore(c, threads)));
    threads.any_delay.states = 3;
    StateSpaceOptions limited = threads;
    limited.jobs = 1;
    REQUIRE(same(explore(c, threads), explore(c, limited)));
    ++compared;
    storing += space.bits_stored > 0;
    undecided += std::any_of(space.transitions.begin(), space.transitions.end(),
                             [](const Transition& t) { return t.verdict == Verdict::indeterminate; });
  }
  CHECK(compared >= 350);
  CHECK(storing >= 40);
  CHECK(undecided >= 8);
}

TEST_CASE("State spaces of the textbook cells agree with the enumeration of everything") {
  std::uint32_t sequences = 0;
  for (const char* text : {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4, cells::d_latch_5,
                           cells::mux_latch, cells::earle_latch, cells::six_nand, cells::jk_latch, cells::c_element,
                           cells::three_way, cells::gated_ring, cells::jk_master_slave}) {
    CAPTURE(text);
    const Circuit c = circuit(text);
    const NaiveStateSpace twin(c);
    REQUIRE_FALSE(twin.too_large());
    const StateSpace space = explore(c);
    compare_with_naive(space, twin);
    sequences += space.synchronising_sequence && space.synchronising_sequence->size() > 1;
  }
  CHECK(sequences >= 2);
}

TEST_CASE("States held under a limit are a lower bound") {
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    RandomCircuitOptions options;
    options.most_gates = 9;
    options.most_inputs = 3;
    options.loop_percent = 60;
    const std::string text = random_circuit(seed, options);
    const Circuit c = circuit(text);
    CAPTURE(seed, text);
    StateSpaceOptions limited;
    limited.any_delay.states = 4;
    const StateSpace whole = explore(c), part = explore(c, limited);
    REQUIRE(whole.complete);
    REQUIRE(part.states_held <= whole.states_held);
    for (std::uint32_t a = 0; a < whole.stable.size(); ++a) {
      for (std::uint32_t b = 0; b < a; ++b) {
        if (whole.stable[a].alike == whole.stable[b].alike) REQUIRE(part.stable[a].alike == part.stable[b].alike);
      }
    }
  }
}

}  // namespace settle::testing
