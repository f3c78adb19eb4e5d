// Truth tables against one-vector-at-a-time evaluation, and their merged rows against the table.
#include "settle/table.h"

#include "support/circuit_text.h"
#include "support/random.h"
#include "support/random_circuit.h"

namespace settle::testing {
namespace {

// The obvious twin: evaluates gates until nothing changes.
std::vector<Value> outputs_for(const Circuit& circuit, std::span<const Value> inputs) {
  std::vector<Value> nets(circuit.net_count(), Value::z);
  std::vector<Drive> drives(circuit.net_count(), Drive::z);
  std::copy(inputs.begin(), inputs.end(), nets.begin());
  nets[circuit.const_zero()] = Value::zero;
  nets[circuit.const_one()] = Value::one;
  for (bool changed = true; changed;) {
    changed = false;
    const auto put = [&](NetId net, Value value) {
      changed |= nets[net] != value;
      nets[net] = value;
    };
    for (GateId gate = 0; gate < circuit.gate_count(); ++gate) {
      std::vector<Value> in;
      for (const NetId pin : circuit.fan_in(gate)) in.push_back(nets[pin]);
      const Drive drive = drive_of(circuit.kind(gate), in);
      changed |= drives[circuit.output_of(gate)] != drive;
      drives[circuit.output_of(gate)] = drive;
      put(circuit.output_of(gate), to_value(drive));
    }
    for (NetId wire = circuit.first_resolved(); wire < circuit.first_undriven(); ++wire) {
      std::vector<Drive> strong, pull;
      for (const NetId driver : circuit.drivers_of(wire)) {
        (is_pull(circuit.kind(circuit.gate_of(driver))) ? pull : strong).push_back(drives[driver]);
      }
      put(wire, resolve(strong, pull));
    }
  }
  std::vector<Value> values;
  for (const NetId output : circuit.outputs()) values.push_back(nets[output]);
  return values;
}

void check_table(const Circuit& circuit, std::vector<Value> held = {}) {
  REQUIRE(circuit.loop_count() == 0);
  if (held.empty()) held.assign(circuit.input_count(), Value::x);
  TableOptions options;
  options.held = held;
  const auto truth = truth_table(circuit, held);
  REQUIRE(truth);
  const Table table = make_truth_table(circuit, options);
  options.merge = false;
  const Table full = make_truth_table(circuit, options);
  const std::uint32_t vectors = 1u << truth->free.size();
  REQUIRE(full.rows.size() == vectors);
  CHECK(table.rows.size() <= vectors);
  std::uint64_t wrong = 0;
  for (std::uint32_t v = 0; v < vectors; ++v) {
    std::vector<Value> inputs = held;
    for (std::size_t i = 0; i < truth->free.size(); ++i) {
      inputs[truth->free[i]] = to_value((v >> (truth->free.size() - 1 - i) & 1) != 0);
    }
    const auto want = outputs_for(circuit, inputs);
    std::uint32_t matching = 0;
    for (std::uint32_t k = 0; k < want.size(); ++k) wrong += truth->at(k, v) != want[k] ? 1 : 0;
    const auto agrees = [&](const Table& t, const TableRow& row) {
      for (std::uint32_t k = 0; k < want.size(); ++k) {
        wrong += t.entries_of(row)[k].kind != static_cast<TableEntry::Kind>(want[k]) ? 1 : 0;
      }
    };
    agrees(full, full.rows[v]);
    for (const TableRow& row : table.rows) {
      if (!row.inputs.covers(v)) continue;
      ++matching;
      agrees(table, row);
    }
    wrong += matching == 0 ? 1 : 0;
  }
  CHECK(wrong == 0);
}

TEST_CASE("random circuits without loops agree with their obvious twin") {
  RandomCircuitOptions options;
  options.loop_percent = 0;
  options.most_gates = 30;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    options.least_inputs = options.most_inputs = static_cast<std::uint32_t>(1 + seed % 12);
    options.outputs = static_cast<std::uint32_t>(1 + seed % 5);
    CAPTURE(seed);
    check_table(circuit(random_circuit(seed, options)));
  }
}

TEST_CASE("three-state wires and pulls give x and z as the standard says") {
  RandomCircuitOptions options;
  options.loop_percent = 0;
  options.three_state = options.pulls = true;
  options.most_gates = 16;
  int checked = 0;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    options.least_inputs = options.most_inputs = static_cast<std::uint32_t>(2 + seed % 9);
    const Circuit random = circuit(random_circuit(seed, options));
    if (random.loop_count() != 0) continue;  // shared wires may close a loop
    CAPTURE(seed);
    check_table(random);
    ++checked;
  }
  CHECK(checked > 15);
}

TEST_CASE("a single three-state buffer, and a net that nothing drives") {
  const Circuit buffer = circuit("cell c\n in d e\n out y\n bufif1 g: d e -> y\nend\n");
  check_table(buffer);
  const Table table = make_truth_table(buffer, {});
  REQUIRE(table.rows.size() == 3);
  CHECK(table.symbol(table.rows[0], 0) == '-');
  CHECK(name_of(table.entries_of(table.rows[0])[0].kind) == "z");
}

TEST_CASE("held inputs are left out of the table") {
  RandomCircuitOptions options;
  options.loop_percent = 0;
  options.least_inputs = options.most_inputs = 6;
  const Circuit random = circuit(random_circuit(99, options));
  check_table(random, {Value::x, Value::one, Value::x, Value::zero, Value::x, Value::x});
  check_table(random, std::vector<Value>(6, Value::one));
}

TEST_CASE("wide tables: blocks in Gray order come out in counting order") {
  // The carry of a ripple adder depends on all inputs; 14 inputs are 32 blocks.
  std::string text = "cell c\n in a[6:0] b[6:0]\n out y[6:0] carry\n buf k0: 0 -> c0\n";
  for (int i = 0; i < 7; ++i) {
    const auto n = std::to_string(i), next = i == 6 ? std::string("carry") : "c" + std::to_string(i + 1);
    text += " xor s" + n + ": a[" + n + "] b[" + n + "] c" + n + " -> y[" + n + "]\n and p" + n + ": a[" + n +
            "] b[" + n + "] -> p" + n + "_\n and q" + n + ": a[" + n + "] c" + n + " -> q" + n + "_\n and r" +
            n + ": b[" + n + "] c" + n + " -> r" + n + "_\n or o" + n + ": p" + n + "_ q" + n + "_ r" + n +
            "_ -> " + next + "\n";
  }
  const Circuit adder = circuit(text + "end\n");
  const auto truth = truth_table(adder);
  REQUIRE(truth);
  std::uint32_t wrong = 0;
  for (std::uint32_t v = 0; v < 1u << 14; ++v) {
    const std::uint32_t sum = (v >> 7) + (v & 127);
    for (std::uint32_t k = 0; k < 7; ++k)
      wrong += truth->at(k, v) != to_value((sum >> (6 - k) & 1) != 0) ? 1 : 0;
    wrong += truth->at(7, v) != to_value((sum >> 7) != 0) ? 1 : 0;
  }
  CHECK(wrong == 0);
}

TEST_CASE("too many inputs are refused with the limit named") {
  std::string text = "cell wide\n in a[24:0]\n out y\n and g: a[24]";
  for (int i = 23; i >= 0; --i) text += " a[" + std::to_string(i) + "]";
  const Circuit wide = circuit(text + " -> y\nend\n");
  TableOptions options;
  CHECK(table_refusal(wide, options) ==
        "'wide' has 25 input bits that are free, and the table of a circuit without loops is limited to 24");
  options.held.assign(25, Value::x);
  options.held[3] = Value::one;
  CHECK(table_refusal(wide, options) == "");
}

TEST_CASE("a table with too many rows is cut and says so") {
  const Circuit parity = circuit("cell c\n in a b d e\n out y\n xor g: a b d e -> y\nend\n");
  TableOptions options;
  options.row_limit = 5;
  const Table table = make_truth_table(parity, options);
  CHECK(table.rows.size() == 5);
  CHECK_FALSE(table.complete);
  CHECK(table.incomplete_reason == "16 rows, the first 5 are given; --limit-rows raises that limit");
}

}  // namespace
}  // namespace settle::testing
