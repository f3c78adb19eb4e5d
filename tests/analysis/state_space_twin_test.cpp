// State spaces of random circuits against the obvious twin, with one thread and with three.
#include <algorithm>
#include <set>
#include <string>

#include "settle/state_space.h"
#include "support/circuit_text.h"
#include "support/naive_state_space.h"
#include "support/random_circuit.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

NaiveStateSpace::State named(const StateSpace& space, std::uint32_t s) {
  NaiveStateSpace::State state{vector_text(space.stable[s].inputs, space.input_bits), ""};
  for (const Value v : space.nodes_of(s)) state.gates += to_char(v);
  return state;
}

void compare_classes(const StateSpace& space, const NaiveStateSpace& twin) {
  std::size_t held = 0;
  for (const VectorIndex vector : space.vectors) {
    const auto [first, last] = space.states_with(vector);
    std::set<std::uint32_t> classes;
    for (std::uint32_t a = first; a < last; ++a) {
      classes.insert(space.stable[a].alike);
      for (std::uint32_t b = first; b < last; ++b) {
        REQUIRE((space.stable[a].alike == space.stable[b].alike) == twin.alike(named(space, a), named(space, b)));
      }
    }
    held = std::max(held, classes.size());
  }
  REQUIRE(space.states_held == held);
  std::uint32_t bits = 0;
  while (std::size_t{1} << bits < held) ++bits;
  REQUIRE(space.bits_stored == bits);
}

// Every state is in one row, a row has one stable state a column at most, and its entries are where
// each of its states goes.
void check_flow_table(const StateSpace& space) {
  std::vector<std::uint32_t> row_of(space.stable.size(), no_state);
  for (std::uint32_t r = 0; r < space.flow.rows.size(); ++r) {
    for (std::size_t c = 0; c < space.flow.columns.size(); ++c) {
      const FlowTable::Entry& entry = space.flow.rows[r][c];
      if (!entry.stable) continue;
      REQUIRE(space.stable[entry.state].inputs == space.flow.columns[c]);
      REQUIRE(row_of[entry.state] == no_state);
      REQUIRE(entry.rows == std::vector<std::uint32_t>{r});
      row_of[entry.state] = r;
    }
  }
  for (std::uint32_t s = 0; s < row_of.size(); ++s) REQUIRE(row_of[s] != no_state);
  std::set<std::vector<std::vector<std::uint32_t>>> distinct;
  for (const auto& row : space.flow.rows) {
    std::vector<std::vector<std::uint32_t>> entries;
    for (const FlowTable::Entry& entry : row) {
      entries.push_back(entry.rows);
      entries.back().push_back(entry.may_cycle ? 1 : 0);
    }
    distinct.insert(entries);
  }
  REQUIRE(distinct.size() == space.flow.rows.size());  // none left to merge
  for (const Transition& t : space.transitions) {
    const std::size_t c = static_cast<std::size_t>(
        std::find(space.flow.columns.begin(), space.flow.columns.end(), t.inputs) - space.flow.columns.begin());
    const FlowTable::Entry& entry = space.flow.rows[row_of[t.from]][c];
    std::set<std::uint32_t> rows;
    for (const std::uint32_t to : t.to) rows.insert(row_of[to]);
    REQUIRE(entry.rows == std::vector<std::uint32_t>(rows.begin(), rows.end()));
    REQUIRE(entry.may_cycle == t.may_cycle);
  }
}

void compare(const StateSpace& space, const NaiveStateSpace& twin) {
  REQUIRE(space.complete);
  REQUIRE(space.stable.size() == twin.states.size());
  std::uint32_t s = 0;
  for (const auto& state : twin.states) REQUIRE(named(space, s++) == state);
  REQUIRE(space.transitions.size() == twin.steps.size());
  auto at = space.transitions.begin();
  for (const auto& [key, want] : twin.steps) {
    const Transition& got = *at++;
    REQUIRE(named(space, got.from) == key.first);
    REQUIRE(vector_text(got.inputs, space.input_bits) == key.second);
    REQUIRE(got.judged);
    std::set<NaiveStateSpace::State> to;
    for (const std::uint32_t end : got.to) to.insert(named(space, end));
    REQUIRE(to == want.to);
    REQUIRE(std::is_sorted(got.to.begin(), got.to.end()));
    REQUIRE(got.may_cycle == want.may_cycle);
    REQUIRE((got.equal_delay != no_state) == (want.equal_delay != nullptr));
    if (want.equal_delay != nullptr) REQUIRE(named(space, got.equal_delay) == *want.equal_delay);
    REQUIRE(got.period == want.period);
    REQUIRE(name_of(got.verdict) == want.verdict);
  }
  compare_classes(space, twin);
  check_flow_table(space);
  const int length = twin.synchronising_length();
  REQUIRE(space.synchronising_known);
  if (length == -1) REQUIRE_FALSE(space.synchronising_sequence);
  if (length >= 0) REQUIRE(space.synchronising_sequence->size() == static_cast<std::size_t>(length));
}

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
    compare(space, twin);
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
    compare(space, twin);
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
