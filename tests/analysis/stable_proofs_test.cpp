#include "settle/stable_proofs.h"

#include <algorithm>
#include <atomic>
#include <map>
#include <string>
#include <vector>

#include "analysis/gate_function.h"
#include "analysis/open_levels.h"
#include "settle/stable_product.h"
#include "settle/stable_states.h"
#include "settle/state_space.h"
#include "support/all_stable.h"
#include "support/circuit_text.h"
#include "support/random_circuit.h"
#include "support/textbook_cells.h"

namespace settle::testing {
namespace {

// The lever latch of the examples, 64 times with one read line.
const std::string register_text = R"(
cell lever_latch
  in  lever read
  out seen
  nor invert: lever lever   -> lever_n
  and gate_s: lever read    -> s
  and gate_r: lever_n read  -> r
  nor a: r seen_n -> seen
  nor b: s seen   -> seen_n
end
cell route_register
  in lever[63:0] read
  out route[63:0]
  lever_latch bit[63:0]: lever[63:0] read -> route[63:0]
end
)";

// Gates that read any others: everything hangs together.
std::string entangled(std::uint32_t gates, std::uint64_t seed) {
  Random random(seed);
  static const std::vector<std::string> kinds = {"nand", "nor", "and", "or", "xor", "xnor"};
  std::string text = "cell entangled\n in a\n out q\n buf last: n0 -> q\n";
  for (std::uint32_t g = 0; g < gates; ++g) {
    text += " " + random.pick(kinds) + " g" + std::to_string(g) + ":";
    for (std::uint32_t i = random.between(2, 3); i > 0; --i) {
      text += random.chance(3) ? " a" : " n" + std::to_string(random.below(gates));
    }
    text += " -> n" + std::to_string(g) + "\n";
  }
  return text + "end\n";
}

std::vector<Value> all_free(const Circuit& circuit) {
  return std::vector<Value>(circuit.input_count(), Value::x);
}

std::string gates_text(const std::vector<Value>& values) {
  std::string text;
  for (const Value v : values) text += to_char(v);
  return text;
}

// By trying every level: is there a combination in which each gate has the value of its function, each
// wire that its drivers decide has their level, and some wire that gates read is not decided?
bool rests_with_open_wire(const Circuit& c, const std::vector<Value>& inputs) {
  std::vector<NetId> tried;  // outputs of push-pull gates and wires that gates read
  std::vector<Value> nets(c.net_count(), Value::z);
  std::copy(inputs.begin(), inputs.end(), nets.begin());
  nets[c.const_zero()] = Value::zero;
  nets[c.const_one()] = Value::one;
  for (NetId net = 0; net < c.const_zero(); ++net) {
    const bool push_pull = c.is_gate_output(net) && is_push_pull(c.kind(c.gate_of(net)));
    const bool wire = !c.is_gate_output(net) || c.visible_net(c.gate_of(net)) == net;
    if (!c.is_input(net) && (push_pull || (wire && !c.fan_out(net).empty()))) tried.push_back(net);
  }
  const auto read = [&nets](NetId net) { return nets[net]; };
  for (std::uint64_t levels = 0; levels < (std::uint64_t{1} << tried.size()); ++levels) {
    for (std::size_t i = 0; i < tried.size(); ++i) nets[tried[i]] = to_value((levels >> i & 1u) != 0);
    bool rests = true, open = false;
    for (const NetId net : tried) {
      Value decided = Value::z;
      if (c.is_resolved(net)) {
        decided = wire_value(c, net, [&](NetId driver) { return gate_value(c, c.gate_of(driver), read); });
      } else if (c.is_gate_output(net)) {
        decided = gate_value(c, c.gate_of(net), read);
      }
      open = open || !is_binary(decided);
      rests = rests && (!is_binary(decided) || decided == nets[net]);
    }
    if (rests && open) return true;
  }
  return false;
}

struct Sample {
  std::uint64_t seed;
  std::string text;
  Circuit circuit;
};

// Seeded circuits small enough to try everything.
template <class Check>
void for_each_sample(std::uint64_t count, std::uint32_t most_gates, const Check& check) {
  RandomCircuitOptions options;
  for (std::uint64_t seed = 1; seed <= count; ++seed) {
    Random random(seed * 77);
    options.least_gates = 2;
    options.most_gates = most_gates;
    options.most_inputs = 3;
    options.outputs = random.between(1, 3);
    options.loop_percent = random.between(10, 90);
    options.three_state = random.chance(30);
    options.pulls = random.chance(50);
    if (options.three_state) options.most_gates = 5;
    const std::string text = random_circuit(seed + 5000, options);
    Circuit c = circuit(text);
    if (c.gate_count() > 14) continue;
    check(Sample{seed, text, std::move(c)});
  }
}

}  // namespace

TEST_CASE("All methods list the same stable states as trying every combination") {
  std::uint64_t states = 0, circuits = 0;
  const auto compare = [&](const Sample& sample) {
    const std::string inputs = input_text(sample.circuit, static_cast<std::uint32_t>(sample.seed * 5));
    CAPTURE(sample.seed, sample.text, inputs);
    const auto want = all_stable(sample.circuit, inputs);
    for (const auto method : {StableMethod::automatic, StableMethod::search, StableMethod::sat}) {
      const StableList got = find_stable_states(sample.circuit, values_of(inputs), {1000, method});
      CHECK(got.complete);
      REQUIRE(got.states == want);
    }
    states += want.size();
    ++circuits;
  };
  for_each_sample(560, 8, compare);
  for_each_sample(30, 14, compare);
  CHECK(circuits > 500);
  CHECK(states > 300);
}

TEST_CASE("Search and solver agree on entangled gates") {
  std::uint64_t states = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const Circuit c = circuit(entangled(40 + 2 * static_cast<std::uint32_t>(seed), seed));
    const std::vector<Value> inputs{to_value(seed % 2 == 0)};
    const auto by_search = find_stable_states(c, inputs, {1000, StableMethod::search});
    const auto by_sat = find_stable_states(c, inputs, {1000, StableMethod::sat});
    CAPTURE(seed);
    CHECK(by_search.states == by_sat.states);
    CHECK(find_stable_states(c, inputs).states == by_sat.states);
    states += by_sat.states.size();
  }
  CHECK(states > 5);
}

// Depth-first search gives up on these, and the search that looks ahead goes on.
TEST_CASE("Search that looks ahead and solver agree on many entangled gates") {
  std::uint64_t states = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const Circuit c = circuit(entangled(300, 100 + seed));
    const std::vector<Value> inputs{to_value(seed % 2 == 0)};
    const auto by_sat = find_stable_states(c, inputs, {1000, StableMethod::sat});
    CAPTURE(seed);
    CHECK(find_stable_states(c, inputs).states == by_sat.states);
    states += by_sat.states.size();
  }
  CHECK(states > 5);
}

TEST_CASE("Stable states are visited one by one") {
  const Circuit c = circuit(register_text);
  std::vector<Value> hold(c.input_count(), Value::zero);
  std::uint64_t seen = 0;
  std::vector<std::string> states;
  CHECK_FALSE(visit_stable_states(c, hold, {5000}, [&](std::span<const Value> gates) {
    if (++seen % 100 == 0) states.push_back(gates_text({gates.begin(), gates.end()}));
    return true;
  }));
  CHECK(seen == 5000);
  for (const auto& state : states) CHECK(is_stable(c, std::string(c.input_count(), '0'), state));
  std::sort(states.begin(), states.end());
  CHECK(std::unique(states.begin(), states.end()) == states.end());
  seen = 0;
  CHECK_FALSE(visit_stable_states(c, hold, {}, [&seen](auto) { return ++seen < 3; }));
  CHECK(seen == 3);
  const std::atomic<bool> stop = true;
  CHECK_FALSE(find_stable_states(c, hold, {10, StableMethod::automatic, &stop}).complete);
}

TEST_CASE("A group with more states than are kept is listed through its search") {
  // Nineteen latches and a gate that once seen 1 stays: 2^19 + 1 states that hang together; beside
  // them a cell with three.
  const Circuit c = circuit(R"(
cell keep
  in s r
  out q
  nor a: r qn -> q
  nor b: s q -> qn
end
cell tied
  in s[18:0] r[18:0]
  out q[18:0] seen p
  keep k[18:0]: s[18:0] r[18:0] -> q[18:0]
  or any: q[18] q[17] q[16] q[15] q[14] q[13] q[12] q[11] q[10] q[9] q[8] q[7] q[6] q[5] q[4] q[3] q[2] q[1] \
          q[0] seen -> seen
  nor one: m n -> p
  nor two: p n -> m
  nor three: p m -> n
end
)");
  const std::vector<Value> quiet(c.input_count(), Value::zero);
  const std::uint64_t want = 3 * ((std::uint64_t{1} << 19) + 1);
  CHECK(stable_product(c, quiet).total == BigCount(want));
  std::uint64_t seen = 0, wrong = 0;
  const auto visitor = [&](std::span<const Value> gates) {
    if (++seen % 50'000 == 0 && !is_stable(c, std::string(38, '0'), gates_text({gates.begin(), gates.end()})))
      ++wrong;
    return true;
  };
  CHECK(visit_stable_states(c, quiet, {2'000'000}, visitor));
  CHECK(seen == want);
  CHECK(wrong == 0);
  seen = 0;
  CHECK(visit_stable_states(c, quiet, {want}, visitor));
  CHECK_FALSE(visit_stable_states(c, quiet, {want - 1}, visitor));
  CHECK(seen == 2 * want - 1);
}

TEST_CASE("The product of the groups counts the stable states") {
  std::uint64_t several = 0, several_groups = 0;
  for_each_sample(300, 8, [&](const Sample& sample) {
    const Circuit& c = sample.circuit;
    CAPTURE(sample.seed, sample.text);
    BigCount sum = 0;
    for (std::uint32_t vector = 0; vector < (1u << c.input_count()); ++vector) {
      const auto inputs = values_of(input_text(c, vector));
      const std::uint64_t want = find_stable_states(c, inputs).states.size();
      sum += want;
      const StableProduct product = stable_product(c, inputs);
      CHECK(product.exact);
      REQUIRE(product.total == BigCount(want));
      for (const auto& group : product.groups) CHECK(group.listed.size() == group.states.small());
      // The same without any list: counted.
      StableProductOptions counting;
      counting.list_limit = 0;
      REQUIRE(stable_product(c, inputs, counting).total == BigCount(want));
      several += want > 1 ? 1 : 0;
      several_groups += product.groups.size() > 1 && want > 0 ? 1 : 0;
    }
    REQUIRE(stable_product(c, all_free(c)).total == sum);
  });
  CHECK(several > 50);
  CHECK(several_groups > 5);
}

TEST_CASE("A register of 64 bits") {
  const Circuit c = circuit(register_text);
  std::vector<Value> inputs(c.input_count(), Value::zero);
  SECTION("holds any of 2^64 states in 64 equal groups") {
    const StableProduct product = stable_product(c, inputs);
    CHECK(product.exact);
    CHECK(product.total.text() == "2^64");
    REQUIRE(product.groups.size() == 64);
    for (const auto& group : product.groups) {
      CHECK(group.kind == product.groups[0].kind);
      CHECK(group.nets.size() == 2);
      CHECK(group.listed ==
            std::vector<std::vector<Value>>{{Value::zero, Value::one}, {Value::one, Value::zero}});
    }
  }
  SECTION("follows the levers while it reads") {
    inputs[64] = Value::one;
    CHECK(stable_product(c, inputs).total == BigCount(1));
  }
  SECTION("over all inputs: reading 2^64 vectors with a state each, holding 2^64 with 2^64 each") {
    const StableProduct product = stable_product(c, all_free(c));
    CHECK(product.exact);
    CHECK(product.total == power(2, 128) + power(2, 64));
  }
  SECTION("has a stable state for every input vector, and a few questions show it") {
    const UnstableInputs unstable = find_unstable_inputs(c, all_free(c));
    CHECK(unstable.answer == UnstableInputs::Answer::none);
    CHECK(unstable.rounds < 30);
  }
  SECTION("has memory at every output") {
    const MemoryProof proof = prove_memory(c, all_free(c));
    CHECK(proof.answer == MemoryProof::Answer::two_states);
    CHECK(proof.outputs.size() == 64);
    CHECK(is_stable(c, gates_text(proof.inputs), gates_text(proof.first)));
    CHECK(is_stable(c, gates_text(proof.inputs), gates_text(proof.second)));
  }
}

TEST_CASE("Inputs without a stable state agree with trying every vector") {
  std::map<UnstableInputs::Answer, int> answers;
  for_each_sample(400, 9, [&](const Sample& sample) {
    const Circuit& c = sample.circuit;
    CAPTURE(sample.seed, sample.text);
    const auto stable = [&c](const std::vector<Value>& inputs) {
      return find_stable_states(c, inputs).states.size();
    };
    bool want = false;
    for (std::uint32_t vector = 0; vector < (1u << c.input_count()); ++vector) {
      want |= stable(values_of(input_text(c, vector))) == 0;
    }
    const UnstableInputs got = find_unstable_inputs(c, all_free(c));
    ++answers[got.answer];
    REQUIRE(got.answer != UnstableInputs::Answer::unknown);
    REQUIRE((got.answer == UnstableInputs::Answer::none) == !want);
    if (!want) return;
    REQUIRE((got.answer == UnstableInputs::Answer::open) == rests_with_open_wire(c, got.inputs));
    // The decisive inputs suffice.
    for (std::uint32_t vector = 0; vector < (1u << c.input_count()); ++vector) {
      auto inputs = values_of(input_text(c, vector));
      for (const NetId net : got.decisive) inputs[net] = got.inputs[net];
      REQUIRE(stable(inputs) == 0);
    }
    REQUIRE(stable(got.inputs) == 0);
  });
  CHECK(answers[UnstableInputs::Answer::found] > 50);
  CHECK(answers[UnstableInputs::Answer::open] > 20);
  CHECK(answers[UnstableInputs::Answer::none] > 50);
}

TEST_CASE("Wires without a level agree with trying every level") {
  std::uint64_t open = 0, closed = 0;
  for_each_sample(300, 6, [&](const Sample& sample) {
    const Circuit& c = sample.circuit;
    CAPTURE(sample.seed, sample.text);
    OpenLevels levels(c, all_free(c));
    bool some = false;
    for (std::uint32_t vector = 0; vector < (1u << c.input_count()); ++vector) {
      const auto inputs = values_of(input_text(c, vector));
      const bool want = rests_with_open_wire(c, inputs);
      REQUIRE(levels.possible_with(inputs) == want);
      REQUIRE(OpenLevels(c, inputs).possible() == want);
      some = some || want;
      ++(want ? open : closed);
    }
    REQUIRE(levels.possible() == some);
  });
  CHECK(open > 50);
  CHECK(closed > 50);
}

TEST_CASE("A floating wire is no proof of oscillation") {
  // Nothing drives r: with s=0 the pair can rest either way, if r happens to be 0.
  const Circuit pair = circuit("cell t\n in s\n out q q_n\n nor a: s q_n -> q\n nor b: r q -> q_n\nend\n");
  CHECK(find_unstable_inputs(pair, all_free(pair)).answer == UnstableInputs::Answer::open);
  const StateSpace space = explore(pair);
  CHECK(space.never_stable == std::vector<VectorIndex>{0, 1});
  CHECK(space.unknown_level == std::vector<VectorIndex>{0, 1});
  CHECK(space.swinging().empty());
  CHECK_FALSE(space.complete);
  // The ring turns, whatever the floating wire does beside it.
  const Circuit ring = circuit("cell t\n in d e\n out q y\n not a: q -> q\n bufif1 b: d e -> w\n not c: w -> y\nend\n");
  CHECK(find_unstable_inputs(ring, all_free(ring)).answer == UnstableInputs::Answer::found);
  CHECK(explore(ring).swinging().size() == 4);
  // The latch itself may switch the driver off, where the stable states do not show it.
  const Circuit own = circuit("cell t\n in d\n out q\n bufif1 b: d q -> w\n and a: w q -> q\nend\n");
  CHECK(explore(own).unknown_level == std::vector<VectorIndex>{0, 1});
}

TEST_CASE("A gated ring runs while it is let go") {
  const Circuit c = circuit(cells::gated_ring);
  const UnstableInputs got = find_unstable_inputs(c, all_free(c));
  CHECK(got.answer == UnstableInputs::Answer::found);
  CHECK(got.inputs == std::vector<Value>{Value::one});
  CHECK(got.decisive == std::vector<NetId>{0});
  CHECK(find_unstable_inputs(c, values_of("0")).answer == UnstableInputs::Answer::none);
  ProofOptions no_questions;
  no_questions.rounds = 0;
  CHECK(find_unstable_inputs(c, all_free(c), no_questions).answer == UnstableInputs::Answer::unknown);
}

TEST_CASE("Freedom of memory agrees with trying every vector") {
  std::map<MemoryProof::Answer, int> answers;
  std::uint64_t hidden = 0;
  for_each_sample(400, 9, [&](const Sample& sample) {
    const Circuit& c = sample.circuit;
    CAPTURE(sample.seed, sample.text);
    bool two = false;
    std::vector<std::uint32_t> outputs;
    for (std::uint32_t bit = 0; bit < c.outputs().size(); ++bit) {
      const NetId net = c.outputs()[bit];
      if (c.is_resolved(net) && c.fan_out(net).empty()) continue;
      bool differs = false;
      for (std::uint32_t vector = 0; vector < (1u << c.input_count()); ++vector) {
        const std::string inputs = input_text(c, vector);
        const auto states = find_stable_states(c, values_of(inputs)).states;
        two |= states.size() > 1;
        for (const auto& state : states) {
          differs |= net_values(c, inputs, gates_text(state))[net] !=
                     net_values(c, inputs, gates_text(states[0]))[net];
        }
      }
      // A three-state gate with a wire of its own that nothing reads is not looked at either.
      if (c.is_gate_output(net) && is_three_state(c.kind(c.gate_of(net))) && c.fan_out(net).empty()) continue;
      if (differs) outputs.push_back(bit);
    }
    const MemoryProof got = prove_memory(c, all_free(c));
    ++answers[got.answer];
    REQUIRE(got.is_free() == !two);
    CHECK(got.outputs_complete);
    if (got.is_free()) return;
    CHECK(is_stable(c, gates_text(got.inputs), gates_text(got.first)));
    CHECK(is_stable(c, gates_text(got.inputs), gates_text(got.second)));
    CHECK(got.first != got.second);
    CHECK(got.outputs == outputs);
    hidden += outputs.empty() ? 1 : 0;
  });
  CHECK(answers[MemoryProof::Answer::no_loops] > 10);
  CHECK(answers[MemoryProof::Answer::one_state] > 30);
  CHECK(answers[MemoryProof::Answer::two_states] > 50);
  CHECK(answers[MemoryProof::Answer::unknown] == 0);
}

TEST_CASE("The single lever of the examples has a loop and stores nothing") {
  DiskReader files;
  Sources sources;
  Diagnostics diagnostics;
  const auto load = [&](const char* name) {
    auto c =
        load_circuit(std::string(SETTLE_SOURCE_DIR) + "/examples/" + name, files, {}, sources, diagnostics);
    REQUIRE(c);
    return *std::move(c);
  };
  const Circuit single = load("single_lever.gates");
  CHECK(single.loop_count() == 1);
  CHECK(prove_memory(single, all_free(single)).answer == MemoryProof::Answer::one_state);
  const Circuit latch = load("lever_latch.gates");
  CHECK(prove_memory(latch, all_free(latch)).answer == MemoryProof::Answer::two_states);
  // While it reads, it stores nothing.
  CHECK(prove_memory(latch, values_of("x1")).answer == MemoryProof::Answer::one_state);
}

}  // namespace settle::testing
