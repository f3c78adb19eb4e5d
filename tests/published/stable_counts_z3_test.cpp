// Stable states, counted by another solver: Z3 (L. de Moura, N. Bjorner, TACAS 2008) through its own
// interface, with an encoding that shares no line with ours.
#include <z3++.h>

#include <algorithm>
#include <string>
#include <vector>

#include "settle/stable_product.h"
#include "settle/stable_proofs.h"
#include "settle/stable_states.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

z3::expr function_of(GateKind kind, z3::context& context, const z3::expr_vector& in) {
  switch (kind) {
    case GateKind::and_: return z3::mk_and(in);
    case GateKind::nand: return !z3::mk_and(in);
    case GateKind::or_: return z3::mk_or(in);
    case GateKind::nor: return !z3::mk_or(in);
    case GateKind::not_: return !in[0];
    case GateKind::buf: return in[0];
    default: break;
  }
  z3::expr sum = context.bool_val(kind == GateKind::xnor);
  for (unsigned i = 0; i < in.size(); ++i) sum = sum != in[i];
  return sum;
}

// All stable states of a circuit of push-pull gates, ascending.
std::vector<std::vector<Value>> by_z3(const Circuit& circuit, const std::vector<Value>& inputs) {
  z3::context context;
  z3::solver solver(context);
  std::vector<z3::expr> gates;
  for (GateId g = 0; g < circuit.gate_count(); ++g)
    gates.push_back(context.bool_const(("g" + std::to_string(g)).c_str()));
  for (GateId g = 0; g < circuit.gate_count(); ++g) {
    z3::expr_vector in(context);
    for (const NetId pin : circuit.fan_in(g)) {
      if (circuit.is_gate_output(pin)) {
        in.push_back(gates[circuit.gate_of(pin)]);
      } else {
        REQUIRE((circuit.is_input(pin) || circuit.is_constant(pin)));
        in.push_back(
            context.bool_val(circuit.is_input(pin) ? inputs[pin] == Value::one : pin == circuit.const_one()));
      }
    }
    solver.add(gates[g] == function_of(circuit.kind(g), context, in));
  }
  std::vector<std::vector<Value>> states;
  while (solver.check() == z3::sat) {
    const z3::model model = solver.get_model();
    z3::expr_vector other(context);
    std::vector<Value> state;
    for (const auto& gate : gates) {
      const bool value = model.eval(gate, true).is_true();
      state.push_back(to_value(value));
      other.push_back(value ? !gate : gate);
    }
    states.push_back(state);
    solver.add(z3::mk_or(other));
  }
  std::sort(states.begin(), states.end());
  return states;
}

// Compares all that is said of stable states with what Z3 finds for every input vector.
std::uint64_t compare(const Circuit& circuit) {
  std::uint64_t total = 0, most = 0, least = ~std::uint64_t{0};
  for (std::uint32_t vector = 0; vector < (1u << circuit.input_count()); ++vector) {
    std::vector<Value> inputs;
    for (NetId i = 0; i < circuit.input_count(); ++i) inputs.push_back(to_value(((vector >> i) & 1u) != 0));
    const auto want = by_z3(circuit, inputs);
    CHECK(find_stable_states(circuit, inputs).states == want);
    CHECK(stable_product(circuit, inputs).total == BigCount(want.size()));
    total += want.size();
    most = std::max<std::uint64_t>(most, want.size());
    least = std::min<std::uint64_t>(least, want.size());
  }
  const std::vector<Value> free(circuit.input_count(), Value::x);
  CHECK(stable_product(circuit, free).total == BigCount(total));
  CHECK(find_unstable_inputs(circuit, free).answer ==
        (least == 0 ? UnstableInputs::Answer::found : UnstableInputs::Answer::none));
  CHECK(prove_memory(circuit, free).is_free() == (most <= 1));
  return total;
}

}  // namespace

TEST_CASE("Z3 counts the same stable states of the textbook cells") {
  for (const char* text :
       {cells::nor_latch, cells::nand_latch, cells::gated_latch, cells::d_latch_4, cells::d_latch_5,
        cells::mux_latch, cells::earle_latch, cells::six_nand, cells::jk_latch, cells::jk_master_slave,
        cells::c_element, cells::three_way, cells::gated_ring}) {
    INFO(text);
    compare(circuit(text));
  }
}

TEST_CASE("Z3 counts the same stable states of random circuits") {
  RandomCircuitOptions options;
  options.least_gates = 6;
  options.most_gates = 30;
  options.least_inputs = 1;
  options.most_inputs = 2;
  std::uint64_t states = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    options.loop_percent = 20 + static_cast<std::uint32_t>(seed);
    const std::string text = random_circuit(seed + 900, options);
    CAPTURE(seed, text);
    states += compare(circuit(text));
  }
  CHECK(states > 100);
}

}  // namespace settle::testing
