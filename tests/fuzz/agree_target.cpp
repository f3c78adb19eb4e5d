// A small circuit from bytes; fast and slow, exact and approximate methods must agree about it. The first
// byte chooses which.
#include <string>

#include "fuzz/file_set.h"
#include "fuzz/fuzz_target.h"
#include "fuzz/generate.h"
#include "settle/elaborate.h"
#include "settle/kernel.h"
#include "settle/stable_product.h"
#include "settle/stable_proofs.h"
#include "settle/stable_states.h"
#include "support/agree_any_delay.h"
#include "support/agree_kernel.h"
#include "support/agree_state_space.h"
#include "support/all_stable.h"
#include "support/catch.h"
#include "support/memory_files.h"

namespace settle::fuzz {
namespace {

using testing::NaiveAnyDelay;
using testing::NaiveOutcome;
using testing::Random;
using testing::StepCase;

enum class Subject : std::uint32_t { unit_delays, explicit_delays, step, stable_states, state_space, count };

struct Case {
  Subject subject = Subject::unit_delays;
  std::uint32_t variant = 0;
  std::string netlist;
  std::uint64_t seed = 0;  // of values where single choices do not matter
};

Case case_of(std::string_view text) {
  ByteSource bytes(text);
  Case c;
  const std::uint32_t choice = bytes.byte();
  c.subject = static_cast<Subject>(choice % static_cast<std::uint32_t>(Subject::count));
  c.variant = choice / static_cast<std::uint32_t>(Subject::count);
  SmallCircuit options;
  switch (c.subject) {
    case Subject::unit_delays: options.three_state = true; break;
    case Subject::explicit_delays:
      options.three_state = true;
      options.most_delay = c.variant % 4 == 0 ? 200 : 9;
      break;
    case Subject::step: options.most_gates = 8; break;
    case Subject::stable_states:
      options.most_gates = 6;
      options.three_state = c.variant % 2 == 0;
      break;
    default:
      options.most_gates = 5;
      options.most_inputs = 2;
      options.most_fan_in = 3;
      break;
  }
  c.netlist = small_circuit(bytes, options);
  c.seed = bytes.rest();
  return c;
}

std::vector<Value> gates_of(const Circuit& circuit, std::span<const Value> nets) {
  return {nets.begin() + circuit.input_count(), nets.begin() + circuit.input_count() + circuit.gate_count()};
}

// What equal delays do is one of the things that any delays can do, and what ternary analysis settles is
// settled with equal delays as well.
void check_equal_delays(const Circuit& circuit, const StepCase& step, const NaiveOutcome& any, bool settled) {
  Kernel kernel(circuit, {.delays = DelayChoice::unit});
  const std::vector<Value> inputs(step.values.begin(), step.values.begin() + circuit.input_count());
  kernel.power_up(inputs, gates_of(circuit, step.values));
  for (const InputChange& change : step.changes) kernel.set_input(change.net, change.value);
  const Continuation after = look_ahead(kernel, 10'000);
  CHECK(after.kind != Continuation::Kind::undecided);
  if (settled) CHECK(after.kind == Continuation::Kind::settles);
  if (after.kind == Continuation::Kind::repeats) {
    CHECK(any.may_cycle);
    return;
  }
  kernel.run_instant(0);
  while (const auto next = kernel.next_time()) kernel.run_instant(*next);
  CHECK(kernel.now() == after.end);
  CHECK(any.outcomes.contains(gates_of(circuit, kernel.values())));
}

// Algorithms A and B against the any-delay outcome: bounds always, equal with delays in all wires as well
// (Brzozowski and Seger 1987) when the start is stable.
void check_ternary(const Circuit& circuit, const StepCase& step, const NaiveOutcome& gates_only) {
  StepAnalyzer analyzer(circuit);
  const std::vector<Value> a = analyzer.ternary_values(step.step(), true);
  const std::vector<Value> b = analyzer.ternary_values(step.step(), false);
  const auto covers = [](Value upper, Value lower) { return upper == Value::x || upper == lower; };
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    const NetId net = circuit.output_of(g);
    CHECK(covers(a[net], gates_only.lub_of_reachable[g]));
    CHECK(covers(b[net], gates_only.lub_of_outcome[g]));
    CHECK(covers(a[net], b[net]));
  }
  if (!analyzer.ternary({step.values, {}}, false).active.empty()) return;
  NaiveAnyDelay wires(circuit, step.values, step.changes, false, true);
  if (wires.variables() > 9) return;
  const NaiveOutcome want = wires.run(1u << 9);
  if (want.lub_of_reachable.empty()) return;
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    CHECK(a[circuit.output_of(g)] == want.lub_of_reachable[g]);
    CHECK(b[circuit.output_of(g)] == want.lub_of_outcome[g]);
  }
}

void check_step(const Circuit& circuit, const Case& c) {
  Random random(c.seed);
  const StepCase step = testing::random_step(circuit, random, c.variant % 4 != 0);
  const NaiveOutcome outcome = NaiveAnyDelay(circuit, step.values, step.changes).run(1u << 8);
  if (outcome.lub_of_reachable.empty()) return;
  std::uint64_t compared = 0;
  const bool skewed = c.variant % 3 == 2 && circuit.gate_count() + step.changes.size() <= 8;
  testing::compare_with_naive(circuit, step, skewed, compared);
  const Subnetwork network = testing::whole(circuit, step);
  const SearchResult array = search_narrow(network, {});
  testing::check_same(array, search_narrow(network, {}, 0));
  testing::check_same(array, search_wide(network, {}));
  if (const auto bitmap = search_bitmap(network, {})) testing::check_same(array, *bitmap);
  CHECK(array.outcomes.size() == outcome.outcomes.size());
  CHECK(array.may_cycle == outcome.may_cycle);
  const bool settled = StepAnalyzer(circuit).ternary(step.step(), false).undecided.empty();
  check_equal_delays(circuit, step, outcome, settled);
  check_ternary(circuit, step, outcome);
}

void check_stable_states(const Circuit& circuit, const Case& c) {
  const std::string inputs = testing::input_text(circuit, static_cast<std::uint32_t>(c.seed) & 15u);
  if (circuit.gate_count() > 9) return;
  const std::vector<Value> values = testing::values_of(inputs);
  const auto want = testing::all_stable(circuit, inputs);
  for (const auto method : {StableMethod::automatic, StableMethod::search, StableMethod::sat}) {
    StableSearch search;
    search.method = method;
    const StableList got = find_stable_states(circuit, values, search);
    CHECK(got.complete);
    CHECK(got.states == want);
  }
  const StableProduct product = stable_product(circuit, values);
  CHECK(product.exact);
  CHECK(product.total == BigCount(want.size()));
  const UnstableInputs unstable = find_unstable_inputs(circuit, values);
  CHECK(unstable.answer != UnstableInputs::Answer::unknown);
  CHECK((unstable.answer == UnstableInputs::Answer::none) == !want.empty());
  const MemoryProof proof = prove_memory(circuit, values);
  CHECK(proof.answer != MemoryProof::Answer::unknown);
  CHECK(proof.is_free() == (want.size() < 2));
}

void check_state_space(const Circuit& circuit) {
  const testing::NaiveStateSpace twin(circuit);
  if (!twin.too_large()) testing::compare_with_naive(explore(circuit), twin);
}

void run_agree(std::string_view bytes) {
  const Case c = case_of(bytes);
  testing::MemoryFiles files{{"small.gates", c.netlist}};
  Sources sources;
  Diagnostics diagnostics;
  const auto circuit = load_circuit("small.gates", files, {}, sources, diagnostics);
  if (!circuit) std::fputs(render(diagnostics, sources).c_str(), stderr);
  CHECK(circuit.has_value());
  switch (c.subject) {
    case Subject::unit_delays: testing::compare_with_reference(*circuit, c.seed, 40); break;
    case Subject::explicit_delays:
      testing::compare_with_pending_map(*circuit,
                                        {.delays = c.variant % 3 == 0 ? DelayChoice::min : DelayChoice::typ,
                                         .transport = c.variant % 2 != 0,
                                         .wheel_slots = c.variant % 5},
                                        c.seed, c.variant % 4 == 0 ? 400 : 20, 40);
      break;
    case Subject::step: check_step(*circuit, c); break;
    case Subject::stable_states: check_stable_states(*circuit, c); break;
    default: check_state_space(*circuit); break;
  }
}

// The circuit, and for a step a stimulus that makes it.
std::string show_agree(std::string_view bytes) {
  const Case c = case_of(bytes);
  FileSet shown{{"small.gates", c.netlist}};
  testing::MemoryFiles files{{"small.gates", c.netlist}};
  Sources sources;
  Diagnostics diagnostics;
  const auto circuit = load_circuit("small.gates", files, {}, sources, diagnostics);
  if (circuit && c.subject == Subject::step) {
    Random random(c.seed);
    const StepCase step = testing::random_step(*circuit, random, c.variant % 4 != 0);
    std::string start = "power-up", before = "set", after = "set";
    for (NetId net = 0; net < circuit->first_resolved(); ++net) {
      (circuit->is_input(net) ? before : start) +=
          " " + circuit->net_name(net) + "=" + to_char(step.values[net]);
    }
    for (const InputChange& change : step.changes) {
      after += " " + circuit->net_name(change.net) + "=" + to_char(change.value);
    }
    shown.emplace_back("small.stim", "netlist \"small.gates\"\n" + start + "\n" + before + "\nwait 1\n" +
                                         after + "\nsettle\n");
  }
  return join_files(shown);
}

}  // namespace

const Target agree_target{"agree", run_agree, show_agree};

}  // namespace settle::fuzz
