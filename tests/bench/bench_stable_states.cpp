// bench_stable_states: how fast are stable states listed and counted?
//
// Side by side, in one run: visit_stable_states(), find_stable_states() and the SAT solver's own loop
// (solve, shut out the state, solve again) on a memory of 8 x 8 latches; then the depth-first search
// alone, the solver's loop and both together on random gates that all hang together, where the search
// stalls; and what is said of a 64-bit register. Counts are compared. Processor time on one core.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <thread>

#include "analysis/sat_solver.h"
#include "analysis/stable_network.h"
#include "settle/elaborate.h"
#include "settle/product_text.h"
#include "settle/stable_proofs.h"
#include "settle/stable_states.h"
#include "support/memory_files.h"
#include "support/random.h"

namespace {

using namespace settle;

class Clock {
 public:
  double seconds() const { return static_cast<double>(std::clock() - start_) / CLOCKS_PER_SEC; }

 private:
  std::clock_t start_ = std::clock();
};

Circuit load(const std::string& text) {
  testing::MemoryFiles files{{"bench.gates", text}};
  Sources sources;
  Diagnostics diagnostics;
  auto circuit = load_circuit("bench.gates", files, {}, sources, diagnostics);
  if (!circuit) {
    std::fputs(render(diagnostics, sources).c_str(), stderr);
    std::exit(1);
  }
  return *std::move(circuit);
}

const char* const bit_cell = R"(
cell bit
  in data write row
  out q
  and gate: write row -> enable
  nand set: data enable -> set_n
  nand reset: set_n enable -> reset_n
  nand a: set_n b_out -> q
  nand b: reset_n q -> b_out
end
)";

// Eight words of eight latches, row select, common data and outputs.
std::string memory() {
  std::string text = bit_cell;
  text += "cell memory\n in data[7:0] row[7:0] write\n out read[7:0]\n";
  for (int row = 0; row < 8; ++row) {
    text += fmt::format(" bit word{0}[7:0]: data[7:0] write row[{0}] -> q{0}[7:0]\n", row);
    text += fmt::format(" and gate{0}[7:0]: q{0}[7:0] row[{0}] -> out{0}[7:0]\n", row);
  }
  for (int column = 0; column < 8; ++column) {
    text += fmt::format(" or sum{}:", column);
    for (int row = 0; row < 8; ++row) text += fmt::format(" out{}[{}]", row, column);
    text += fmt::format(" -> read[{}]\n", column);
  }
  return text + "end\n";
}

// Every gate reads any others.
std::string entangled(std::uint32_t gates, std::uint64_t seed) {
  testing::Random random(seed);
  static const std::vector<std::string> kinds = {"nand", "nor", "and", "or", "xor", "xnor"};
  std::string text = "cell entangled\n out q\n buf last: n0 -> q\n";
  for (std::uint32_t g = 0; g < gates; ++g) {
    text += fmt::format(" {} g{}:", random.pick(kinds), g);
    for (std::uint32_t i = random.between(2, 3); i > 0; --i) text += fmt::format(" n{}", random.below(gates));
    text += fmt::format(" -> n{}\n", g);
  }
  return text + "end\n";
}

// The solver's own loop: no splitting, a clause with all deciding nets shuts out each state.
std::uint64_t blocking_loop(const Circuit& circuit, const std::vector<Value>& inputs, std::uint64_t limit) {
  const StableNetwork network = stable_network(circuit, inputs);
  SatSolver solver;
  solver.add(network.clauses);
  std::uint64_t found = 0;
  std::vector<Literal> clause;
  while (found < limit && solver.solve() == SatSolver::Answer::yes) {
    ++found;
    clause.clear();
    for (const std::uint32_t v : network.deciding)
      clause.push_back(literal_of(v, !solver.value(literal_of(v))));
    solver.add(clause);
  }
  return found;
}

bool measure_memory(bool quick) {
  const Circuit circuit = load(memory());
  std::vector<Value> hold(circuit.input_count(), Value::zero);
  const std::uint64_t many = quick ? 100'000 : 10'000'000, some = many / 10, few = quick ? 500 : 5'000;

  const Clock visit_clock;
  std::uint64_t seen = 0;
  visit_stable_states(circuit, hold, {many}, [&seen](auto) { return ++seen, true; });
  const double visit_rate = static_cast<double>(seen) / visit_clock.seconds();
  const Clock list_clock;
  const auto listed = find_stable_states(circuit, hold, {some}).states.size();
  const double list_rate = static_cast<double>(listed) / list_clock.seconds();
  const Clock loop_clock;
  const auto looped = blocking_loop(circuit, hold, few);
  const double loop_rate = static_cast<double>(looped) / loop_clock.seconds();
  fmt::print(
      "memory 8 x 8, {} gates, hold: {} visited {:.2f} M/s; {} listed {:.2f} M/s; {} by the solver's loop "
      "{:.4f} M/s; ratios {:.0f} and {:.0f}\n",
      circuit.gate_count(), seen, visit_rate / 1e6, listed, list_rate / 1e6, looped, loop_rate / 1e6,
      visit_rate / loop_rate, list_rate / loop_rate);
  return seen == many && listed == some && looped == few;
}

bool measure_entangled(std::uint32_t gates, int circuits, double patience) {
  double both = 0, worst = 0, sat = 0, search = 0;
  int stalled = 0;
  bool equal = true;
  for (int seed = 1; seed <= circuits; ++seed) {
    const Circuit circuit = load(entangled(gates, static_cast<std::uint64_t>(seed)));
    const Clock clock;
    const auto states = find_stable_states(circuit, {}).states;
    both += clock.seconds();
    worst = std::max(worst, clock.seconds());
    const Clock sat_clock;
    equal = equal && find_stable_states(circuit, {}, {1'000'000, StableMethod::sat}).states == states;
    sat += sat_clock.seconds();
    std::atomic<bool> stop = false, over = false;
    std::thread watch([&] {
      for (double waited = 0; waited < patience && !over; waited += 0.01) {
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
      }
      stop = true;
    });
    const Clock search_clock;
    const auto found = find_stable_states(circuit, {}, {1'000'000, StableMethod::search, &stop});
    search += search_clock.seconds();
    over = true;
    watch.join();
    if (!found.complete) ++stalled;
    equal = equal && (!found.complete || found.states == states);
  }
  fmt::print(
      "{} entangled gates, {} circuits: together {:.3f} s each (worst {:.3f}); solver's loop {:.3f} s; "
      "search alone {:.3f} s, "
      "{} given up after {} s; {}\n",
      gates, circuits, both / circuits, worst, sat / circuits, search / circuits, stalled, patience,
      equal ? "equal" : "DIFFERENT");
  return equal;
}

bool measure_register() {
  std::string text = bit_cell;
  text +=
      "cell route\n in lever[63:0] read\n out q[63:0]\n bit b[63:0]: lever[63:0] read 1 -> q[63:0]\nend\n";
  const Circuit circuit = load(text);
  std::vector<Value> inputs(circuit.input_count(), Value::zero);
  const Clock clock;
  const auto held = stable_product(circuit, inputs);
  const double product_seconds = clock.seconds();
  std::fill(inputs.begin(), inputs.end(), Value::x);
  const Clock free_clock;
  const auto free = stable_product(circuit, inputs);
  const double free_seconds = free_clock.seconds();
  const Clock proof_clock;
  const auto unstable = find_unstable_inputs(circuit, inputs);
  const double unstable_seconds = proof_clock.seconds();
  const Clock memory_clock;
  const auto proof = prove_memory(circuit, inputs);
  fmt::print(
      "register of 64: {} in {:.4f} s; over all inputs {} in {:.4f} s; a stable state for every vector "
      "proved in "
      "{:.4f} s; memory at {} outputs proved in {:.4f} s\n",
      product_text(held), product_seconds, free.total.text(), free_seconds, unstable_seconds,
      proof.outputs.size(), memory_clock.seconds());
  return held.total == power(2, 64) && free.total == power(2, 128) + power(2, 64) &&
         unstable.answer == UnstableInputs::Answer::none && proof.outputs.size() == 64;
}

}  // namespace

int main(int argc, char** argv) {
  const bool quick = argc > 1 && std::strcmp(argv[1], "--quick") == 0;
  bool good = measure_memory(quick);
  for (const std::uint32_t gates : {400u, 800u}) {
    good = measure_entangled(quick ? gates / 10 : gates, quick ? 2 : 8, quick ? 0.2 : 2) && good;
  }
  good = measure_register() && good;
  if (!good) std::fputs("The counts are not those expected.\n", stderr);
  return good ? 0 : 1;
}
