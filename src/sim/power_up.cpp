#include "sim/power_up.h"

#include <random>

#include "sim/net_values.h"

namespace settle {
namespace {

GateValues gate_values(const Circuit& circuit, const NetValues& values) {
  GateValues gates(circuit.gate_count());
  for (GateId g = 0; g < circuit.gate_count(); ++g) gates[g] = values.value(circuit.output_of(g));
  return gates;
}

// A set of gates with constant-time insert, remove and pick.
class GateBag {
 public:
  explicit GateBag(std::uint32_t gates) : where_(gates, no_id) {}
  bool empty() const { return members_.empty(); }
  std::size_t size() const { return members_.size(); }
  GateId operator[](std::size_t i) const { return members_[i]; }
  void insert(GateId gate) {
    if (where_[gate] != no_id) return;
    where_[gate] = static_cast<std::uint32_t>(members_.size());
    members_.push_back(gate);
  }
  void remove(GateId gate) {
    const std::uint32_t at = where_[gate];
    if (at == no_id) return;
    members_[at] = members_.back();
    where_[members_[at]] = at;
    members_.pop_back();
    where_[gate] = no_id;
  }

 private:
  std::vector<GateId> members_;
  std::vector<std::uint32_t> where_;
};

}  // namespace

GateValues chosen_start(const Circuit& circuit, std::span<const Value> inputs,
                        std::span<const BoundAssignment> chosen) {
  NetValues values(circuit, inputs);
  std::vector<bool> held(circuit.gate_count(), false);
  for (const BoundAssignment& a : chosen) {
    for (const BitValue& bit : a.bits) {
      const GateId gate = circuit.gate_of(bit.net);
      held[gate] = true;
      values.put(gate, static_cast<Drive>(bit.value));
    }
  }
  // Values only go from x to something known, so each gate enters the list a bounded number of times.
  std::vector<GateId> work(circuit.gate_count());
  for (GateId g = 0; g < circuit.gate_count(); ++g) work[g] = circuit.gate_count() - 1 - g;
  while (!work.empty()) {
    const GateId gate = work.back();
    work.pop_back();
    if (held[gate]) continue;
    const Drive drive = values.function(gate);
    if (drive == values.drive(gate)) continue;
    const NetId seen = values.put(gate, drive);
    if (seen == no_id) continue;
    for (const GateId reader : circuit.fan_out(seen)) work.push_back(reader);
  }
  return gate_values(circuit, values);
}

GateValues random_start(const Circuit& circuit, std::span<const Value> inputs, std::uint64_t seed) {
  // The generator is fixed by the C++ standard; distributions are not, so numbers are reduced here.
  std::mt19937_64 random(seed);
  NetValues values(circuit, inputs);
  for (GateId g = 0; g < circuit.gate_count(); ++g) values.put(g, (random() >> 32) & 1 ? Drive::one : Drive::zero);
  GateBag excited(circuit.gate_count());
  const auto look_at = [&](GateId gate) {
    if (values.function(gate) != values.drive(gate)) {
      excited.insert(gate);
    } else {
      excited.remove(gate);
    }
  };
  for (GateId g = 0; g < circuit.gate_count(); ++g) look_at(g);
  std::uint64_t budget = 4096 + 64 * std::uint64_t{circuit.gate_count()};
  while (!excited.empty() && budget-- != 0) {
    const GateId gate = excited[random() % excited.size()];
    const NetId seen = values.put(gate, values.function(gate));
    look_at(gate);
    if (seen == no_id) continue;
    for (const GateId reader : circuit.fan_out(seen)) look_at(reader);
  }
  return gate_values(circuit, values);
}

}  // namespace settle
